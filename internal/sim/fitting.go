package sim

import (
	"fmt"
	"math"
	"strings"

	"tripsim/internal/profiles"
)

// FittingOptions are the fitter's choices.
type FittingOptions struct {
	RunM     map[string]float64 // one-way length by run or kind of run, m; see RunIDs
	DropPct  float64            // allowed voltage drop of each run, % of its nominal voltage
	AirC     float64            // air around the cables, C
	VehicleV float64            // nominal voltage of the vehicle's own circuit, 12 or 24; 0 = the system's
	PanelV   float64            // voltage of the panels at their power point; 0 = 18 V per 12 V nominal
}

// DefaultFittingOptions are a drop of 3 % (ABYC E-11: what matters), 40 C air
// and the system's vehicle.
func DefaultFittingOptions() FittingOptions {
	return FittingOptions{DropPct: 3, AirC: 40}
}

// Kinds of run, and their one-way length where none is given (m: common
// practice for a small camper, no source).
const (
	RunBattery    = "battery"    // battery to main distribution
	RunInverter   = "inverter"   // main distribution to inverter
	RunDC         = "dc"         // main distribution to the DC fuse box
	RunCharger    = "charger"    // a charger's output
	RunAlternator = "alternator" // starter battery to a charger's input
	RunPanel      = "panel"      // panels to their regulator
)

var defaultRunM = map[string]float64{RunBattery: 0.5, RunInverter: 1, RunDC: 2, RunCharger: 1.5, RunAlternator: 5, RunPanel: 4}

// Figures behind the sheet. All but the last: common practice, no source.
const (
	panelPer12V  = 18.0 // power point of panels for 12 V
	shortCircuit = 1.08 // of the current at the power point
	bulkSoC      = 0.5  // state of charge at which the currents are given
	panelMargin  = 1.25 // on the short-circuit current: IEC 62548 (from memory)
)

// Fitting is the fitter's sheet of one system on one trip: what should flow
// where, and what the cables and fuses have to bear. Everything is to be
// confirmed against the local standard by a licensed person.
type Fitting struct {
	System   *System
	Trip     *Trip
	Options  FittingOptions
	Battery  FittingBattery
	Modes    []ChargeMode
	Runs     []FittingRun
	Bench    []BenchTest
	Cautions []string // what this system in particular asks for, with its figures
}

// FittingBattery holds the figures of the battery that the sheet rests on.
type FittingBattery struct {
	MaxChargeA, MaxDischargeA float64 // of the whole bank, 25 C
	ChargeV, FloatV           float64 // absorption or constant voltage; float
	BulkV                     float64 // under the largest charge of all modes, half charged
	LoadV                     float64 // under the inverter's rating and all DC appliances, at the cut-off; not above nominal
	ROhm                      float64
}

// fitting is a sheet in the making.
type fitting struct {
	*Fitting
	study *Study
	plan  *plan
	pack  *profiles.Pack
	air   profiles.PackAir
	bulk  profiles.PackState
	noon  noonPower
	seen  tripCurrents
}

// Fitting makes the fitter's sheet of a system for the trip of the study.
func (s *Study) Fitting(sys *System, opt FittingOptions) (*Fitting, error) {
	if err := opt.check(sys); err != nil {
		return nil, err
	}
	if opt.VehicleV == 0 {
		opt.VehicleV = sys.vehicleV()
	}
	if opt.VehicleV != sys.vehicleV() { // the simulated trip has to know it too
		sys = sys.clone()
		sys.VehicleV = opt.VehicleV
	}
	if opt.PanelV == 0 {
		opt.PanelV = panelPer12V * sys.Battery.NominalV / 12
	}
	p, err := s.newPlan(sys)
	if err != nil {
		return nil, err
	}
	pack, err := profiles.NewPack(sys.Battery, s.it.stepH)
	if err != nil {
		return nil, fmt.Errorf("system %s: %w", sys.Name, err)
	}
	f := &fitting{
		Fitting: &Fitting{System: sys, Trip: s.trip, Options: opt}, study: s, plan: p, pack: pack,
		air: profiles.NormalAir(), bulk: pack.Start(bulkSoC),
	}
	f.Battery = FittingBattery{
		MaxChargeA: pack.MaxChargeA, MaxDischargeA: pack.MaxDischargeA,
		ChargeV: pack.ChargeV, FloatV: pack.FloatV, ROhm: pack.ROhm,
	}
	f.Battery.LoadV = f.loadedV(f.inverterInW(sys.Inverter.RatedW) + f.dcW())
	if f.noon, err = f.noonPower(); err != nil {
		return nil, err
	}
	if f.seen, err = f.tripCurrents(); err != nil {
		return nil, err
	}
	f.layRuns()
	f.layModes()
	f.layBench()
	f.layCautions()
	return f.Fitting, nil
}

