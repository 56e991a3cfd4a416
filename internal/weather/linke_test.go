package weather

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A turbidity that is given dims the clear sky and so the clearest days; the
// mean sun of a day stays the climate's.
func TestTheTurbidityShapesTheDaysAndCapsClearOnes(t *testing.T) {
	clear, best, mean := map[float64]float64{}, map[float64]float64{}, map[float64]float64{}
	for _, linke := range []float64{0, 1, 3, 10} {
		g, days := parkedSpec(t, oslo, "2026-05-20", 3, 15*time.Minute)
		g.Linke = linke
		p, err := NewPlan(g, days)
		require.NoError(t, err)
		for _, iv := range p.Intervals() {
			clear[linke] += iv.ClearGHIWm2 / 4000
		}
		s := p.NewSeries()
		p.Typical(s)
		mean[linke], best[linke] = dayKWhM2(p, s.GHIWm2, 1), p.days[1].sun.q[zPoints-1]
		t.Logf("Linke %g: clear sky %.2f kWh/m2, clearest day %.3f, mean %.3f kWh/m2", linke, clear[linke], best[linke], mean[linke])
	}
	assert.Greater(t, clear[1], 1.1*clear[3])
	assert.Greater(t, clear[3], 1.2*clear[10])
	assert.Greater(t, best[3], best[10]+.1)
	assert.InEpsilon(t, mean[0], mean[10], .01)
	assert.InEpsilon(t, mean[0], mean[1], .01)

	g, days := parkedSpec(t, oslo, "2026-05-20", 1, time.Hour)
	g.Linke = .5
	_, err := NewPlan(g, days)
	assert.ErrorContains(t, err, "Linke turbidity of 0.5 is not 1 to 10")
}
