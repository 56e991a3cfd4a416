package sim

import (
	"fmt"
	"math"

	"tripsim/internal/profiles"
)

// FittingRun is one run of cable with its fuse.
type FittingRun struct {
	ID, Kind string
	Part     string // charger or panel at its end; "" = none
	OneWayM  float64
	NominalV float64 // what the drop is a share of
	DesignA  float64 // continuous, from ratings
	Why      string  // how DesignA comes about
	PeakA    float64 // for seconds, from ratings; NaN = none
	TripA    float64 // largest in the simulated trip, while uses run
	Inside   bool    // inside a portable pack: nothing to lay
	Cable    profiles.CableRun
	NoCable  string // why there is no cable for it; "" = there is one
}

func (f *fitting) layRuns() {
	sys := f.System
	packed := sys.Portable()
	add := func(r FittingRun) {
		r.OneWayM = f.lengthOf(r.ID, r.Kind)
		r.Inside = packed && r.Kind != RunAlternator && r.Kind != RunPanel
		cable, err := profiles.PickCable(r.DesignA, r.OneWayM, f.Options.DropPct, r.NominalV, f.Options.AirC)
		if err != nil {
			r.NoCable = err.Error()
		}
		r.Cable = cable
		f.Runs = append(f.Runs, r)
	}
	add(f.batteryRun())
	if sys.Inverter.RatedW > 0 {
		add(f.inverterRun())
	}
	add(f.dcRun())
	for i := range sys.Chargers {
		add(f.chargerRun(i))
	}
	inputs := withAlternator(sys)
	for n, i := range inputs {
		add(f.alternatorRun(i, numbered(RunAlternator, n, len(inputs))))
	}
	for i := range sys.Panels {
		add(f.panelRun(i))
	}
}

func (f *fitting) lengthOf(id, kind string) float64 {
	for _, name := range []string{id, kind} {
		if m, ok := f.Options.RunM[name]; ok {
			return m
		}
	}
	return defaultRunM[kind]
}

// run finds a run by its ID; nil if there is none.
func (f *fitting) run(id string) *FittingRun {
	for i := range f.Runs {
		if f.Runs[i].ID == id {
			return &f.Runs[i]
		}
	}
	return nil
}

// allChargersA is what the chargers can give together, A.
func (f *fitting) allChargersA() float64 {
	sum := 0.0
	for i := range f.System.Chargers {
		sum += f.System.Chargers[i].RatingA()
	}
	return sum
}

// inverterA is the inverter's current at its rating, and for a moment at its
// surge with the battery's voltage sagging, A.
func (f *fitting) inverterA() (continuous, surge float64) {
	inv := &f.System.Inverter
	if inv.RatedW <= 0 {
		return 0, 0
	}
	continuous = f.inverterInW(inv.RatedW) / f.Battery.LoadV
	surgeW := f.inverterInW(inv.SurgeW)
	return continuous, surgeW / f.surgeV()
}

// surgeV is the battery's voltage while the inverter gives its surge.
func (f *fitting) surgeV() float64 { return f.loadedV(f.inverterInW(f.System.Inverter.SurgeW)) }

func (f *fitting) dcA() float64 { return f.dcW() / f.Battery.LoadV }

func (f *fitting) batteryRun() FittingRun {
	inverter, surge := f.inverterA()
	out, in := inverter+f.dcA(), f.allChargersA()
	r := FittingRun{
		ID: RunBattery, Kind: RunBattery, NominalV: f.System.Battery.NominalV, PeakA: math.NaN(),
		TripA: math.Max(f.seen.outA, f.seen.inA),
	}
	switch {
	case in > out:
		r.DesignA, r.Why = in, fmt.Sprintf("all chargers together, %.0f A", in)
	case out > f.pack.TripA: // lead-acid gives whatever is asked of it
		r.DesignA = math.Max(f.pack.TripA, in)
		r.Why = fmt.Sprintf("the battery's limit of %.0f A, as inverter %.0f A and DC %.0f A are more", f.pack.TripA, inverter, f.dcA())
	case inverter > 0:
		r.DesignA, r.Why = out, fmt.Sprintf("inverter %.0f A and all DC appliances %.0f A", inverter, f.dcA())
	default:
		r.DesignA, r.Why = out, fmt.Sprintf("all DC appliances at once, %.0f A", out)
	}
	peak := f.dcPeakA()
	if surge > 0 {
		peak = surge + f.dcA()
	}
	if peak > r.DesignA*1.001 {
		r.PeakA = peak
	}
	return r
}