func (o *FittingOptions) check(sys *System) error {
	switch {
	case !(o.DropPct > 0 && o.DropPct <= 20):
		return fmt.Errorf("a voltage drop of %g %% is not above 0 and up to 20; use e.g. 3", o.DropPct)
	case !(o.AirC >= -40 && o.AirC <= 65):
		return fmt.Errorf("%g °C is not -40 to 65 °C of air around the cables; use e.g. 40", o.AirC)
	case o.VehicleV != 0 && o.VehicleV != 12 && o.VehicleV != 24:
		return fmt.Errorf("a vehicle of %g V is not 12 or 24 V", o.VehicleV)
	case o.PanelV != 0 && !(o.PanelV >= 10 && o.PanelV <= 600):
		return fmt.Errorf("panels at %g V are not between 10 and 600 V; use e.g. 18", o.PanelV)
	}
	known := RunIDs(sys)
	for id, m := range o.RunM {
		if !isRun(known, id) {
			return fmt.Errorf("there is no run %q in %s; there are: %s", id, sys.Name, strings.Join(known, ", "))
		}
		if !(m >= 0 && m <= 100) {
			return fmt.Errorf("run %s: a length of %g m is not 0 to 100; use e.g. 5", id, m)
		}
	}
	return nil
}

// isRun reports whether a name is a run's or a kind's of those known.
func isRun(known []string, name string) bool {
	for _, id := range known {
		if id == name || strings.HasPrefix(id, name+"-") {
			return true
		}
	}
	return false
}

// RunIDs names the runs of a system: battery, inverter, dc, charger, alternator,
// panel; where there are several of a kind charger-1, charger-2 and so on, and
// the kind stands for all of them.
func RunIDs(sys *System) []string {
	ids := []string{RunBattery}
	if sys.Inverter.RatedW > 0 {
		ids = append(ids, RunInverter)
	}
	ids = append(ids, RunDC)
	count := func(kind string, n int) {
		for i := range n {
			ids = append(ids, numbered(kind, i, n))
		}
	}
	count(RunCharger, len(sys.Chargers))
	count(RunAlternator, len(withAlternator(sys)))
	count(RunPanel, len(sys.Panels))
	return ids
}

func numbered(kind string, i, n int) string {
	if n == 1 {
		return kind
	}
	return fmt.Sprintf("%s-%d", kind, i+1)
}

// withAlternator lists the chargers that have an alternator input.
func withAlternator(sys *System) (at []int) {
	for i := range sys.Chargers {
		if sys.Chargers[i].AlternatorA > 0 {
			at = append(at, i)
		}
	}
	return at
}

// dcW is the power of all DC appliances at once, W, with the system's own
// standby.
func (f *fitting) dcW() float64 {
	sum := f.System.StandbyW
	for i := range f.study.demand.loads {
		if l := &f.study.demand.loads[i]; l.Supply == DC {
			sum += l.ratedW()
		}
	}
	return sum
}

// ratedW is an appliance's power while it runs, W.
func (l *Load) ratedW() float64 {
	w := math.Max(l.Watts, l.StandbyW)
	if l.Fridge != nil {
		w = math.Max(w, l.Fridge.WithDefaults().CompressorW)
	}
	return w
}

// startW is what an appliance adds to its power for a moment at the start, W.
func (l *Load) startW() float64 { return math.Max(0, l.SurgeW-l.ratedW()) }

func (f *fitting) inverterInW(acW float64) float64 {
	if f.System.Inverter.RatedW <= 0 {
		return 0
	}
	return f.System.Inverter.InputW(acW)
}

// cutOffV is the battery's rest voltage at its cut-off.
func (f *fitting) cutOffV() float64 { return f.pack.InternalV(f.pack.Start(f.pack.MinSoC)) }

// loadedV is the battery's voltage (V) under a load (W) when it is down at its
// cut-off, 25 C; not above the nominal voltage. A load beyond what the battery
// can give at any voltage leaves half of the rest voltage.
func (f *fitting) loadedV(loadW float64) float64 {
	e := f.cutOffV()
	v := e / 2
	if disc := e*e - 4*f.pack.ROhm*loadW; disc > 0 {
		v = (e + math.Sqrt(disc)) / 2
	}
	return math.Min(v, f.System.Battery.NominalV)
}

// Portable reports whether the system is a pack that is connected to its
// chargers only at times: its battery, inverter and chargers are one unit.
func (s *System) Portable() bool {
	return s.DockedDays != AllDays || (s.Docked.Hours > 0 && s.Docked.Hours < 24)
}

// UsualAlternatorV is the voltage of a regulated alternator, warm, V.
func (f *Fitting) UsualAlternatorV() float64 { return f.System.AlternatorV() }

// LowAlternatorV is how low a voltage-controlled vehicle lets its voltage fall
// while driving, V.
func (f *Fitting) LowAlternatorV() float64 { return profiles.LowAlternatorV(f.Options.VehicleV) }
