package scenarios_test

import (
	"context"
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/scenario"
	"tripsim/internal/sim"
	"tripsim/scenarios"
)

func load(t *testing.T, name string) *scenario.Scenario {
	t.Helper()
	fsys, err := scenarios.FS(name)
	require.NoError(t, err)
	s, err := scenario.LoadFS(fsys, name)
	require.NoError(t, err)
	return s
}

func TestShippedScenariosLoad(t *testing.T) {
	require.GreaterOrEqual(t, len(scenarios.Names()), 5)
	for _, name := range scenarios.Names() {
		t.Run(name, func(t *testing.T) {
			s := load(t, name)
			for _, w := range s.Warnings {
				assert.Contains(t, w, "has no inverter", "the only thing the examples are warned of")
			}
			assert.True(t, strings.HasPrefix(s.Job.Customer, "Customer "))
			assert.GreaterOrEqual(t, s.Trip.Days(), 7)
			assert.LessOrEqual(t, s.Trip.Days(), 21)
			assert.GreaterOrEqual(t, len(s.Systems), 3)
			fsys, err := scenarios.FS(name)
			require.NoError(t, err)
			readme, err := fs.ReadFile(fsys, "README.md")
			require.NoError(t, err)
			assert.Contains(t, string(readme), "invented")
		})
	}
}

// The README of each scenario says which systems hold in typical weather.
func TestWhatHoldsInTypicalWeather(t *testing.T) {
	flat := map[string][]string{
		"morocco-october": {"Entry 60", "Portable pack 100"},
		"karoo-july":      {"Weekend 100 AGM"},
	}
	for _, name := range scenarios.Names() {
		s := load(t, name)
		study, err := sim.NewStudy(&s.Trip, s.Loads, sim.DefaultOptions())
		require.NoError(t, err)
		var ranFlat []string
		for i := range s.Systems {
			r, err := study.Typical(&s.Systems[i])
			require.NoError(t, err)
			if r.FlatDays > 0 {
				ranFlat = append(ranFlat, s.Systems[i].Name)
				assert.LessOrEqual(t, r.FlatDays, s.Trip.Days()/2, "%s: flat on some days only", s.Systems[i].Name)
			}
		}
		assert.Equal(t, flat[name], ranFlat, name)
	}
}

// And which hold in most of the simulated trips, but not in all.
func TestWhatRunsFlatNowAndThen(t *testing.T) {
	visible := map[string][]string{
		"morocco-october":  {"Weekend 100", "Weekend 100 with inverter"},
		"norway-september": {"Weekend 100", "Weekend 100 with inverter"},
		"altiplano-june":   {"Touring 200 combined"},
	}
	for _, name := range scenarios.Names() {
		s := load(t, name)
		study, err := sim.NewStudy(&s.Trip, s.Loads, sim.DefaultOptions())
		require.NoError(t, err)
		systems := make([]*sim.System, len(s.Systems))
		for i := range s.Systems {
			systems[i] = &s.Systems[i]
		}
		risks, err := study.Ensemble(context.Background(), systems, 200, nil)
		require.NoError(t, err)
		var now []string
		for _, r := range risks {
			if r.Flat.Share >= 0.04 && r.Flat.Share <= 0.5 {
				now = append(now, r.System.Name)
			}
		}
		assert.Equal(t, visible[name], now, name)
	}
}

// What needs a large inverter is used by the systems that have one.
func TestTheHobIsUsed(t *testing.T) {
	s := load(t, "morocco-october")
	study, err := sim.NewStudy(&s.Trip, s.Loads, sim.DefaultOptions())
	require.NoError(t, err)
	for i := range s.Systems {
		r, err := study.Typical(&s.Systems[i])
		require.NoError(t, err)
		for _, l := range r.Loads {
			if l.Name == "Induction hob" && s.Systems[i].Inverter.RatedW >= 2000 {
				assert.Zero(t, l.NoOutletWh, s.Systems[i].Name)
				assert.Greater(t, l.DailyWh, 200.0, s.Systems[i].Name)
			}
		}
	}
}

// A battery without a heater refuses charge in the frost for hours; a heater
// needs a source, and then soon has it warm enough.
func TestAltiplanoRefusesChargeWithoutAHeater(t *testing.T) {
	s := load(t, "altiplano-june")
	study, err := sim.NewStudy(&s.Trip, s.Loads, sim.DefaultOptions())
	require.NoError(t, err)
	refused := map[string]int{}
	for i := range s.Systems {
		r, err := study.Typical(&s.Systems[i])
		require.NoError(t, err)
		for _, row := range r.Rows {
			if row.Refused {
				refused[s.Systems[i].Name]++
			}
		}
	}
	assert.Greater(t, refused["Touring 200 combined"], 20)
	assert.Less(t, refused["Touring 200 heated"], refused["Touring 200 combined"]*2/3)
}

// The zone of a stop follows from its position, and the clocks of one trip go
// back on the way.
func TestClocksGoBackInPatagonia(t *testing.T) {
	s := load(t, "patagonia-march")
	for _, stop := range s.Trip.Stops {
		if stop.Place == "Chaiten" {
			assert.Equal(t, "America/Santiago", stop.Zone.String())
			_, before := stop.Date.In(stop.Zone).Zone()
			_, after := stop.Date.AddDate(0, 0, 2).In(stop.Zone).Zone()
			assert.Equal(t, 3600, before-after)
		}
	}
}

func TestUnknownScenario(t *testing.T) {
	for _, name := range []string{"", ".", "..", "nowhere", "../scenarios"} {
		_, err := scenarios.FS(name)
		assert.ErrorIs(t, err, fs.ErrNotExist, name)
	}
}
