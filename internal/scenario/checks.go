package scenario

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

// Each function here is one check between cells or rows; its message says what
// is wrong and how to mend it.

// maxName is the longest name of a place, appliance or system, in characters.
const maxName = 500

// name returns a text cell that labels something in results.
func (k *checker) name(c *cell) string {
	s, _ := k.value(c)
	switch {
	case len([]rune(s)) > maxName:
		k.report(c, "has %d characters; at most %d are kept", len([]rune(s)), maxName)
	case strings.ContainsFunc(s, unicode.IsControl):
		k.report(c, "%s holds a line break or control character; write it in one line", quoted(s))
	}
	return s
}

// unique finds a name that stands in the table already.
func (k *checker) unique(c *cell, taken []string) {
	if !c.bad && c.given() && slices.ContainsFunc(taken, func(s string) bool { return strings.EqualFold(s, c.text) }) {
		k.report(c, "%s stands here already; every name once, e.g. %s", quoted(c.text), quoted(c.text+" 2"))
	}
}

func (k *checker) uniqueIn(c *cell, system string, taken []string) {
	if !c.bad && c.given() && slices.ContainsFunc(taken, func(s string) bool { return strings.EqualFold(s, c.text) }) {
		k.report(c, "system %s has %s already; every name once per system, e.g. %s", quoted(system), quoted(c.text), quoted(c.text+" 2"))
	}
}

// systemOf finds the system that a charger or panel belongs to, -1 if none.
func (k *checker) systemOf(c *cell, names []string) int {
	name, ok := k.value(c)
	if !ok {
		return -1
	}
	i := slices.IndexFunc(names, func(s string) bool { return strings.EqualFold(s, name) })
	unnamed := slices.Contains(names, "") // reported in systems.csv; this may be its unit
	if i < 0 && !unnamed && !k.straySystems && len(names) > 0 {
		k.report(c, "%s is not a system of systems.csv; %s", quoted(name), didYouMean(name, names))
	}
	return i
}

// checkInputs finds a unit without any input, or with a limit that says nothing.
func (k *checker) checkInputs(r *chargerRow, c *sim.Charger) {
	if r.Preset.bad || r.AlternatorA.bad || r.SolarA.bad || r.MainsA.bad || r.TotalA.bad {
		return
	}
	sum := c.AlternatorA + c.SolarA + c.MainsA
	switch {
	case sum == 0:
		k.report(&r.Charger, "%s has no input; give it alternator_a, solar_a or mains_a", quoted(r.Charger.text))
	case c.TotalA == 0:
		k.report(&r.TotalA, "%s lets nothing through; leave it blank for the sum of the inputs", quoted(r.TotalA.text))
	case c.TotalA > sum:
		k.warn("%s:%d: total_a: %g A is more than all inputs together (%g A) and limits nothing", r.TotalA.at.table.File, r.TotalA.at.line, c.TotalA, sum)
	}
}

// checkSoC holds the states of charge of a system in order.
func (k *checker) checkSoC(r *systemRow, s *sim.System) {
	minSoC := s.Battery.MinSoC
	if math.IsNaN(minSoC) {
		if r.MinSoCPct.bad {
			return
		}
		minSoC = s.Battery.Chemistry.MinSoC
	}
	below := func(c *cell, v float64) bool { return !c.bad && !math.IsNaN(v) && v < minSoC }
	if below(&r.ReconnectSoCPct, s.Battery.ReconnectSoC) {
		k.report(&r.ReconnectSoCPct, "%s %% is below the cut-off of %s %%; the battery would reconnect before it disconnects", r.ReconnectSoCPct.text, percent(minSoC))
	}
	if below(&r.StartSoCPct, s.StartSoC) {
		k.report(&r.StartSoCPct, "%s %% is below the cut-off of %s %%; start higher or lower min_soc_pct", r.StartSoCPct.text, percent(minSoC))
	}
	if s.ShedSoC > 0 && below(&r.ShedSoCPct, s.ShedSoC) {
		k.report(&r.ShedSoCPct, "%s %% is below the cut-off of %s %%, where everything is off; write a higher value or 0", r.ShedSoCPct.text, percent(minSoC))
	}
}

func percent(share float64) string { return plain(math.Round(share*1000) / 10) }

