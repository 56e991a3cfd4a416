package scenario

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
	"github.com/stretchr/testify/require"

	"tripsim/internal/solar"
)

// fuzzTable reads the base scenario with one table replaced. Whatever stands
// there, the answer is a scenario whose values are in range, or problems with
// places inside the file; and the text is written back byte for byte.
func fuzzTable(f *testing.F, file string) {
	base := baseFiles(f)
	f.Add(base[file])
	f.Add(StarterFiles()[file])
	paths, err := filepath.Glob("testdata/bad/*.txtar")
	require.NoError(f, err)
	for _, path := range paths {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		for _, part := range txtar.Parse(data).Files {
			if part.Name == file {
				f.Add(part.Data)
			}
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		files := baseFiles(t)
		files[file] = data
		tables, problems := Parse(files)
		if len(problems) == 0 {
			require.Equal(t, string(data), string(tables[file].Bytes()))
		}
		s, err := FromFiles("fuzz", files)
		if err != nil {
			require.Nil(t, s)
			lines := len(lineStarts(data))
			for _, p := range err.(Problems) {
				require.NotEmpty(t, p.Text)
				if p.File == file {
					require.LessOrEqual(t, p.Line, lines)
				}
			}
			return
		}
		checkRanges(t, s)
		again, err := FromFiles("fuzz", s.Tables.Files())
		require.NoError(t, err)
		require.Equal(t, s.Hash, again.Hash)
	})
}

// checkRanges holds the promises that the simulation relies on.
func checkRanges(t *testing.T, s *Scenario) {
	require.NotEmpty(t, s.Trip.Stops)
	require.LessOrEqual(t, s.Trip.Days(), MaxDays)
	date := s.Trip.Start()
	for _, stop := range s.Trip.Stops {
		require.Equal(t, date, stop.Date)
		date = date.AddDate(0, 0, stop.Days)
		require.NotNil(t, stop.Zone)
		require.True(t, stop.Position.LatDeg >= -90 && stop.Position.LatDeg <= 90)
		require.True(t, stop.Position.ElevationM > -500 && stop.Position.ElevationM < 9000)
		require.NotEqual(t, solar.Place{}, stop.Position)
		for _, span := range []struct{ StartH, Hours float64 }{{stop.Drive.StartH, stop.Drive.Hours}, {stop.Mains.StartH, stop.Mains.Hours}, {stop.Generator.StartH, stop.Generator.Hours}} {
			require.True(t, span.StartH >= 0 && span.StartH < 24 && span.Hours >= 0 && span.Hours <= 24)
		}
	}
	for _, l := range s.Loads {
		require.NotEmpty(t, l.Name)
		require.True(t, l.Watts >= 0 && l.StandbyW >= 0 && l.SurgeW >= 0 && l.Duty >= 0 && l.Duty <= 1 && l.PowerFactor > 0)
		if l.Fridge != nil {
			require.Empty(t, l.Fridge.Validate())
		}
	}
	for _, sys := range s.Systems {
		require.Empty(t, sys.Battery.Validate())
		require.True(t, sys.StartSoC >= 0 && sys.StartSoC <= 1)
		for _, p := range sys.Panels {
			require.True(t, p.Charger >= 0 && p.Charger < len(sys.Chargers) && p.RatedW > 0)
		}
	}
}

func FuzzTrip(f *testing.F)     { fuzzTable(f, "trip.csv") }
func FuzzLoads(f *testing.F)    { fuzzTable(f, "loads.csv") }
func FuzzSystems(f *testing.F)  { fuzzTable(f, "systems.csv") }
func FuzzChargers(f *testing.F) { fuzzTable(f, "chargers.csv") }
func FuzzPanels(f *testing.F)   { fuzzTable(f, "panels.csv") }
func FuzzJob(f *testing.F)      { fuzzTable(f, "job.csv") }
