package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A site's limit belongs to the site, also after midnight, when the itinerary
// is already at the next stop.
func TestTheSitesLimitHoldsPastMidnight(t *testing.T) {
	first, second := mild(t, 1), mild(t, 1)
	first.Mains, first.MainsA = Span{18, 14}, 2 // 460 W
	second.Date = day(2026, 5, 2)
	sys := bareSystem(t, 1200)
	sys.StartSoC = .1
	sys.Chargers = []Charger{{Name: "60 A mains", MainsA: 60, Efficiency: .9}}
	r, err := mustStudy(t, &Trip{Stops: []Stop{first, second}}, nil).Typical(sys)
	assert.NoError(t, err)
	for i := 18 * 4; i < 32*4; i++ {
		assert.InDelta(t, 460.0/4, r.Rows[i].MainsWh, 1e-9, "%g h", float64(i)/4)
	}
	second.MainsA, second.Mains = 10, Span{8, 1} // plugged in anew right after
	r, err = mustStudy(t, &Trip{Stops: []Stop{first, second}}, nil).Typical(sys)
	assert.NoError(t, err)
	assert.InDelta(t, 460.0/4, r.Rows[32*4-1].MainsWh, 1e-9)
	assert.Greater(t, r.Rows[32*4].MainsWh, 800.0/4, "up to what the charger takes")
}

func TestAGeneratorRunsOnPastMidnight(t *testing.T) {
	first, second := mild(t, 1), mild(t, 1)
	first.Generator, first.GenW = Span{20, 8}, 800
	second.Date = day(2026, 5, 2)
	sys := bareSystem(t, 1200)
	sys.StartSoC = .1
	sys.Chargers = []Charger{{Name: "60 A mains", MainsA: 60, Efficiency: .9}}
	r, err := mustStudy(t, &Trip{Stops: []Stop{first, second}}, nil).Typical(sys)
	assert.NoError(t, err)
	for i := 20 * 4; i < 28*4; i++ {
		assert.InDelta(t, 800.0/4, r.Rows[i].MainsWh, 1e-9, "%g h", float64(i)/4)
	}
	assert.Zero(t, r.Rows[28*4].MainsWh)
}
