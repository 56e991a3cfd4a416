package scenario

import (
	"math"
	"slices"
	"strings"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

// systems converts the three tables of the candidates.
func (k *checker) systems(systems []systemRow, chargers []chargerRow, panels []panelRow) []sim.System {
	out := make([]sim.System, 0, len(systems))
	for i := range systems {
		out = append(out, k.system(&systems[i]))
	}
	names := make([]string, 0, len(out))
	for i := range out {
		k.unique(&systems[i].System, names)
		names = append(names, out[i].Name)
	}
	for i := range chargers {
		if !k.charger(&chargers[i], out, names) {
			k.strayUnits = true
		}
	}
	for i := range panels {
		k.panel(&panels[i], out, names)
	}
	return out
}

func (k *checker) system(r *systemRow) sim.System {
	s := sim.System{
		Row:              r.System.at.line,
		Name:             k.name(&r.System),
		Battery:          k.battery(r),
		StartSoC:         k.share(&r.StartSoCPct),
		Inverter:         k.inverter(r),
		ACTransfer:       k.yesNo(&r.ACTransfer),
		AlternatorSpareA: k.number(&r.AlternatorSpare),
		ShedSoC:          k.share(&r.ShedSoCPct),
		StandbyW:         k.number(&r.StandbyW),
		DockedDays:       k.dayMask(&r.DockedDays),
		Price:            k.number(&r.Price),
		Note:             r.Note.text,
	}
	if s.VehicleV = 12; k.choice(&r.VehicleV) == "24" {
		s.VehicleV = 24
	}
	s.InverterMode, s.InverterSpan = k.operation(&r.InverterOn)
	s.Docked = k.span(&r.DockedStart, &r.DockedHours)
	k.checkSoC(r, &s)
	return s
}

func (k *checker) battery(r *systemRow) profiles.BatterySpec {
	b := profiles.BatterySpec{
		Chemistry:     k.chemistry(&r.Chemistry),
		CapacityAh:    k.number(&r.BatteryAh),
		Count:         1,
		NominalV:      12,
		Health:        k.share(&r.HealthPct),
		MinSoC:        k.share(&r.MinSoCPct),
		ReconnectSoC:  k.share(&r.ReconnectSoCPct),
		MaxChargeA:    k.number(&r.MaxChargeA),
		MaxDischargeA: k.number(&r.MaxDischargeA),
		HeaterW:       k.number(&r.HeaterW),
		PlaceOffsetK:  k.number(&r.PlaceOffsetC),
		CutoffV:       orZero(k.number(&r.CutoffV)),
		PlaceMinC:     k.number(&r.PlaceMinC),
		ChargeV:       k.number(&r.ChargeV),
	}
	if n := k.number(&r.Batteries); !math.IsNaN(n) {
		b.Count = int(n)
	}
	switch k.choice(&r.NominalV) {
	case "24":
		b.NominalV = 24
	case "48":
		b.NominalV = 48
	}
	k.checkChargeVoltage(r, &b)
	if low, high := b.CutoffRange(); b.CutoffV != 0 && !r.NominalV.bad && (b.CutoffV < low || b.CutoffV > high) {
		k.report(&r.CutoffV, "%s V is not a cut-off of a %g V battery; use e.g. %g", r.CutoffV.text, b.NominalV, 11*b.NominalV/12)
	}
	return b
}

func (k *checker) chemistry(c *cell) profiles.Chemistry {
	id, _ := k.value(c)
	if found, ok := profiles.ChemistryByID(strings.ToLower(id)); ok {
		return found
	}
	var ids []string
	for _, known := range profiles.Chemistries() {
		ids = append(ids, known.ID)
	}
	k.report(c, "%s is not a kind of battery that is known; %s", quoted(id), didYouMean(id, ids))
	found, _ := profiles.ChemistryByID(c.col.Default)
	return found
}

// charger converts a unit and hands it to its system; false if it has none.
func (k *checker) charger(r *chargerRow, systems []sim.System, names []string) bool {
	preset, ok := k.chargerPreset(&r.Preset)
	c := sim.Charger{
		Row:         r.Charger.at.line,
		Name:        k.name(&r.Charger),
		AlternatorA: k.numberOr(&r.AlternatorA, preset.AlternatorA, ok),
		SolarA:      k.numberOr(&r.SolarA, preset.SolarA, ok),
		MainsA:      k.numberOr(&r.MainsA, preset.MainsA, ok),
		TotalA:      k.number(&r.TotalA),
		Efficiency:  k.numberOr(&r.EfficiencyPct, 100*preset.Efficiency, ok) / 100,
	}
	if r.Preset.bad && !r.SolarA.given() {
		c.SolarA = math.NaN() // it may well have one
	}
	if ok && !r.TotalA.given() { // an input of its own may be larger or smaller than the preset's
		inputs := []float64{c.AlternatorA, c.SolarA, c.MainsA}
		c.TotalA = min(max(preset.TotalA, slices.Max(inputs)), inputs[0]+inputs[1]+inputs[2])
	}
	if n := k.number(&r.Priority); !math.IsNaN(n) {
		c.Priority = int(n)
	}
	i := k.systemOf(&r.System, names)
	k.checkInputs(r, &c)
	if i < 0 {
		return false
	}
	s := &systems[i]
	if ok && preset.NominalV != s.Battery.NominalV {
		k.report(&r.Preset, "%s is for %g V and system %s has %g V; take another, or give its currents without a preset",
			quoted(r.Preset.text), preset.NominalV, quoted(s.Name), s.Battery.NominalV)
	}
	k.uniqueIn(&r.Charger, s.Name, chargerNames(s))
	s.Chargers = append(s.Chargers, c)
	return true
}

func chargerNames(s *sim.System) []string {
	names := make([]string, len(s.Chargers))
	for i, c := range s.Chargers {
		names[i] = c.Name
	}
	return names
}

func (k *checker) panel(r *panelRow, systems []sim.System, names []string) {
	preset, ok := k.panelPreset(&r.Preset)
	p := sim.Panel{
		Row:            r.Panel.at.line,
		Name:           k.name(&r.Panel),
		RatedW:         k.numberOr(&r.Watts, preset.Watts, ok),
		TiltDeg:        k.number(&r.TiltDeg),
		AzimuthDeg:     k.number(&r.AzimuthDeg),
		Shade:          k.share(&r.ShadePct),
		Soiling:        k.numberOr(&r.SoilingPct, preset.SoilingPct, ok) / 100,
		TempCoeffPerK:  k.numberOr(&r.TempCoeffPctK, preset.TempCoeffPctPerK, ok) / 100,
		NOCTC:          k.numberOr(&r.NOCTC, preset.NOCTC, ok),
		DeployedAlways: k.choice(&r.Deployed) == "always",
	}
	if !ok && !r.Watts.given() && !r.Watts.bad && !r.Preset.bad {
		k.report(&r.Watts, "is blank; give the rated power, e.g. %s, or a preset", r.Watts.col.Example)
	}
	if k.choiceOr(&r.Mount, preset.Mount, ok) == "portable" {
		p.Mount = sim.Portable
	}
	if n := k.number(&r.TurnsPerDay); !math.IsNaN(n) {
		p.TurnsPerDay = int(n)
	}
	if p.AzimuthDeg == 360 {
		p.AzimuthDeg = 0
	}
	i := k.systemOf(&r.System, names)
	if i < 0 {
		return
	}
	s := &systems[i]
	var taken []string
	for _, other := range s.Panels {
		taken = append(taken, other.Name)
	}
	k.uniqueIn(&r.Panel, s.Name, taken)
	if p.Charger = k.solarInput(r, s); p.Charger >= 0 {
		s.Panels = append(s.Panels, p)
	}
}

// solarInput finds the unit that a panel feeds, -1 after reporting a mistake.
// A unit that is not found is no second mistake when chargers.csv cannot be
// read or holds units of an unknown system.
func (k *checker) solarInput(r *panelRow, s *sim.System) int {
	if !r.Charger.given() {
		return k.onlySolarUnit(r, s)
	}
	i := slices.IndexFunc(s.Chargers, func(c sim.Charger) bool { return strings.EqualFold(c.Name, r.Charger.text) })
	switch {
	case i < 0 && k.strayUnits:
	case i < 0 && len(s.Chargers) == 0:
		k.report(&r.Charger, "%s is not a unit of system %s, which has none; add it to chargers.csv with solar_a", quoted(r.Charger.text), quoted(s.Name))
	case i < 0:
		k.report(&r.Charger, "%s is not a unit of system %s; %s", quoted(r.Charger.text), quoted(s.Name), didYouMean(r.Charger.text, chargerNames(s)))
	case s.Chargers[i].SolarA == 0:
		k.report(&r.Charger, "%s of system %s has no solar input; give it solar_a in chargers.csv or name another unit", quoted(r.Charger.text), quoted(s.Name))
		return -1
	}
	return i
}

func (k *checker) onlySolarUnit(r *panelRow, s *sim.System) int {
	var solar []int
	var names []string
	for i, c := range s.Chargers {
		if c.SolarA != 0 { // NaN: reported in chargers.csv
			solar, names = append(solar, i), append(names, c.Name)
		}
	}
	switch {
	case len(solar) == 1:
		return solar[0]
	case len(solar) == 0 && !k.strayUnits:
		k.report(&r.Panel, "system %s has no unit with a solar input; give one solar_a in chargers.csv", quoted(s.Name))
	case len(solar) > 1:
		k.report(&r.Charger, "is blank, but system %s has %d units with a solar input; name one of %s", quoted(s.Name), len(solar), strings.Join(names, ", "))
	}
	return -1
}
