package scenario

import (
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

// with returns the base scenario with pieces of its tables replaced: file, old
// text, new text, and so on.
func with(t testing.TB, edits ...string) map[string][]byte {
	t.Helper()
	files := baseFiles(t)
	for i := 0; i < len(edits); i += 3 {
		text := string(files[edits[i]])
		require.Contains(t, text, edits[i+1])
		files[edits[i]] = []byte(strings.Replace(text, edits[i+1], edits[i+2], 1))
	}
	return files
}

func mustLoad(t testing.TB, files map[string][]byte) *Scenario {
	t.Helper()
	s, err := FromFiles("test", files)
	require.NoError(t, err)
	return s
}

func TestStarterLoadsWithoutAWarning(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "trip")
	require.NoError(t, WriteNew(dir, StarterFiles()))
	s, err := Load(dir)
	require.NoError(t, err)
	assert.Empty(t, s.Warnings)
	assert.Equal(t, "trip", s.Name)
	assert.Equal(t, dir, s.Dir)
	assert.Equal(t, 5, s.Trip.Days())
	assert.Len(t, s.Systems, 2)
	for name, data := range StarterFiles() {
		for line := range strings.Lines(string(data)) {
			if strings.HasPrefix(line, "#") {
				assert.NotContains(t, line, `"`, "a spreadsheet would change comments with quotation marks: %s", name)
			}
		}
	}
}

func TestStarterTouchesNothingThatExists(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(dir, "systems.csv")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o600))
	assert.ErrorContains(t, WriteNew(dir, StarterFiles()), "systems.csv exists already")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 1, "nothing half-written")
	data, err := os.ReadFile(mine)
	require.NoError(t, err)
	assert.Equal(t, "mine", string(data))
}

func TestStarterInAPlaceThatCannotBe(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	assert.Error(t, WriteNew(filepath.Join(file, "below"), StarterFiles()))
}

func TestSaveKeepsABackup(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, WriteNew(dir, StarterFiles()))
	files := StarterFiles()
	old := files["job.csv"]
	files["job.csv"] = []byte("key,value\ncustomer,Customer Z\n")
	files["../evil.csv"] = []byte("x")
	require.NoError(t, Save(dir, files))
	backup, err := os.ReadFile(filepath.Join(dir, "job.csv.bak"))
	require.NoError(t, err)
	assert.Equal(t, old, backup)
	s, err := Load(dir)
	require.NoError(t, err)
	assert.Equal(t, "Customer Z", s.Job.Customer)
	assert.NoFileExists(t, filepath.Join(dir, "trip.csv.bak"), "unchanged tables are left alone")
	assert.NoFileExists(t, filepath.Join(filepath.Dir(dir), "evil.csv"))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Len(t, entries, 7, "no temporary file is left")
}

func TestTripValues(t *testing.T) {
	s := mustLoad(t, baseFiles(t))
	require.Len(t, s.Trip.Stops, 3)
	a, b, c := s.Trip.Stops[0], s.Trip.Stops[1], s.Trip.Stops[2]
	day := func(d int) time.Time { return time.Date(2026, 10, d, 0, 0, 0, 0, time.UTC) }
	assert.Equal(t, []time.Time{day(3), day(4), day(6)}, []time.Time{a.Date, b.Date, c.Date})
	assert.Equal(t, 2, b.Days)
	assert.Equal(t, "Desert", b.Place)
	assert.Equal(t, 3, b.Row)
	assert.Equal(t, 30.09, b.Position.LatDeg)
	assert.Equal(t, -6.87, b.Position.LonDeg)
	assert.Equal(t, 650.0, b.Position.ElevationM)
	assert.Equal(t, "Africa/Casablanca", b.Zone.String(), "from the position")
	assert.Equal(t, sim.Span{StartH: 9.5, Hours: 6.5}, b.Drive)
	assert.Equal(t, sim.Span{StartH: 18, Hours: 14}, a.Mains)
	assert.Equal(t, 10.0, a.MainsA)
	assert.Equal(t, sim.Span{}, b.Mains)
	assert.InDelta(t, 0.2, a.Shade, 1e-12)
	assert.Equal(t, 5.6, b.SunKWhM2)
	assert.Equal(t, 12.0, b.TempMinC)
	assert.Equal(t, 29.0, b.TempMaxC)
	assert.True(t, math.IsNaN(a.SunKWhM2) && math.IsNaN(a.TempMinC) && math.IsNaN(a.TempMaxC), "blank: climate")
}

