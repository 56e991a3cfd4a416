package sim

import (
	"testing"

	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

func leadBank(t testing.TB, ah float64) profiles.BatterySpec {
	t.Helper()
	c, ok := profiles.ChemistryByID("agm")
	require.True(t, ok)
	return profiles.NewBatterySpec(c, ah, 1, 12)
}
