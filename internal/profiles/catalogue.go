package profiles

import (
	"slices"
	"sync"
)

// Charger is a generic charging unit. Currents are at the battery's side (A)
// at NominalV; 0 where the unit has no such input. A combined unit shares
// TotalA between its inputs.
type Charger struct {
	ID, Name                            string
	NominalV                            float64
	AlternatorA, SolarA, MainsA, TotalA float64
	Efficiency                          float64 // 0..1
	Source                              string
}

// Panel is a generic solar panel.
type Panel struct {
	ID, Name                            string
	Watts                               float64 // at 1,000 W/m2 and 25 C
	Mount                               string  // roof or portable
	TempCoeffPctPerK, NOCTC, SoilingPct float64
	Source                              string
}

// InverterPreset is a generic inverter's rating.
type InverterPreset struct {
	ID, Name              string
	RatedW, SurgeW, IdleW float64
	Source                string
}

// BatterySize is a capacity that batteries are commonly sold in.
type BatterySize struct {
	ChemistryID          string
	NominalV, CapacityAh float64
	Source               string
}

var chargers = sync.OnceValue(func() []Charger {
	t := readPresets("chargers.csv")
	out := make([]Charger, len(t.rows))
	for i := range out {
		out[i] = Charger{
			ID: t.text(i, "id"), Name: t.text(i, "name"), NominalV: t.number(i, "nominal_v"),
			AlternatorA: t.number(i, "alternator_a"), SolarA: t.number(i, "solar_a"),
			MainsA: t.number(i, "mains_a"), TotalA: t.number(i, "total_a"),
			Efficiency: t.number(i, "efficiency_pct") / 100, Source: t.text(i, "source"),
		}
	}
	return out
})

var panels = sync.OnceValue(func() []Panel {
	t := readPresets("panels.csv")
	out := make([]Panel, len(t.rows))
	for i := range out {
		out[i] = Panel{
			ID: t.text(i, "id"), Name: t.text(i, "name"), Watts: t.number(i, "watts"), Mount: t.text(i, "mount"),
			TempCoeffPctPerK: t.number(i, "temp_coeff_pct_per_k"), NOCTC: t.number(i, "noct_c"),
			SoilingPct: t.number(i, "soiling_pct"), Source: t.text(i, "source"),
		}
	}
	return out
})

var inverters = sync.OnceValue(func() []InverterPreset {
	t := readPresets("inverters.csv")
	out := make([]InverterPreset, len(t.rows))
	for i := range out {
		out[i] = InverterPreset{
			ID: t.text(i, "id"), Name: t.text(i, "name"), RatedW: t.number(i, "rated_w"),
			SurgeW: t.number(i, "surge_w"), IdleW: t.number(i, "idle_w"), Source: t.text(i, "source"),
		}
	}
	return out
})

var batterySizes = sync.OnceValue(func() []BatterySize {
	t := readPresets("batteries.csv")
	out := make([]BatterySize, len(t.rows))
	for i := range out {
		out[i] = BatterySize{
			ChemistryID: t.text(i, "chemistry"), NominalV: t.number(i, "nominal_v"),
			CapacityAh: t.number(i, "capacity_ah"), Source: t.text(i, "source"),
		}
	}
	return out
})

// Chargers lists the generic charging units (presets/chargers.csv).
func Chargers() []Charger { return slices.Clone(chargers()) }

// Panels lists the generic panels (presets/panels.csv).
func Panels() []Panel { return slices.Clone(panels()) }

// Inverters lists the generic inverters (presets/inverters.csv).
func Inverters() []InverterPreset { return slices.Clone(inverters()) }

// BatterySizes lists the capacities sold, all chemistries (presets/batteries.csv).
func BatterySizes() []BatterySize { return slices.Clone(batterySizes()) }

// CapacitiesAh lists the capacities sold of one chemistry at a nominal voltage,
// rising. At 24 and 48 V it adds what 12 V batteries give in series.
func CapacitiesAh(chemistryID string, nominalV float64) []float64 {
	var sizes []float64
	for _, b := range batterySizes() {
		if b.ChemistryID == chemistryID && (b.NominalV == nominalV || b.NominalV == 12) {
			sizes = append(sizes, b.CapacityAh)
		}
	}
	slices.Sort(sizes)
	return slices.Compact(sizes)
}

// ChargerByID finds a generic charging unit.
func ChargerByID(id string) (Charger, bool) {
	i := slices.IndexFunc(chargers(), func(c Charger) bool { return c.ID == id })
	if i < 0 {
		return Charger{}, false
	}
	return chargers()[i], true
}

// InverterByID finds a generic inverter.
func InverterByID(id string) (InverterPreset, bool) {
	i := slices.IndexFunc(inverters(), func(v InverterPreset) bool { return v.ID == id })
	if i < 0 {
		return InverterPreset{}, false
	}
	return inverters()[i], true
}

// PanelByID finds a generic panel.
func PanelByID(id string) (Panel, bool) {
	i := slices.IndexFunc(panels(), func(p Panel) bool { return p.ID == id })
	if i < 0 {
		return Panel{}, false
	}
	return panels()[i], true
}
