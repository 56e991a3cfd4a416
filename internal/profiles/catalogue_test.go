package profiles

import (
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestEveryPresetRowHasItsSource(t *testing.T) {
	names, err := fs.Glob(presetFiles, "presets/*.csv")
	require.NoError(t, err)
	require.Len(t, names, 8)
	for _, name := range names {
		table := readPresets(strings.TrimPrefix(name, "presets/"))
		require.NotEmpty(t, table.rows, name)
		for i, row := range table.rows {
			source := table.text(i, "source")
			assert.NotEmpty(t, strings.TrimSpace(source), "%s row %d: %v", name, i+1, row)
			for _, cell := range row {
				assert.Equal(t, strings.TrimSpace(cell), cell, "%s row %d", name, i+1)
			}
		}
	}
}

func TestApplianceCatalogueIsPlausible(t *testing.T) {
	seen := map[string]bool{}
	clock := regexp.MustCompile(`^([01]\d|2[0-3]):[0-5]\d$`)
	for _, a := range Appliances() {
		assert.Regexp(t, `^[a-z0-9_]+$`, a.ID)
		assert.False(t, seen[a.ID], "%s twice", a.ID)
		seen[a.ID] = true
		assert.NotEmpty(t, a.Name)
		assert.NotEmpty(t, a.Group)
		assert.Contains(t, []string{"dc", "ac"}, a.Supply, a.ID)
		assert.Contains(t, []string{"all", "driving", "parked", "off_grid", "mains"}, a.Days, a.ID)
		assert.True(t, a.Watts > 0 && a.Watts <= 3000, a.ID)
		assert.True(t, a.StandbyW >= 0 && a.StandbyW <= a.Watts, a.ID)
		assert.True(t, a.SurgeW >= a.Watts && a.SurgeW <= 7*a.Watts, a.ID)
		assert.True(t, a.PowerFactor > .5 && a.PowerFactor <= 1, a.ID)
		assert.GreaterOrEqual(t, a.ApparentVA(), a.Watts)
		if a.Supply == "dc" {
			assert.Equal(t, 1.0, a.PowerFactor, a.ID)
			assert.LessOrEqual(t, a.Watts, 600.0, "%s: more than 12 V carries well", a.ID)
		}
		assert.True(t, a.DutyPct > 0 && a.DutyPct <= 100, a.ID)
		switch a.Kind {
		case "steady":
		case "window":
			assert.Regexp(t, clock, a.Start, a.ID)
			assert.True(t, a.Hours > 0 && a.Hours <= 24, a.ID)
		case "uses":
			for _, at := range strings.Split(a.Times, ";") {
				assert.Regexp(t, clock, at, a.ID)
			}
			assert.True(t, a.Minutes > 0 && a.Minutes <= 600, a.ID)
		case "fridge":
			assert.Empty(t, a.Fridge.Validate(), a.ID)
			assert.Zero(t, a.DailyWh())
			w, duty, _ := runFridge(a.Fridge, 32, 1.0/12, 20, false)
			assert.Less(t, duty, .75, "%s holds at 32 C", a.ID)
			_, hot, warmest := runFridge(a.Fridge, 43, 1.0/12, 20, false)
			assert.Less(t, hot, 1.0, "%s holds at 43 C", a.ID)
			assert.Less(t, warmest, a.Fridge.SetpointC+4)
			t.Logf("%s: %.0f Wh/day at 32 C, duty %.2f (%.2f at 43 C)", a.ID, w*24, duty, hot)
		default:
			t.Errorf("%s: kind %q", a.ID, a.Kind)
		}
		if a.Kind != "fridge" {
			assert.True(t, a.DailyWh() > 0 && a.DailyWh() < 5000, "%s: %g Wh", a.ID, a.DailyWh())
		}
		found, ok := ApplianceByID(a.ID)
		assert.True(t, ok)
		assert.Equal(t, a, found)
	}
	_, ok := ApplianceByID("none")
	assert.False(t, ok)
	for _, id := range []string{
		"led_inside", "water_pump", "roof_fan", "laptop_dc", "coffee_capsule", "induction_hob", "microwave", "kettle",
		"tyre_compressor", "hair_dryer", "tool_charger_ac", "router", "cpap_dc", "diesel_heater", "air_con_dc", "electric_blanket",
		"fridge_40", "fridge_60", "freezer_40", "tv_dc", "phone", "remote_switching",
	} {
		assert.True(t, seen[id], id)
	}
}

func TestMedicalAppliancesCarryTheCaution(t *testing.T) {
	n := 0
	for _, a := range Appliances() {
		if a.Group == "medical" {
			n++
			assert.Contains(t, a.Note, "independent backup", a.ID)
			assert.True(t, a.Essential, a.ID)
		}
	}
	assert.GreaterOrEqual(t, n, 3)
}

func TestDailyEnergyOfAPreset(t *testing.T) {
	kettle, _ := ApplianceByID("kettle") // 2 x 4 min at 1,800 W
	assert.InDelta(t, 240, kettle.DailyWh(), 1e-9)
	tv, _ := ApplianceByID("tv_dc") // 2 h at 30 W, the rest .5 W
	assert.InDelta(t, 71, tv.DailyWh(), 1e-9)
	router, _ := ApplianceByID("router")
	assert.InDelta(t, 192, router.DailyWh(), 1e-9)
}

// One litre from 15 to 100 C takes 4.186 x 85 / 3.6 = 99 Wh: two boilings.
func TestKettleBoilsWater(t *testing.T) {
	kettle, _ := ApplianceByID("kettle")
	assert.Greater(t, kettle.DailyWh()/2, 99.0)
	assert.Less(t, kettle.DailyWh()/2, 99/.8)
}

func TestPartsCataloguesArePlausible(t *testing.T) {
	ids := map[string]bool{}
	for _, c := range Chargers() {
		assert.False(t, ids[c.ID], c.ID)
		ids[c.ID] = true
		assert.True(t, c.Efficiency >= .85 && c.Efficiency <= .98, c.ID)
		most := max(c.AlternatorA, c.SolarA, c.MainsA)
		assert.True(t, c.TotalA >= most && most > 0 && most <= 100, c.ID)
		assert.Contains(t, []float64{12, 24, 48}, c.NominalV)
		found, ok := ChargerByID(c.ID)
		assert.True(t, ok && found == c)
	}
	for _, id := range []string{"dcdc_20", "dcdc_25", "dcdc_30", "dcdc_40", "dcdc_50", "dcdc_60", "combined_30", "mains_15", "mains_60", "solar_20"} {
		assert.True(t, ids[id], id)
	}
	for _, p := range Panels() {
		assert.True(t, p.Watts >= 50 && p.Watts <= 500, p.ID)
		assert.Contains(t, []string{"roof", "portable"}, p.Mount)
		assert.True(t, p.TempCoeffPctPerK >= -.5 && p.TempCoeffPctPerK <= -.25, p.ID)
		assert.True(t, p.NOCTC >= 40 && p.NOCTC <= 60, p.ID)
		found, ok := PanelByID(p.ID)
		assert.True(t, ok && found == p)
	}
	for _, v := range Inverters() {
		assert.True(t, v.IdleW/v.RatedW >= .003 && v.IdleW/v.RatedW <= .015, "%s: no-load .3-1.5 %% (data sheets, from memory)", v.ID)
		_, err := NewInverter(v.RatedW, v.SurgeW, v.IdleW, 12)
		assert.NoError(t, err)
	}
	for _, b := range BatterySizes() {
		_, ok := ChemistryByID(b.ChemistryID)
		assert.True(t, ok, b.ChemistryID)
		assert.True(t, b.CapacityAh >= 20 && b.CapacityAh <= 500)
	}
	for _, c := range Chemistries() {
		sizes := CapacitiesAh(c.ID, 12)
		assert.True(t, slices.IsSorted(sizes) && len(sizes) >= 4, c.ID)
	}
	assert.Empty(t, CapacitiesAh("none", 12))
	_, ok := ChargerByID("none")
	assert.False(t, ok)
	_, ok = PanelByID("none")
	assert.False(t, ok)
	assert.True(t, slices.IsSorted(FuseSizes()))
}
