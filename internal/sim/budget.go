package sim

import (
	"math"

	"tripsim/internal/profiles"
)

// BudgetInput is the classical daily budget: a mean day, so many days without
// any charging, and allowances for what a battery does not give.
type BudgetInput struct {
	DailyWh       float64 // drawn from the battery per day, losses of the inverter included
	NominalV      float64
	AutonomyDays  float64 // days to get by without charging
	MaxDepth      float64 // 0..1, deepest discharge over the autonomy days
	MaxDailyDepth float64 // 0..1, deepest discharge of a day; 0 = not limited
	TempFactor    float64 // 1 or more, for the cold
	EndOfLife     float64 // 0..1, capacity left at the end of its life
	Margin        float64 // 1 or more, design margin
}

// Defaults of the budget: three days of autonomy, 80 % at the end of life and
// 10 % margin. End of life and margin: IEEE 1013 and IEEE 1562 (from memory;
// margins of 10-25 %, autonomy of 5-7 days where the load is not critical);
// three days for a vehicle that moves on: common practice, no source.
const (
	budgetAutonomyDays = 3
	budgetEndOfLife    = 0.8
	budgetMargin       = 1.1
)

// LastingAh is the capacity that still carries the autonomy days at the end of
// the battery's life: daily Ah x days / depth x temperature / end of life x
// margin.
func (b BudgetInput) LastingAh() float64 {
	return b.dailyAh() * b.AutonomyDays / b.MaxDepth * b.TempFactor / b.EndOfLife * b.Margin
}

// WorksheetAh is the capacity by the worksheet of IEEE 1013 (from memory): the
// largest of (daily Ah x days) over the depth, daily Ah over the daily depth, and
// (daily Ah x days) over the end-of-life capacity, times temperature factor and
// margin.
func (b BudgetInput) WorksheetAh() float64 {
	unadjusted := b.dailyAh() * b.AutonomyDays
	most := max(unadjusted/b.MaxDepth, unadjusted/b.EndOfLife)
	if b.MaxDailyDepth > 0 {
		most = max(most, b.dailyAh()/b.MaxDailyDepth)
	}
	return most * b.TempFactor * b.Margin
}

// NewAh is the capacity that carries the autonomy days when new, at 25 C and
// without margin: daily Ah x days / depth.
func (b BudgetInput) NewAh() float64 { return b.dailyAh() * b.AutonomyDays / b.MaxDepth }

func (b BudgetInput) dailyAh() float64 { return b.DailyWh / b.NominalV }

// PanelW is the panel power that makes good for the mean day: load x array-to-
// load ratio / (sun hours x share that arrives). IEEE 1562 takes a ratio of
// 1.1-1.2 where the load is not critical, 1.3-1.4 or more where it is (from
// memory); 75 % arrive after dust, heat, regulator and battery (common
// practice, no source).
func (b BudgetInput) PanelW(sunKWhM2, arrayToLoad float64) float64 {
	return b.DailyWh * arrayToLoad / (sunKWhM2 * panelShare)
}

const panelShare = 0.75

// Budget is the classical size beside what the simulation of a typical trip
// shows: the figures that explain why the two differ.
type Budget struct {
	BudgetInput
	Ah          float64 // LastingAh
	WorksheetAh float64
	NewAh       float64
	PanelW      float64 // at an array-to-load ratio of 1.2
	SunKWhM2    float64 // mean daily sun of the trip
	// From the typical run:
	HungriestWh  float64 // largest demand of a day, Wh
	ColdestC     float64 // lowest daily mean of the air
	ChargedWh    float64 // mean per day behind the chargers, mains included
	SolarWh      float64 // mean per day behind the regulators
	AlternatorWh float64 // mean per day
	MainsWh      float64 // mean per day, transfer to AC appliances included
	LongestGapH  float64 // longest time in which no source gave anything worth mentioning
	BridgeWh     float64 // what the trip really takes from a battery between two charges, Wh: the largest fall of an ample store
	Days         int
	BatteryDays  float64 // how long the system's own battery carries the mean day; Result.AutonomyDays
}

// arrayToLoad is the ratio that the budget's panel is sized by.
const arrayToLoad = 1.2

