package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The turbidity reaches the weather of the draws and not only the panels: under
// hazy skies the sunny days are missing.
func TestTheTurbidityReachesTheWeather(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	brightest, energy := map[float64]float64{}, map[float64]float64{}
	for _, linke := range []float64{0, 1, 3, 10} {
		opt := DefaultOptions()
		opt.Linke = linke
		s, err := NewStudy(trip, loads, opt)
		require.NoError(t, err)
		for k := range uint64(20) {
			r, err := s.RunDraw(sys, k)
			require.NoError(t, err)
			for i := range r.Days {
				brightest[linke] = max(brightest[linke], r.Days[i].Clearness)
			}
		}
		risks, err := s.Ensemble(context.Background(), []*System{sys}, 200, nil)
		require.NoError(t, err)
		energy[linke] = risks[0].SourceWh[solarSrc]
		t.Logf("Linke %g: clearest day %.3f, panels %.1f Wh", linke, brightest[linke], energy[linke])
	}
	assert.Less(t, brightest[10], brightest[3]-.03)
	assert.LessOrEqual(t, brightest[3], brightest[1])
	assert.Greater(t, energy[1], 1.005*energy[3], "more of the clear days' sun is beam")
	assert.InEpsilon(t, energy[0], energy[10], .1, "the mean sun stays the climate's")
}
