package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// --fail-if-flat is about the systems shown: flat in typical weather, or flat in
// more simulated trips than the scenario accepts.
func TestFailIfFlatLooksAtTypicalWeatherAndAtRisk(t *testing.T) {
	lithium, ok := profiles.ChemistryByID("lifepo4")
	require.True(t, ok)
	system := &sim.System{Name: "S", Battery: profiles.NewBatterySpec(lithium, 100, 1, 12)}
	holds := &sim.Result{System: system, LowReserve: 0.5}
	flat := &sim.Result{System: system, FlatH: 1, FlatDays: 1}
	risky := &sim.Risk{Draws: 100, FlatDraws: 6, Flat: sim.Proportion{Share: 0.06}}
	safe := &sim.Risk{Draws: 100, FlatDraws: 5, Flat: sim.Proportion{Share: 0.05}}
	for _, c := range []struct {
		result *sim.Result
		risk   *sim.Risk
		shown  []int
		want   bool
	}{
		{holds, nil, []int{0}, false},
		{holds, safe, []int{0}, false},
		{holds, risky, []int{0}, true},
		{flat, nil, []int{0}, true},
		{flat, nil, nil, false},
	} {
		run := &report.Run{Results: []*sim.Result{c.result}, Risks: []*sim.Risk{c.risk}, Goal: report.Goal{FlatRisk: 0.05}, Shown: c.shown}
		err := flatFailure(run)
		if !c.want {
			assert.NoError(t, err)
			continue
		}
		var f failure
		require.ErrorAs(t, err, &f)
		assert.Equal(t, statusFlat, f.status)
		assert.NoError(t, f.err, "the verdict has said it")
	}
}