// Budget makes the classical daily budget of a system on the study's trip, and
// the figures of the typical trip to hold against it. autonomyDays 0 = 3.
func (s *Study) Budget(sys *System, autonomyDays float64) (*Budget, error) {
	r, err := s.Typical(sys)
	if err != nil {
		return nil, err
	}
	if autonomyDays <= 0 {
		autonomyDays = budgetAutonomyDays
	}
	b := &Budget{Days: len(r.Days), BatteryDays: r.AutonomyDays}
	daily, err := s.batteryDemandWh(sys)
	if err != nil {
		return nil, err
	}
	b.BudgetInput = BudgetInput{
		NominalV: sys.Battery.NominalV, AutonomyDays: autonomyDays, MaxDepth: 1 - r.MinSoC,
		EndOfLife: budgetEndOfLife, Margin: budgetMargin,
	}
	hours := 0.0
	b.ColdestC = math.Inf(1)
	for i := range r.Days {
		d := &r.Days[i]
		hours += d.Hours
		b.DailyWh += daily[i]
		b.HungriestWh = max(b.HungriestWh, daily[i]/d.Hours*24)
		b.SunKWhM2 += d.SunKWhM2 / float64(len(r.Days))
		b.ColdestC = min(b.ColdestC, meanOf(r.Traces.AirC[d.FirstRow:d.EndRow]))
	}
	perDay := 24 / hours
	b.DailyWh *= perDay
	b.TempFactor = tempFactor(sys, b.ColdestC)
	b.SolarWh, b.AlternatorWh = r.Total.SolarBusWh*perDay, r.Total.AlternatorBusWh*perDay
	b.MainsWh = (r.Total.MainsBusWh + r.Total.TransferWh) * perDay
	b.ChargedWh = b.SolarWh + b.AlternatorWh + r.Total.MainsBusWh*perDay
	b.LongestGapH = longestGap(r, b.DailyWh)
	b.Ah, b.WorksheetAh, b.NewAh = b.LastingAh(), b.BudgetInput.WorksheetAh(), b.BudgetInput.NewAh()
	b.PanelW = b.BudgetInput.PanelW(b.SunKWhM2, arrayToLoad)
	if b.BridgeWh, err = s.deepestFallWh(sys); err != nil {
		return nil, err
	}
	return b, nil
}

// batteryDemandWh is what the appliances ask of the battery's bus by day in
// typical weather, inverter losses included, whether served or not.
func (s *Study) batteryDemandWh(sys *System) ([]float64, error) {
	tr, err := s.typicalTrace(sys)
	if err != nil {
		return nil, err
	}
	out := make([]float64, len(s.it.days))
	for t := range tr.drives {
		out[s.it.dayOf[t]] += tr.drives[t].loadW * s.it.stepH
	}
	return out, nil
}

func (s *Study) typicalTrace(sys *System) (*trace, error) {
	p, err := s.newPlan(sys)
	if err != nil {
		return nil, err
	}
	series := s.sky.NewSeries()
	s.sky.Typical(series)
	sm := newSums(len(s.it.slots))
	sm.copyFrom(&s.demand.planned)
	s.demand.addFridges(&sm, series.AirTempC, nil)
	tr := p.newTrace()
	p.fill(tr, &sm, series.GHIWm2, series.DHIWm2, series.AirTempC, nil)
	return tr, nil
}

// tempFactor is the classical allowance for the cold: 1 over the share of the
// capacity that can be drawn at a battery temperature.
func tempFactor(sys *System, tempC float64) float64 {
	var air [1]profiles.PackAir
	var heater [1]float64
	spec := sys.Battery
	spec.HeaterW = 0
	profiles.PackAirs(spec, []float64{tempC}, []bool{false}, 1, air[:], heater[:])
	return 1 / max(0.05, air[0].CapacityFactor)
}

// smallShare of the mean demand is charging that is not worth mentioning.
const smallShare = 0.1

// longestGap is the longest time without a source that gives more than a tenth
// of the mean demand, h.
func longestGap(r *Result, dailyWh float64) float64 {
	least := smallShare * dailyWh / 24 * r.Step.Hours()
	longest, now := 0.0, 0.0
	for i := range r.Rows {
		row := &r.Rows[i]
		if row.SolarBusWh+row.AlternatorBusWh+row.MainsBusWh > least {
			now = 0
			continue
		}
		now += r.Step.Hours()
		longest = max(longest, now)
	}
	return longest
}

// deepestFallWh runs the typical trip on a battery that cannot run flat and
// returns the largest fall of its store from any earlier moment: the energy that
// a battery really has to bridge on this trip.
func (s *Study) deepestFallWh(sys *System) (float64, error) {
	big := WithBank(sys, max(sys.BankAh(), s.amplyAh(sys)), 1)
	big.StartSoC = 0.6
	r, err := s.Typical(big)
	if err != nil {
		return 0, err
	}
	store, peak, fall := 0.0, 0.0, 0.0
	for i := range r.Rows {
		store += r.Rows[i].StoreChangeWh + r.Rows[i].SelfDischargeWh // the ample bank loses more by itself than a real one
		peak = max(peak, store)
		fall = max(fall, peak-store)
	}
	return fall, nil
}

// amplyAh is a bank that holds ten times what the whole trip asks for.
func (s *Study) amplyAh(sys *System) float64 {
	daily, err := s.batteryDemandWh(sys)
	if err != nil {
		return 0
	}
	sum := 0.0
	for _, d := range daily {
		sum += d
	}
	return 10 * sum / sys.Battery.NominalV
}

func meanOf(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(max(1, len(v)))
}
