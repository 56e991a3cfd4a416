package report

import (
	"flag"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// golden compares a text with a file in testdata; -update rewrites it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		require.NoError(t, os.MkdirAll("testdata", 0o755))
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "go test ./internal/report -update makes it")
	assert.Equal(t, string(want), got)
}

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

func battery(ah float64) profiles.BatterySpec {
	c, ok := profiles.ChemistryByID("lifepo4")
	if !ok {
		panic("no such chemistry")
	}
	return profiles.NewBatterySpec(c, ah, 1, 12)
}

// invented is a small result made by hand, for the look of tables and files: a
// system, days of 24 hours in steps of an hour, every figure easy to follow. Days
// in flat are flat from midnight for six hours.
type invented struct {
	system string
	ah     float64
	zone   string
	start  string // date
	places []string
	flat   []int
}

func (v invented) result(t testing.TB) *sim.Result {
	t.Helper()
	start, err := time.Parse(time.DateOnly, v.start)
	require.NoError(t, err)
	z := zone(t, v.zone)
	system := &sim.System{
		Name: v.system, Battery: battery(v.ah), Price: math.NaN(), StartSoC: 1,
		Chargers: []sim.Charger{{Name: "DC", AlternatorA: 40, Efficiency: 0.9}},
		Panels:   []sim.Panel{{Name: "Roof", RatedW: 160}},
	}
	r := &sim.Result{
		Trip: &sim.Trip{Name: "Invented"}, System: system, Step: time.Hour,
		Weather: "typical weather: invented", StartSoC: 1, LowSoC: 1, LowReserve: 1, MinSoC: 0.1, AutonomyDays: 2.5,
		WearShare: 0.0012, EquivalentCycles: 1.5,
	}
	for i, place := range v.places {
		date := start.AddDate(0, 0, i)
		r.Trip.Stops = append(r.Trip.Stops, sim.Stop{
			Date: date, Days: 1, Place: place, Zone: z,
			Position: solar.Place{LatDeg: 30 + float64(i), LonDeg: -7, ElevationM: 500},
			Drive:    sim.Span{StartH: 9, Hours: 2},
		})
		r.Climate = append(r.Climate, sim.StopClimate{
			Place: place, GHIKWhM2: 5, TempMinC: 10, TempMaxC: 25,
			NearestKM: 10 + 20*float64(i), Source: "Invented climate",
		})
		v.addDay(r, i, date, place, z)
	}
	r.EndSoC = r.Rows[len(r.Rows)-1].SoC
	r.Loads = []sim.LoadAccount{
		{Name: "Fridge", AskedWh: 400 * float64(len(v.places)), UnservedWh: r.Total.UnservedWh, DutyMean: 0.3, WarmestC: 6},
		{Name: "Coffee machine", Supply: sim.AC, AskedWh: 100, DutyMean: math.NaN(), WarmestC: math.NaN()},
	}
	return r
}

func (v invented) addDay(r *sim.Result, i int, date time.Time, place string, z *time.Location) {
	first := time.Date(date.Year(), date.Month(), date.Day(), 0, 0, 0, 0, z).UTC()
	end := time.Date(date.Year(), date.Month(), date.Day()+1, 0, 0, 0, 0, z).UTC()
	flat := false
	for _, f := range v.flat {
		flat = flat || f == i
	}
	day := sim.Day{
		Date: date, Stop: i, Place: place, FirstRow: len(r.Rows), DriveH: 2, LowSoC: 0.5,
		TempMinC: 10, TempMaxC: 25.5, SunKWhM2: 5.25, LowAt: first.Add(6 * time.Hour),
	}
	for at := first; at.Before(end); at = at.Add(time.Hour) {
		local := at.In(z)
		row := sim.Row{SoC: 0.5, FloorSoC: 0.1, VoltageV: 13.2, BatteryA: -1, PeakA: 4, BatteryC: 20}
		row.DCLoadWh = 20
		if h := local.Hour(); h >= 9 && h < 11 {
			row.AlternatorWh, row.AlternatorBusWh, row.ChargerLossWh, row.InputA = 220, 200, 20, 17
		}
		if flat && at.Sub(first) < 6*time.Hour {
			row.FlatH, row.DCLoadWh, row.UnservedWh, row.SoC = 1, 0, 20, 0.1
			day.LowSoC, day.LowAt = 0.1, first.Add(time.Hour)
		}
		row.StoreChangeWh = row.AlternatorBusWh - row.DCLoadWh
		r.Slots = append(r.Slots, sim.Slot{Start: at, LocalH: float64(local.Hour()), Day: i, Stop: i})
		r.Rows = append(r.Rows, row)
		r.Traces.AirC = append(r.Traces.AirC, 18)
		r.Traces.GHIWm2 = append(r.Traces.GHIWm2, 100)
		r.Traces.DemandW = append(r.Traces.DemandW, 20)
		day.Ledger.Add(&row.Ledger)
		day.Hours++
		day.FlatH += row.FlatH
	}
	day.EndRow, day.EndSoC = len(r.Rows), 0.5
	r.Days = append(r.Days, day)
	r.Total.Add(&day.Ledger)
	r.FlatH += day.FlatH
	r.LowSoC, r.LowReserve = min(r.LowSoC, day.LowSoC), min(r.LowReserve, day.LowSoC-r.MinSoC)
	if day.FlatH > 0 {
		r.FlatDays++
		r.Flats = append(r.Flats, sim.FlatSpell{
			Start: first, End: first.Add(6 * time.Hour), UnservedWh: day.UnservedWh,
			Cause: "In the 24 h before, the appliances asked for 480 Wh; sun gave 0 Wh, no driving.",
			Drew:  []sim.Share{{Name: "Fridge", Wh: 400}, {Name: "Lights", Wh: 80}}, Missing: []string{"no driving"},
		})
	}
}

func inventedRisk(r *sim.Result, flat int) *sim.Risk {
	k := &sim.Risk{
		System: r.System, Draws: 1000, Weather: "invented weather, seed 1", FlatDraws: flat,
		Flat: sim.Proportion{Share: float64(flat) / 1000, Low: 0.02, High: 0.05},
		Wear: 0.0025, Reserve: sim.Distribution{Q50: 0.4}, Unserved: sim.Distribution{Max: 700}, SourceWh: [4]float64{1, 2, 3, 4},
	}
	for i := range r.Days {
		k.ByDay = append(k.ByDay, sim.DayRisk{
			Date: r.Days[i].Date,
			Flat: sim.Proportion{Share: float64(flat) / 1000 / float64(i+1), Low: 0.001, High: 0.1},
		})
	}
	for i := range r.Rows {
		k.Bands = append(k.Bands, sim.Band{At: r.Slots[i].Start.Add(time.Hour), Q05: 0.2, Q25: 0.3, Q50: 0.4, Q75: 0.5, Q95: 0.6})
	}
	return k
}

// plain undoes the no-break spaces, for comparing.
func plain(s string) string { return plainSpaces.Replace(s) }

func joined(lines []string) string { return strings.Join(lines, "\n") }