func (f *fitting) inverterRun() FittingRun {
	inv := &f.System.Inverter
	continuous, surge := f.inverterA()
	return FittingRun{
		ID: RunInverter, Kind: RunInverter, NominalV: f.System.Battery.NominalV,
		DesignA: continuous, PeakA: surge, TripA: f.seen.inverterA,
		Why: fmt.Sprintf("%.0f W of AC take %.0f W of DC, at %.1f V", inv.RatedW, f.inverterInW(inv.RatedW), f.Battery.LoadV),
	}
}

func (f *fitting) dcRun() FittingRun {
	r := FittingRun{
		ID: RunDC, Kind: RunDC, NominalV: f.System.Battery.NominalV, DesignA: f.dcA(), PeakA: math.NaN(),
		TripA: f.seen.dcA, Why: fmt.Sprintf("all DC appliances at once, %.0f W at %.1f V", f.dcW(), f.Battery.LoadV),
	}
	if peak := f.dcPeakA(); peak > r.DesignA*1.001 {
		r.PeakA = peak
	}
	return r
}

// dcPeakA is the current of all DC appliances with the largest start peak.
func (f *fitting) dcPeakA() float64 {
	start := 0.0
	for i := range f.study.demand.loads {
		if l := &f.study.demand.loads[i]; l.Supply == DC {
			start = math.Max(start, l.startW())
		}
	}
	return (f.dcW() + start) / f.Battery.LoadV
}

func (f *fitting) chargerRun(i int) FittingRun {
	c := &f.System.Chargers[i]
	return FittingRun{
		ID: numbered(RunCharger, i, len(f.System.Chargers)), Kind: RunCharger, Part: c.Name,
		NominalV: f.System.Battery.NominalV, DesignA: c.RatingA(), PeakA: math.NaN(), TripA: f.seen.chargerA[i],
		Why: "the unit's rated output",
	}
}

// alternatorRun is sized for the unit's full output at the absorption voltage
// while the vehicle's voltage is at its lowest and the run has used up its drop:
// the unit holds its output by drawing more.
func (f *fitting) alternatorRun(i int, id string) FittingRun {
	c := &f.System.Chargers[i]
	outA := c.AlternatorA
	if c.TotalA > 0 {
		outA = math.Min(outA, c.TotalA)
	}
	atUnitV := f.LowAlternatorV() - f.Options.DropPct/100*f.Options.VehicleV
	return FittingRun{
		ID: id, Kind: RunAlternator, Part: c.Name, NominalV: f.Options.VehicleV,
		DesignA: profiles.DCDCInputA(outA*f.pack.ChargeV, c.Efficiency, atUnitV), PeakA: math.NaN(), TripA: f.seen.alternatorA[i],
		Why: fmt.Sprintf("%.0f A at %.1f V out, %.0f %% efficient, %.1f V left at the unit", outA, f.pack.ChargeV, 100*c.Efficiency, atUnitV),
	}
}

// alternatorOhm is the resistance of a charger's alternator run; 0 when no
// cable was found.
func (f *fitting) alternatorOhm(charger int) float64 {
	inputs := withAlternator(f.System)
	for n, i := range inputs {
		if i != charger {
			continue
		}
		if r := f.run(numbered(RunAlternator, n, len(inputs))); r != nil && r.NoCable == "" {
			return r.Cable.RunOhm(r.OneWayM)
		}
	}
	return 0
}

func (f *fitting) panelRun(i int) FittingRun {
	pn := &f.System.Panels[i]
	powerPointA := pn.RatedW / f.Options.PanelV
	return FittingRun{
		ID: numbered(RunPanel, i, len(f.System.Panels)), Kind: RunPanel, Part: pn.Name,
		NominalV: f.Options.PanelV, DesignA: powerPointA * shortCircuit * panelMargin, PeakA: math.NaN(), TripA: f.seen.panelA[i],
		Why: fmt.Sprintf("%.0f W at %.0f V are %.1f A; %.2f times that in short circuit, and %.2f for bright sky",
			pn.RatedW, f.Options.PanelV, powerPointA, shortCircuit, panelMargin),
	}
}