// checkChargeVoltage holds charge_v against the voltage of the system.
func (k *checker) checkChargeVoltage(r *systemRow, b *profiles.BatterySpec) {
	if r.ChargeV.bad || r.NominalV.bad || math.IsNaN(b.ChargeV) {
		return
	}
	if low, high := b.NominalV*1.05, b.NominalV*1.35; b.ChargeV < low || b.ChargeV > high {
		k.report(&r.ChargeV, "%s V does not charge a %g V battery; use e.g. %g", r.ChargeV.text, b.NominalV, 14.4*b.NominalV/12)
	}
}

// inverter checks the ratings of an inverter against each other.
func (k *checker) inverter(r *systemRow) profiles.Inverter {
	preset, ok := k.inverterPreset(&r.InverterPreset)
	rated := k.numberOr(&r.InverterW, preset.RatedW, ok)
	ok = ok && rated == preset.RatedW // surge and idle go with the size
	surge, idle := k.numberOr(&r.InverterSurgeW, preset.SurgeW, ok), k.numberOr(&r.InverterIdleW, preset.IdleW, ok)
	if r.InverterPreset.bad || r.InverterW.bad || r.InverterSurgeW.bad || r.InverterIdleW.bad || r.NominalV.bad || rated == 0 {
		return profiles.Inverter{}
	}
	if surge < rated {
		k.report(&r.InverterSurgeW, "%s W is below inverter_w; use e.g. %g or leave it blank", r.InverterSurgeW.text, 2*rated)
		return profiles.Inverter{}
	}
	if idle >= rated {
		k.report(&r.InverterIdleW, "%s W is not below inverter_w; use e.g. %g or leave it blank", r.InverterIdleW.text, math.Ceil(rated/100))
		return profiles.Inverter{}
	}
	nominalV := 12.0
	if v, ok := k.value(&r.NominalV); ok {
		fmt.Sscan(v, &nominalV) // a choice of 12, 24, 48
	}
	v, err := profiles.NewInverter(rated, surge, idle, nominalV)
	if err != nil && !slices.Contains(r.NominalV.col.Choices, r.NominalV.text) {
		return profiles.Inverter{} // nominal_v is reported where it is read
	}
	if err != nil {
		k.report(&r.InverterW, "%s", strings.TrimPrefix(err.Error(), "inverter: "))
	}
	return v
}

// checkOutlets warns of AC appliances that a system cannot feed.
func (k *checker) checkOutlets(t *sim.Trip, loads []sim.Load, systems []sim.System) {
	var ac []string
	for _, l := range loads {
		if l.Supply == sim.AC {
			ac = append(ac, l.Name)
		}
	}
	if len(ac) == 0 {
		return
	}
	powered := slices.ContainsFunc(t.Stops, func(s sim.Stop) bool { return s.Mains.Hours > 0 || s.Generator.Hours > 0 })
	for i := range systems {
		s := &systems[i]
		switch {
		case s.Inverter.RatedW > 0:
		case powered && s.ACTransfer:
			k.warn("%s:%d: system %s has no inverter: %s %s only at powered sites", systemsSpec.File, s.Row, quoted(s.Name), someOf(ac), runs(ac))
		default:
			k.warn("%s:%d: system %s has no inverter and no powered site feeds its outlets: %s never %s", systemsSpec.File, s.Row, quoted(s.Name), someOf(ac), runs(ac))
		}
	}
}

// checkSources warns of systems that nothing ever charges.
func (k *checker) checkSources(systems []sim.System) {
	for i := range systems {
		s := &systems[i]
		if len(s.Chargers) == 0 {
			k.warn("%s:%d: system %s has no unit in chargers.csv: nothing charges it", systemsSpec.File, s.Row, quoted(s.Name))
			continue
		}
		for j, c := range s.Chargers {
			fed := slices.ContainsFunc(s.Panels, func(p sim.Panel) bool { return p.Charger == j })
			if c.SolarA > 0 && !fed && c.AlternatorA == 0 && c.MainsA == 0 {
				k.warn("%s:%d: %s of system %s has only a solar input but no panel in panels.csv", chargersSpec.File, c.Row, quoted(c.Name), quoted(s.Name))
			}
		}
	}
}

// runs is the verb for one name or several.
func runs(names []string) string {
	if len(names) == 1 {
		return "runs"
	}
	return "run"
}

func someOf(names []string) string {
	if len(names) > 4 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:3], ", "), len(names)-3)
	}
	return strings.Join(names, ", ")
}