func TestTripDefaults(t *testing.T) {
	files := baseFiles(t)
	files["trip.csv"] = []byte("date,place,latitude,longitude,drive_hours,mains_hours,mains_start,generator_hours,generator_w,elevation_m\n" +
		"2026-10-03,Camp,31.73,-5.93,2,24,,,,\n,Camp again,,,,18,22:00,,,\n,Pass,-16.5,-68.15,,,,2,900,3650\n")
	_, err := FromFiles("x", files)
	require.EqualError(t, err, `trip.csv:2: mains_hours: mains from 00:00 to 00:00 overlaps the drive of the same day from 09:00 to 11:00; shorten one or move it`)
	files["trip.csv"] = []byte(strings.Replace(string(files["trip.csv"]), "-5.93,2,24", "-5.93,0,24", 1))
	s, err := FromFiles("x", files)
	require.NoError(t, err)
	assert.Equal(t, sim.Span{StartH: 0, Hours: 24}, s.Trip.Stops[0].Mains, "24 hours are the whole day")
	assert.Equal(t, sim.Span{StartH: 22, Hours: 18}, s.Trip.Stops[1].Mains)
	assert.Equal(t, s.Trip.Stops[0].Position, s.Trip.Stops[1].Position, "blank: the row above")
	assert.Greater(t, s.Trip.Stops[0].Position.ElevationM, 300.0, "from the climate data")
	assert.Equal(t, "America/La_Paz", s.Trip.Stops[2].Zone.String())
	assert.Equal(t, sim.Span{StartH: 17, Hours: 2}, s.Trip.Stops[2].Generator)
	assert.Equal(t, 900.0, s.Trip.Stops[2].GenW)
}

func TestSystemValues(t *testing.T) {
	s := mustLoad(t, with(t, "systems.csv", "Large,lifepo4,200,2,12,100,10,15,100,,,,", "Large,AGM,200,2,24,80,15,60,90,50,150,28.8,40"))
	small, large := s.Systems[0], s.Systems[1]
	assert.Equal(t, "agm", large.Battery.Chemistry.ID)
	assert.Equal(t, 200.0, large.Battery.CapacityAh)
	assert.Equal(t, 2, large.Battery.Count)
	assert.Equal(t, 24.0, large.Battery.NominalV)
	assert.InDelta(t, 0.8, large.Battery.Health, 1e-12)
	assert.InDelta(t, 0.15, large.Battery.MinSoC, 1e-12)
	assert.InDelta(t, 0.60, large.Battery.ReconnectSoC, 1e-12)
	assert.InDelta(t, 0.90, large.StartSoC, 1e-12)
	assert.Equal(t, []float64{50, 150, 28.8, 40}, []float64{large.Battery.MaxChargeA, large.Battery.MaxDischargeA, large.Battery.ChargeV, large.Battery.HeaterW})
	assert.Equal(t, sim.InverterWindow, large.InverterMode)
	assert.Equal(t, sim.Span{StartH: 7, Hours: 15}, large.InverterSpan)
	assert.Equal(t, []float64{2000, 4000, 14}, []float64{large.Inverter.RatedW, large.Inverter.SurgeW, large.Inverter.IdleW})
	assert.Equal(t, 21.0, large.Inverter.CutoffV, "of a 24 V system")
	assert.InDelta(t, 0.2, large.ShedSoC, 1e-12)
	assert.Equal(t, 1.0, large.StandbyW)
	assert.Equal(t, 2900.0, large.Price)
	assert.True(t, large.ACTransfer)
	assert.Equal(t, sim.AllDays, large.DockedDays)
	assert.Equal(t, 24.0, large.Docked.Hours, "a built-in battery is always docked")
	assert.Equal(t, 60.0, small.AlternatorSpareA)
	assert.Empty(t, small.Battery.Validate())
	assert.Empty(t, large.Battery.Validate())

	require.Len(t, large.Chargers, 2)
	dc := large.Chargers[0]
	assert.Equal(t, []float64{40, 40, 0, 40, 0.92, 1}, []float64{dc.AlternatorA, dc.SolarA, dc.MainsA, dc.TotalA, dc.Efficiency, float64(dc.Priority)})
	assert.True(t, math.IsNaN(large.Chargers[1].TotalA), "blank: the sum")
	suitcase := large.Panels[0]
	assert.Equal(t, sim.Portable, suitcase.Mount)
	assert.Equal(t, 0, suitcase.Charger)
	assert.Equal(t, 3, suitcase.TurnsPerDay)
	assert.True(t, math.IsNaN(suitcase.AzimuthDeg), "blank: turned to the sun")
	assert.InDelta(t, -0.0035, suitcase.TempCoeffPerK, 1e-12)
	assert.InDelta(t, 0.03, suitcase.Soiling, 1e-12)
	assert.Equal(t, 47.0, suitcase.NOCTC)
	assert.False(t, suitcase.DeployedAlways)
}

