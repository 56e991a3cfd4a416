package profiles

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// ASTM E1049-85, figure 6 and section 5.4.4: exact.
func TestRainflowExampleOfASTM(t *testing.T) {
	got := Rainflow([]float64{-2, 1, -3, 5, -1, 3, -4, 4, -2})
	assert.Equal(t, []Cycle{
		{3, -.5, .5}, {4, -1, .5}, {4, 1, 1}, {8, 1, .5}, {9, .5, .5}, {8, 0, .5}, {6, 1, .5},
	}, got)
	sums := map[float64]float64{}
	for _, c := range got {
		sums[c.Range] += c.Count
	}
	assert.Equal(t, map[float64]float64{3: .5, 4: 1.5, 6: .5, 8: 1, 9: .5}, sums)
}

func TestRainflowOfLittle(t *testing.T) {
	assert.Empty(t, Rainflow(nil))
	assert.Empty(t, Rainflow([]float64{5}))
	assert.Empty(t, Rainflow([]float64{5, 5, 5}))
	assert.Equal(t, []Cycle{{2, 6, .5}}, Rainflow([]float64{5, 6, 6, 7}))
	// Points on the way between turning points do not matter.
	assert.Equal(t, Rainflow([]float64{1, .2, 1}), Rainflow([]float64{1, .8, .8, .5, .2, .2, .6, 1}))
}

func TestRainflowKeepsTheTravel(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		series := rapid.SliceOfN(rapid.Float64Range(0, 1), 2, 200).Draw(r, "soc")
		travel, widest := 0.0, 0.0
		low, high := series[0], series[0]
		for i, v := range series[1:] {
			travel += math.Abs(v - series[i])
			low, high = min(low, v), max(high, v)
		}
		counted := 0.0
		for _, c := range Rainflow(series) {
			counted += 2 * c.Count * c.Range
			widest = max(widest, c.Range)
		}
		assert.InDelta(r, travel, counted, 1e-9, "each cycle goes there and back")
		assert.InDelta(r, high-low, widest, 1e-12, "the widest swing is counted")
	})
}

// Cycles of data sheets (from memory): AGM 30 % 1200-1500, 50 % 500-700, 80 %
// 300-400, 100 % 200-250; LiFePO4 80 % 3000-6000; flooded 200 at 80 % and over
// 1000 at 25 % (trade text). Within a factor of 2.
func TestCyclesByDepth(t *testing.T) {
	var w worst
	for _, row := range []struct {
		id            string
		depth, cycles float64
	}{
		{"agm", .3, 1350},
		{"agm", .5, 600},
		{"agm", .8, 350},
		{"agm", 1, 225},
		{"lifepo4", .8, 4500},
		{"flooded", .8, 200},
		{"flooded", .25, 1000},
	} {
		got := chemistry(t, row.id).CyclesToEndOfLife(row.depth)
		assert.Greater(t, got, row.cycles/2, row.id)
		assert.Less(t, got, row.cycles*2, row.id)
		w.see(math.Log2(got/row.cycles), row.id)
	}
	w.report(t, "cycles by depth (from memory), octaves")
}

func TestWearOfDailyCycles(t *testing.T) {
	c := chemistry(t, "agm")
	soc := []float64{1}
	for range 100 {
		soc = append(soc, .75, .5, .8, 1)
	}
	share, cycles := Wear(soc, c)
	assert.InEpsilon(t, 100/c.CyclesToEndOfLife(.5), share, 1e-9)
	assert.InDelta(t, 50, cycles, 1e-9)
	flat, none := Wear([]float64{.9, .9, .9}, c)
	assert.Zero(t, flat)
	assert.Zero(t, none)
	shallow := []float64{1}
	for range 200 {
		shallow = append(shallow, .75, 1)
	}
	less, same := Wear(shallow, c)
	assert.InDelta(t, cycles, same, 1e-9)
	assert.Less(t, less, share, "shallow cycles wear less for the same charge")
}
