package sim

import (
	"math"
	"slices"

	"tripsim/internal/solar"
)

// Charging modes of the sheet.
const (
	ModeMains      = "mains"
	ModeDriving    = "driving"
	ModeDrivingLow = "driving, low voltage"
	ModeSunClear   = "sun, clear noon"
	ModeSunTypical = "sun, typical noon"
	ModeDrivingSun = "driving and sun"
	ModeMainsSun   = "mains and sun"
)

// ChargeMode is what should flow in one way of charging: battery half charged
// and at 25 C, nothing switched on.
type ChargeMode struct {
	Name     string
	Inputs   []UnitInput
	OfferA   float64 // what the units give together
	BatteryA float64 // what of it goes into the battery, within its limits
	BatteryV float64
	Limit    string // what holds it back; "" = the units' own ratings or the sun
}

// UnitInput is one input of a charger in a mode.
type UnitInput struct {
	Charger int    // index into System.Chargers
	Source  string // alternator, solar or mains
	OutA    float64
	InA     float64
	InV     float64 // at the unit, after the cable's drop
	Limit   string  // what holds it back; "" = its rating
}

// Sources of an input.
const (
	SourceSolar      = "solar"
	SourceAlternator = "alternator"
	SourceMains      = "mains"
)

// Limits that a mode can meet.
const (
	LimitUnit       = "unit's shared limit"
	LimitAlternator = "alternator's spare current"
	LimitBattery    = "battery's charge limit"
	LimitSun        = "sun"
	LimitSite       = "site's limit"
	LimitRegulator  = "regulator's rating"
)

// noonPower is the panels' power at noon behind each regulator, W: the median
// over the trip's days, panels set out, under a clear sky without the stops'
// shade, and in typical weather with it; on the road under a clear sky, with
// those panels alone that are out then.
type noonPower struct{ clearW, typicalW, roadW []float64 } // per unit

func (f *fitting) noonPower() (noonPower, error) {
	s, it := f.study, f.study.it
	none := func() []float64 { return make([]float64, len(f.plan.units)) }
	n := noonPower{none(), none(), none()}
	if len(f.System.Panels) == 0 {
		return n, nil
	}
	series := s.sky.NewSeries()
	s.sky.Typical(series)
	noon := make([]int, len(it.days))
	for i := range noon {
		noon[i] = -1
	}
	for t := range it.slots {
		if d := it.slots[t].Day; noon[d] < 0 || s.intervals[t].ClearGHIWm2 > s.intervals[noon[d]].ClearGHIWm2 {
			noon[d] = t
		}
	}
	clear, typical, road := make([][]float64, len(f.plan.units)), make([][]float64, len(f.plan.units)), make([][]float64, len(f.plan.units))
	for _, t := range noon {
		c, m, r := none(), none(), none()
		iv := &s.intervals[t]
		for i := range f.System.Panels {
			pn, u := &f.System.Panels[i], f.plan.panels[i].unit
			factors := solar.PlaneFactorsAt(it.slots[t].Start, s.opt.Step, it.place[t], planeOf(pn), s.opt.Linke)
			watts := func(ghi, dhi, light float64) float64 {
				poa := s.opt.Sky.PlaneOfArrayWm2(ghi, dhi, iv, &factors, s.opt.Albedo) * light
				return solar.PanelW(pn.RatedW, poa, series.AirTempC[t], panelParams(pn)) * f.plan.units[u].eff
			}
			w := watts(iv.ClearGHIWm2, iv.ClearDHIWm2, 1-pn.Shade)
			c[u] += w
			if pn.onTheRoad() {
				r[u] += w
			}
			m[u] += watts(series.GHIWm2[t], series.DHIWm2[t], (1-pn.Shade)*(1-it.trip.Stops[it.slots[t].Stop].Shade))
		}
		for u := range c {
			clear[u], typical[u], road[u] = append(clear[u], c[u]), append(typical[u], m[u]), append(road[u], r[u])
		}
	}
	for u := range clear {
		n.clearW[u], n.typicalW[u], n.roadW[u] = median(clear[u]), median(typical[u]), median(road[u])
	}
	return n, nil
}

// supply is what the sources give in a mode.
type supply struct {
	name string
	pvW  []float64 // per unit, behind the regulator; nil = dark
	alt  bool
	altV float64
	mns  bool
}

func (f *fitting) layModes() {
	sys := f.System
	hasAlt, hasSun, hasMains := len(withAlternator(sys)) > 0, len(sys.Panels) > 0, false
	for i := range sys.Chargers {
		hasMains = hasMains || sys.Chargers[i].MainsA > 0
	}
	var list []supply
	if hasMains {
		list = append(list, supply{name: ModeMains, mns: true})
	}
	if hasAlt {
		list = append(list, supply{name: ModeDriving, alt: true, altV: f.UsualAlternatorV()},
			supply{name: ModeDrivingLow, alt: true, altV: f.LowAlternatorV()})
	}
	if hasSun {
		list = append(list, supply{name: ModeSunClear, pvW: f.noon.clearW}, supply{name: ModeSunTypical, pvW: f.noon.typicalW})
	}
	if hasAlt && slices.ContainsFunc(sys.Panels, func(pn Panel) bool { return pn.onTheRoad() }) {
		list = append(list, supply{name: ModeDrivingSun, pvW: f.noon.roadW, alt: true, altV: f.UsualAlternatorV()})
	}
	if hasMains && hasSun {
		list = append(list, supply{name: ModeMainsSun, pvW: f.noon.clearW, mns: true})
	}
	for _, s := range list {
		m := f.mode(&s)
		f.Battery.BulkV = math.Max(f.Battery.BulkV, m.BatteryV)
		f.Modes = append(f.Modes, m)
	}
}

