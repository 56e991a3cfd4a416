package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A hob of 1,600 W and a kettle of 1,200 W at once on 2,000 W lack 200 Wh in a
// quarter of an hour, whatever the battery: a run, a risk and a search for a
// size all say so.
func TestWhatTheInverterCannotGiveIsLackingEverywhere(t *testing.T) {
	sys := bareSystem(t, 400)
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	s := mustStudy(t, &Trip{Stops: []Stop{mild(t, 1)}}, []Load{useOf("hob", 1600, 12, 15), useOf("kettle", 1200, 12, 15)})
	r, err := s.Typical(sys)
	require.NoError(t, err)
	assert.InDelta(t, 200, r.Total.UnservedWh, 1e-6)
	risk, err := s.Ensemble(context.Background(), []*System{sys}, 5, nil)
	require.NoError(t, err)
	assert.InDelta(t, 200, risk[0].Unserved.Mean, 1e-6)
	assert.Equal(t, 1.0, risk[0].Short.Share)
	z, err := s.SizeFor(context.Background(), sys, BatterySize, Sizes([]float64{400}), Goal{}, 5, nil)
	require.NoError(t, err)
	assert.InDelta(t, 200, z.Points[0].UnservedWh, 1e-3)
	assert.Equal(t, 1.0, z.Points[0].Failed.Share)
	assert.Equal(t, -1, z.Best)
}
