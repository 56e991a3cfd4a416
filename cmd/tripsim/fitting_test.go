package main

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
	"tripsim/scenarios"
)

// Every system of every shipped scenario has a sheet that can be built as it
// stands: a cable for every run, its fuse between current and ampacity, and a
// trip that stays within the ratings.
func TestShippedSystemsHaveSensibleSheets(t *testing.T) {
	for _, name := range scenarios.Names() {
		fsys, err := scenarios.FS(name)
		require.NoError(t, err)
		sc, err := scenario.LoadFS(fsys, name)
		require.NoError(t, err)
		study, err := sim.NewStudy(&sc.Trip, sc.Loads, sim.DefaultOptions())
		require.NoError(t, err)
		for i := range sc.Systems {
			sys := &sc.Systems[i]
			f, err := study.Fitting(sys, sim.DefaultFittingOptions())
			require.NoError(t, err, "%s, %s", name, sys.Name)
			for _, r := range f.Runs {
				at := name + ", " + sys.Name + ", " + r.ID
				require.Empty(t, r.NoCable, at)
				assert.Equal(t, 1, r.Cable.Parallel, at)
				assert.Greater(t, r.Cable.FuseA, r.DesignA, at)
				assert.LessOrEqual(t, r.Cable.FuseA, r.Cable.AmpacityA, at)
				assert.LessOrEqual(t, r.Cable.DropPct, 3.0, at)
				assert.LessOrEqual(t, r.TripA, 1.001*r.DesignA, at)
			}
			require.NotEmpty(t, f.Modes, "%s, %s", name, sys.Name)
			for _, m := range f.Modes {
				assert.LessOrEqual(t, m.BatteryA, f.Battery.MaxChargeA*1.001, "%s, %s, %s", name, sys.Name, m.Name)
				if m.Name != sim.ModeSunTypical && m.Name != sim.ModeSunClear {
					assert.Greater(t, m.BatteryA, 5.0, "%s, %s, %s", name, sys.Name, m.Name)
				}
			}
			sheet := report.FittingSheet{Scenario: name, Fitting: f}
			doc, err := sheet.JSON()
			require.NoError(t, err)
			assert.NotContains(t, string(doc), "NaN")
			text := sheet.Text(report.Screen{Width: 80, Format: report.DefaultFormat()})
			assert.NotContains(t, text, "%!")
			assert.NotContains(t, text, "NaN")
			assert.Contains(t, text, "licensed person")
		}
	}
}