// mode works out the currents of a mode: the units share their limits as in the
// simulation (solar first, then the alternator, then mains; units by priority),
// the battery holds back what it does not take, mains first.
func (f *fitting) mode(s *supply) ChargeMode {
	e := f.pack.InternalV(f.bulk)
	r := f.pack.ChargeROhm(f.bulk, &f.air)
	limitA := f.pack.ChargeLimitA(f.bulk, e, &f.air)
	m := ChargeMode{Name: s.name}
	volt := e
	for range 30 { // the current follows the voltage weakly; settles in a few rounds
		m.Inputs, m.OfferA = f.offers(s, volt)
		m.BatteryA = math.Min(m.OfferA, limitA)
		volt = math.Min(f.pack.ChargeV, e+r*m.BatteryA)
	}
	m.BatteryV = volt
	if m.OfferA > limitA*(1+1e-9) {
		m.Limit = LimitBattery
		f.curtail(m.Inputs, limitA)
	}
	for i := range m.Inputs {
		f.input(&m.Inputs[i], s, volt)
	}
	return m
}

// offers is what every input gives at a battery voltage, in the order of the
// chargers.
func (f *fitting) offers(s *supply, volt float64) (list []UnitInput, sumA float64) {
	altLeftW, mainsLeftW := math.Inf(1), math.Inf(1)
	if a := f.System.AlternatorSpareA; !math.IsNaN(a) {
		altLeftW = a * f.UsualAlternatorV()
	}
	if w := f.siteW(); w > 0 {
		mainsLeftW = w
	}
	for u, c := range chargerOrder(f.System.Chargers) {
		unit := &f.plan.units[u]
		left := unit.totalA
		add := func(source string, outA float64, limit string) {
			left -= outA
			sumA += outA
			list = append(list, UnitInput{Charger: c, Source: source, OutA: outA, Limit: limit})
		}
		if s.pvW != nil && s.pvW[u] > 0 {
			outA, limit := s.pvW[u]/volt, LimitSun
			if most := math.Min(unit.solarA, left); outA > most {
				outA, limit = most, LimitRegulator
			}
			add(SourceSolar, outA, limit)
		}
		take := func(source string, ratedA float64, leftW *float64, what string) {
			outA, limit := ratedA, ""
			if outA > left {
				outA, limit = math.Max(0, left), LimitUnit
			}
			if inW := outA * volt * unit.invEff; inW > *leftW {
				outA, limit = math.Max(0, *leftW)*unit.eff/volt, what
			}
			*leftW -= outA * volt * unit.invEff
			add(source, outA, limit)
		}
		if s.alt && unit.altA > 0 {
			take(SourceAlternator, unit.altA, &altLeftW, LimitAlternator)
		}
		if s.mns && unit.mainsA > 0 {
			take(SourceMains, unit.mainsA, &mainsLeftW, LimitSite)
		}
	}
	slices.SortStableFunc(list, func(a, b UnitInput) int { return a.Charger - b.Charger })
	return list, sumA
}

// curtail leaves of the inputs what a battery takes: solar first, mains last.
func (f *fitting) curtail(list []UnitInput, takesA float64) {
	for _, source := range []string{SourceSolar, SourceAlternator, SourceMains} {
		sum := 0.0
		for i := range list {
			if list[i].Source == source {
				sum += list[i].OutA
			}
		}
		if sum <= takesA {
			takesA -= sum
			continue
		}
		for i := range list {
			if list[i].Source == source {
				list[i].OutA *= takesA / sum
				list[i].Limit = LimitBattery
			}
		}
		takesA = 0
	}
}

// input fills in what an input draws for its output.
func (f *fitting) input(in *UnitInput, s *supply, batteryV float64) {
	inW := in.OutA * batteryV / f.System.Chargers[in.Charger].Efficiency
	switch in.Source {
	case SourceMains:
		in.InV, in.InA = siteV, inW/siteV
	case SourceSolar:
		in.InV, in.InA = f.Options.PanelV, inW/f.Options.PanelV
	case SourceAlternator:
		in.InV, in.InA = overCable(s.altV, inW, f.alternatorOhm(in.Charger))
	}
}

// overCable is the voltage and the current at the far end of a cable (ohm, go
// and return) for a constant power (W) there: what the lower of the two
// solutions would be is past the cable's maximum.
func overCable(sourceV, powerW, ohm float64) (volt, amps float64) {
	volt = sourceV / 2
	if disc := sourceV*sourceV - 4*ohm*powerW; disc > 0 {
		volt = (sourceV + math.Sqrt(disc)) / 2
	}
	return volt, powerW / volt
}

// siteW is the smallest mains connection of the trip, W; 0 = none limited.
func (f *fitting) siteW() float64 {
	least := 0.0
	for i := range f.Trip.Stops {
		st := &f.Trip.Stops[i]
		if st.Mains.Hours > 0 && st.MainsA > 0 && (least == 0 || st.MainsA*siteV < least) {
			least = st.MainsA * siteV
		}
	}
	return least
}