func TestMinimalSystemTakesTheDefaults(t *testing.T) {
	files := baseFiles(t)
	files["systems.csv"] = []byte("system,battery_ah\nBare,50\n")
	delete(files, "chargers.csv")
	delete(files, "panels.csv")
	delete(files, "job.csv")
	s := mustLoad(t, files)
	b := s.Systems[0]
	assert.Equal(t, "lifepo4", b.Battery.Chemistry.ID)
	assert.Equal(t, 1.0, b.StartSoC)
	assert.True(t, math.IsNaN(b.Battery.MinSoC) && math.IsNaN(b.AlternatorSpareA) && math.IsNaN(b.Price))
	assert.Zero(t, b.Inverter.RatedW)
	assert.Empty(t, b.Battery.Validate())
	assert.Equal(t, Job{Title: "test", Currency: "EUR", TargetFlatRisk: 0.05}, s.Job)
}

func TestPresetFillsARowAndCellsOverrideIt(t *testing.T) {
	kettle, ok := profiles.ApplianceByID("kettle")
	require.True(t, ok)
	files := baseFiles(t)
	files["loads.csv"] = []byte("name,preset,watts,times,supply,days,essential,litres,standby_w\n" +
		",kettle,,,,,,,\nSmall kettle,kettle,900,06:00 21:00,,parked,yes,,0.5\nBreathing,cpap_dc,,,,,,,\nFridge,fridge_40,,,,,,80,\n")
	s := mustLoad(t, files)
	k := s.Loads[0]
	assert.Equal(t, kettle.Name, k.Name)
	assert.Equal(t, sim.Uses, k.Kind)
	assert.Equal(t, sim.AC, k.Supply)
	assert.Equal(t, kettle.Watts, k.Watts)
	assert.Equal(t, kettle.Minutes, k.Minutes)
	assert.Equal(t, kettle.Essential, k.Essential)
	assert.Len(t, k.TimesH, len(strings.Split(kettle.Times, ";")))
	own := s.Loads[1]
	assert.Equal(t, 900.0, own.Watts)
	assert.Equal(t, 0.5, own.StandbyW)
	assert.Equal(t, []float64{6, 21}, own.TimesH)
	assert.Equal(t, sim.ParkedDays, own.Days)
	assert.True(t, own.Essential)
	assert.InDelta(t, kettle.SurgeW/kettle.Watts*900, own.SurgeW, 1e-9)
	assert.True(t, s.Loads[2].Medical)
	preset, _ := profiles.ApplianceByID("fridge_40")
	fridge := s.Loads[3].Fridge
	require.NotNil(t, fridge)
	assert.Equal(t, 80.0, fridge.Litres)
	assert.InDelta(t, preset.Fridge.UAWPerK*math.Pow(2, 2.0/3), fridge.UAWPerK, 1e-9, "walls by the surface")
	assert.Empty(t, fridge.Validate())
}

func TestEveryPresetLoads(t *testing.T) {
	rows := "preset\n"
	for _, a := range profiles.Appliances() {
		rows += a.ID + "\n"
	}
	files := baseFiles(t)
	files["loads.csv"] = []byte(rows)
	s := mustLoad(t, files)
	for i, a := range profiles.Appliances() {
		l := s.Loads[i]
		assert.Equal(t, a.Kind, l.Kind.String(), a.ID)
		assert.Equal(t, a.Supply, l.Supply.String(), a.ID)
		assert.Equal(t, a.Days, l.Days.String(), a.ID)
		assert.False(t, math.IsNaN(l.Watts), a.ID)
	}
}

func TestFridgeWithoutPreset(t *testing.T) {
	files := baseFiles(t)
	files["loads.csv"] = []byte("name,kind,setpoint_c,watts,night_setback_c,driving_offset_c\nFreezer,fridge,-18,60,2,5\nBox,fridge,,,,\n")
	s := mustLoad(t, files)
	f := s.Loads[0].Fridge
	assert.Equal(t, []float64{-18, 60, 2, 5}, []float64{f.SetpointC, f.CompressorW, f.NightSetbackC, f.DrivingOffsetC})
	assert.Equal(t, 60.0, s.Loads[0].Watts)
	assert.Equal(t, 40.0, s.Loads[1].Fridge.Litres)
	assert.Equal(t, 5.0, s.Loads[1].Fridge.SetpointC)
}

