package scenario

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestStarterLoadsWithoutAWarning(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, Starter(dir))
	s, err := Load(dir)
	require.NoError(t, err)
	assert.Empty(t, s.Warnings)
	assert.Equal(t, 5, s.Trip.Days())
	assert.Len(t, s.Systems, 2)
	assert.ErrorContains(t, Starter(dir), "exists already")
}
