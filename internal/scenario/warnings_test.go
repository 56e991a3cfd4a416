package scenario

import (
	"math"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

func TestWarnings(t *testing.T) {
	for name, c := range map[string]struct {
		files map[string][]byte
		want  string
	}{
		"no inverter": {
			with(t, "systems.csv", "1500,3000,10,needed", ",,,"),
			`systems.csv:2: system "Small" has no inverter: Coffee runs only at powered sites`,
		},
		"limit above the inputs": {
			with(t, "chargers.csv", "25,25,,25", "25,25,,60"),
			`chargers.csv:2: total_a: 60 A is more than all inputs together (50 A) and limits nothing`,
		},
		"far apart": {
			with(t, "trip.csv", "30.09,-6.87", "30.09,6.87"),
			`trip.csv:3: latitude, longitude: "Desert" is 1591 km from the stop above, too far for 6.5 h of driving; check the coordinates`,
		},
		"a little too far": { // 120 km/h in a straight line
			with(t, "trip.csv", "30.09,-6.87", "30.09,-1.60"),
			`trip.csv:3: latitude, longitude: "Desert" is 780 km from the stop above, too far for 6.5 h of driving; check the coordinates`,
		},
		"clock off the sun": {
			with(t, "trip.csv", "Africa/Casablanca", "Asia/Tokyo"),
			`trip.csv:2: time_zone: the clock of Asia/Tokyo is 10 hours off the sun at "Coast"; check zone and longitude`,
		},
		"column of another kind": {
			with(t, "loads.csv", "Tracker,,steady,dc,1.5,,,,,,", "Tracker,,steady,dc,1.5,,,,,,3"),
			`loads.csv:5: hours: means nothing for an appliance of kind steady`,
		},
		"generator never on": {
			with(t, "trip.csv", "6.5,,,,,,,,5.6", "6.5,,,,,,1000,,5.6"),
			`trip.csv:3: generator_w: the generator never runs; give generator_hours`,
		},
		"solar unit without panel": {
			with(t, "chargers.csv", "Large,Mains charger,,,20,,90", "Large,Mains charger,,20,,,90"),
			`chargers.csv:4: "Mains charger" of system "Large" has only a solar input but no panel in panels.csv`,
		},
	} {
		t.Run(name, func(t *testing.T) {
			s, err := FromFiles("x", c.files)
			require.NoError(t, err)
			require.NotEmpty(t, s.Warnings)
			assert.Equal(t, c.want, s.Warnings[0])
		})
	}
}

func TestFileOfASimilarNameIsMentioned(t *testing.T) {
	fsys := fstest.MapFS{"notes.txt": {}, "Charger.csv": {}}
	for name, data := range baseFiles(t) {
		if name != "chargers.csv" && name != "panels.csv" {
			fsys[name] = &fstest.MapFile{Data: data}
		}
	}
	s, err := LoadFS(fsys, "x")
	require.NoError(t, err)
	assert.Equal(t, "Charger.csv: is not read; did you mean chargers.csv?", s.Warnings[0])
}

func TestHashFollowsWhatTheTablesSay(t *testing.T) {
	base := mustLoad(t, baseFiles(t))
	assert.Len(t, base.Hash, 12)
	assert.NotEqual(t, base.Hash, mustLoad(t, with(t, "trip.csv", "09:30,6.5", "09:30,6.4")).Hash)
	assert.Equal(t, base.Hash, mustLoad(t, with(t, "trip.csv", "09:30,6.5", "09:30, 6.5 ")).Hash)
}

func TestPlacesThatAreHeated(t *testing.T) {
	s := mustLoad(t, map[string][]byte{
		"trip.csv":    []byte("date,place,latitude,longitude,drive_hours\n2026-10-03,Camp,31,-6,1\n"),
		"loads.csv":   []byte("preset,name,ambient_min_c\nfridge_40,Cabin,16\nfridge_40,Canopy,\nfridge_40,Cellar,0\n"),
		"systems.csv": []byte("system,battery_ah,battery_min_c\nA,100,5\nB,100,\n"),
	})
	var min []float64
	for _, l := range s.Loads {
		if l.Fridge.Sheltered {
			min = append(min, l.Fridge.AmbientMinC)
		}
	}
	assert.Equal(t, []float64{16, 0}, min)
	assert.Equal(t, 5.0, s.Systems[0].Battery.PlaceMinC)
	assert.True(t, math.IsNaN(s.Systems[1].Battery.PlaceMinC))
}

// The catalogue's figures fill units, panels and inverters; a cell that is
// given goes before them.
func TestPresetsOfTheSystemsParts(t *testing.T) {
	s := mustLoad(t, map[string][]byte{
		"trip.csv":    []byte("date,place,latitude,longitude,drive_hours\n2026-10-03,Camp,31,-6,1\n"),
		"loads.csv":   []byte("preset\nled_inside\n"),
		"systems.csv": []byte("system,battery_ah,inverter_preset,inverter_w\nA,100,inverter_2000,\nB,100,inverter_2000,1000\n"),
		"chargers.csv": []byte("system,charger,preset,alternator_a,solar_a,efficiency_pct\n" +
			"A,As it is,dual_40,,,\nA,Larger,dual_40,60,,93\nA,Smaller,dual_40,10,10,\nB,Own,,30,,\n"),
		"panels.csv": []byte("system,panel,preset,watts,charger\nA,Roof,flexible_110,,As it is\nA,Out,folding_120,90,Larger\n"),
	})
	units := s.Systems[0].Chargers
	type rating struct{ alternatorA, solarA, totalA, efficiency float64 }
	var got []rating
	for _, u := range units {
		got = append(got, rating{u.AlternatorA, u.SolarA, u.TotalA, u.Efficiency})
	}
	assert.Equal(t, []rating{{40, 40, 40, .91}, {60, 40, 60, .93}, {10, 10, 20, .91}}, got)

	own, ok := profiles.PanelByID("flexible_110")
	require.True(t, ok)
	roof, out := s.Systems[0].Panels[0], s.Systems[0].Panels[1]
	assert.Equal(t, []float64{110, own.SoilingPct / 100, own.NOCTC}, []float64{roof.RatedW, roof.Soiling, roof.NOCTC})
	assert.Equal(t, sim.Roof, roof.Mount)
	assert.Equal(t, 90.0, out.RatedW)
	assert.Equal(t, sim.Portable, out.Mount)

	a, b := s.Systems[0].Inverter, s.Systems[1].Inverter
	assert.Equal(t, []float64{2000, 4000, 16}, []float64{a.RatedW, a.SurgeW, a.IdleW})
	assert.Equal(t, []float64{1000, 2000}, []float64{b.RatedW, b.SurgeW}, "another size has its own surge")
}

func TestALongDriveOnEveryDayOfAStopIsMentioned(t *testing.T) {
	for row, warned := range map[string]bool{
		"2,2.5,": false, "2,3,": true, "2,4.5,a drive each day": false, "3,5,a camp": true, "1,9,": false, "2,,": false,
	} {
		s := mustLoad(t, with(t, "trip.csv", string(baseFiles(t)["trip.csv"]), "date,place,latitude,longitude,elevation_m,days,drive_hours,note\n2026-10-03,Camp,31,-6,100,"+row+"\n"))
		assert.Equal(t, warned, len(s.Warnings) > 0, "%s: %v", row, s.Warnings)
	}
	s := mustLoad(t, StarterFiles())
	assert.Empty(t, s.Warnings, "the starter")
	for _, stop := range s.Trip.Stops {
		assert.Equal(t, 1, stop.Days, "the starter drives each way once")
	}
}
