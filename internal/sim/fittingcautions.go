package sim

import (
	"fmt"
	"math"
)

// layCautions tells what this system in particular asks for.
func (f *fitting) layCautions() {
	if f.System.Portable() {
		f.warn("This battery is taken to its chargers only at times, as a portable pack is: battery, inverter and outlets are inside it, " +
			"with the maker's own cables and fuses. The runs marked so are for judging it, not for laying.")
	}
	f.cautionCables()
	f.cautionAlternator()
	f.cautionCharge()
	f.cautionInverter()
	f.cautionPanels()
	f.cautionCold()
	if n := f.System.Battery.Count; n > 1 {
		f.warn("%d batteries in parallel: a fuse at each, leads of equal length, plus taken from the first and minus from the last. "+
			"If one switches off, the others carry everything: size each lead for the main run.", n)
	}
}

func (f *fitting) warn(format string, a ...any) {
	f.Cautions = append(f.Cautions, fmt.Sprintf(format, a...))
}

func (f *fitting) cautionCables() {
	for i := range f.Runs {
		r := &f.Runs[i]
		if r.NoCable != "" {
			f.warn("Run %s: %s.", r.ID, r.NoCable)
		} else if r.Cable.Parallel > 1 {
			f.warn("Run %s takes %d cables of %g mm² in parallel, of equal length; a higher nominal voltage would be simpler.",
				r.ID, r.Cable.Parallel, r.Cable.MM2)
		}
	}
}

func (f *fitting) cautionAlternator() {
	spare := f.System.AlternatorSpareA
	usual, low := f.alternatorA(ModeDriving), 0.0
	for i := range f.Runs {
		if f.Runs[i].Kind == RunAlternator {
			low += f.Runs[i].DesignA
		}
	}
	if low == 0 {
		return
	}
	f.warn("A voltage-controlled vehicle lets its voltage fall while driving; the units then hold their output by drawing more: "+
		"up to %.0f A at %.1f V against %.0f A at %.1f V. They need the ignition or engine-running signal, and cable and fuse for the larger current.",
		low, f.LowAlternatorV(), usual, f.UsualAlternatorV())
	if math.IsNaN(spare) {
		f.warn("The alternator's spare current is not given (alternator_spare_a): make sure that it can give %.0f A beyond the vehicle's own needs.", low)
		return
	}
	if low > spare {
		f.warn("At low voltage the units may ask for %.0f A and the alternator has %.0f A to spare: limit their input current, or charge at less.", low, spare)
	}
	if half := spare / 2; usual > half {
		f.warn("At idle an alternator has about half of its spare current, here %.0f A of %.0f A (common practice): test with the engine at a fast idle.", half, spare)
	}
}

// alternatorA is the alternator's current to all units in a mode.
func (f *fitting) alternatorA(mode string) float64 {
	sum := 0.0
	for i := range f.Modes {
		for _, in := range f.Modes[i].Inputs {
			if f.Modes[i].Name == mode && in.Source == SourceAlternator {
				sum += in.InA
			}
		}
	}
	return sum
}

func (f *fitting) cautionCharge() {
	most := 0.0
	for i := range f.Modes {
		most = math.Max(most, f.Modes[i].OfferA)
		for _, in := range f.Modes[i].Inputs {
			if in.Limit == LimitSite && f.Modes[i].Name == ModeMains {
				f.warn("The smallest site of the trip gives %.0f A at %d V, which holds the mains charger back.", f.siteW()/siteV, siteV)
			}
		}
	}
	if most > f.pack.MaxChargeA*(1+1e-9) {
		f.warn("The chargers can give %.0f A together, the battery is to have no more than %.0f A: set them lower, or take a larger battery. "+
			"A battery without electronics does not defend itself.", most, f.pack.MaxChargeA)
	}
}

func (f *fitting) cautionInverter() {
	inv := &f.System.Inverter
	if inv.RatedW <= 0 {
		return
	}
	continuous, surge := f.inverterA()
	switch lead := !f.System.Battery.Chemistry.Lithium(); {
	case continuous > f.pack.MaxDischargeA && lead:
		f.warn("At its rating of %.0f W the inverter draws %.0f A and the battery should give %.0f A at most: more than it should give, and nothing cuts it off. "+
			"Use a larger battery or a smaller inverter; the fuse protects the cable, not the battery.", inv.RatedW, continuous, f.pack.MaxDischargeA)
	case continuous > f.pack.MaxDischargeA:
		f.warn("At its rating of %.0f W the inverter draws %.0f A and the battery gives %.0f A at most: its protection will cut off first. "+
			"Use a larger battery or a smaller inverter.", inv.RatedW, continuous, f.pack.MaxDischargeA)
	}
	if surge > f.pack.MaxDischargeA*1.001 {
		f.warn("The inverter's surge of %.0f W asks for about %.0f A for a moment; the battery's %.0f A are for continuous use: see its short-time rating.",
			inv.SurgeW, surge, f.pack.MaxDischargeA)
	}
	volt := f.surgeV()
	for _, id := range []string{RunBattery, RunInverter} {
		if r := f.run(id); r != nil && r.NoCable == "" {
			volt -= surge * r.Cable.RunOhm(r.OneWayM)
		}
	}
	if volt < inv.CutoffV {
		f.warn("With the battery low the surge leaves %.1f V at the inverter, which switches off below %.1f V: big motors may not start then.", volt, inv.CutoffV)
	}
}

func (f *fitting) cautionPanels() {
	for u, c := range chargerOrder(f.System.Chargers) {
		if limitW := f.plan.units[u].solarA * f.Battery.BulkV; limitW > 0 && f.noon.clearW[u] > limitW {
			f.warn("%s passes %.0f A of solar; its panels could give %.0f A at a clear noon. That does no harm, but the rest is spilled.",
				f.System.Chargers[c].Name, f.plan.units[u].solarA, f.noon.clearW[u]/f.Battery.BulkV)
		}
	}
}

func (f *fitting) cautionCold() {
	c := &f.System.Battery.Chemistry
	switch {
	case c.Lithium():
		ah := f.pack.CapacityAh
		f.warn("Lithium takes no charge below %.0f °C, and only %.0f to %.0f A between %.0f and 10 °C: test in the warm, and give the battery a place that stays warm.",
			c.ChargeMinC, c.ColdChargeCAt0*ah, c.ColdChargeCAt10*ah, c.ChargeMinC)
	default:
		f.warn("A lead-acid battery tapers early: above 80 %% the readings fall by themselves. Set the charger to its type, %.1f V at 25 °C, with a temperature sensor on the battery.",
			f.pack.ChargeV)
	}
}