func TestTenMistakesGiveTenErrors(t *testing.T) {
	files := with(t,
		"trip.csv", "09:30,6.5", "09:30,9h",
		"trip.csv", "-8.00", "-188",
		"trip.csv", ",20,,,,", ",120,,,,",
		"loads.csv", ",steady,dc,1.5", ",steady,dc,-1.5",
		"loads.csv", "fridge_40", "fridge_41",
		"systems.csv", "Large,lifepo4", "Large,lipo",
		"systems.csv", "Small,lifepo4,100", "Small,lifepo4,",
		"chargers.csv", "Large,Mains charger", "Lagre,Mains charger",
		"panels.csv", "watts", "wats",
		"job.csv", "target_flat_risk_pct,5", "target_flat_risk_pct,five")
	_, err := FromFiles("x", files)
	assert.Equal(t, strings.TrimSpace(`
trip.csv:2: shade_pct: "120" is not from 0 to 100 percent; use e.g. 0 or 40
trip.csv:3: drive_hours: "9h" is not a number of hours; use e.g. 9 or 9.5
trip.csv:4: longitude: "-188" is not from -180 to 180 degrees; use e.g. -6.91 or 18.4
loads.csv:3: preset: "fridge_41" is not in the catalogue of appliances; did you mean fridge_40?
loads.csv:5: watts: "-1.5" is not from 0 to 50000 watts; use e.g. 12 or 60
systems.csv:2: battery_ah: is blank; use e.g. 100
systems.csv:3: chemistry: "lipo" is not a kind of battery that is known; known are lifepo4, agm, gel, flooded
chargers.csv:4: system: "Lagre" is not a system of systems.csv; did you mean Large?
panels.csv:1: "wats" is not a column of this table; did you mean watts?
job.csv:5: target_flat_risk_pct: "five" is not a number of percent; use e.g. 5`), err.Error())
}

// An editor finds the cell of a problem by row and column.
func TestProblemsNameTheCell(t *testing.T) {
	files := with(t, "trip.csv", "09:30,6.5", "09:30,9h")
	files["trip.csv"] = append([]byte("# a comment\n\n"), files["trip.csv"]...)
	tables, problems := Parse(files)
	require.Empty(t, problems)
	_, err := Reader{}.build("x", tables, nil)
	var found Problems
	require.ErrorAs(t, err, &found)
	require.Len(t, found, 1)
	p := found[0]
	assert.Equal(t, 5, p.Line)
	assert.Equal(t, "drive_hours", p.Column)
	cell := tables["trip.csv"].Rows[p.Row].Cell(tables["trip.csv"].Column(p.Column))
	assert.Equal(t, "9h", cell)
	line := strings.Split(string(files["trip.csv"]), "\n")[p.Line-1]
	assert.Equal(t, "9h", line[p.Col-1:p.Col+1])
}

func TestMissingAndUnreadableFiles(t *testing.T) {
	_, err := LoadFS(fstest.MapFS{}, "x")
	assert.EqualError(t, err, "trip.csv: is missing; a scenario needs trip.csv with one stop per row (tripsim new writes an example)\n"+
		"loads.csv: is missing; a scenario needs loads.csv with one appliance per row (tripsim new writes an example)\n"+
		"systems.csv: is missing; a scenario needs systems.csv with one candidate per row (tripsim new writes an example)")

	_, err = Load(filepath.Join(t.TempDir(), "nowhere"))
	assert.ErrorContains(t, err, "cannot be read: no such file or directory")

	base := baseFiles(t)
	fsys := fstest.MapFS{}
	for name, data := range base {
		fsys[name] = &fstest.MapFile{Data: data}
	}
	fsys["chargers.csv"] = &fstest.MapFile{Mode: fs.ModeDir}
	fsys["job.csv"] = &fstest.MapFile{Data: make([]byte, MaxFile+2)}
	_, err = LoadFS(fsys, "x")
	assert.EqualError(t, err, "chargers.csv: cannot be read: it is not a regular file; put the table there\n"+
		"job.csv: the file is larger than 16 MiB; a scenario's table is far smaller")
}

func TestTooManyRows(t *testing.T) {
	rows := func(head, row string, n int) []byte { return []byte(head + "\n" + strings.Repeat(row+"\n", n)) }
	for file, data := range map[string][]byte{
		"trip.csv":    rows("date,place,latitude,longitude", "2026-10-03,A,1,1", MaxDays+1),
		"loads.csv":   rows("name,kind,watts", "a,steady,1", MaxLoads+1),
		"systems.csv": rows("system,battery_ah", "a,100", MaxSystems+1),
	} {
		files := baseFiles(t)
		files[file] = data
		_, err := FromFiles("x", files)
		assert.ErrorContains(t, err, "the table has more than ", file)
	}
}
