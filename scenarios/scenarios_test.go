package scenarios_test

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/scenario"
	"tripsim/scenarios"
)

func TestShippedScenariosLoad(t *testing.T) {
	require.NotEmpty(t, scenarios.Names())
	for _, name := range scenarios.Names() {
		t.Run(name, func(t *testing.T) {
			fsys, err := scenarios.FS(name)
			require.NoError(t, err)
			s, err := scenario.LoadFS(fsys, name)
			require.NoError(t, err)
			for _, w := range s.Warnings {
				assert.Contains(t, w, "has no inverter", "the only thing the examples are warned of")
			}
			assert.True(t, strings.HasPrefix(s.Job.Customer, "Customer "))
			assert.GreaterOrEqual(t, s.Trip.Days(), 7)
			assert.LessOrEqual(t, s.Trip.Days(), 21)
			assert.GreaterOrEqual(t, len(s.Systems), 3)
			readme, err := fs.ReadFile(fsys, "README.md")
			require.NoError(t, err)
			assert.Contains(t, string(readme), "invented")
		})
	}
}

func TestUnknownScenario(t *testing.T) {
	for _, name := range []string{"", ".", "..", "nowhere", "../scenarios"} {
		_, err := scenarios.FS(name)
		assert.ErrorIs(t, err, fs.ErrNotExist, name)
	}
}
