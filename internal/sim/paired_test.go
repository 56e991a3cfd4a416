package sim

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Cavo et al. 2012 (complete response before and after consolidation), worked
// in Fagerland, Lydersen & Laake, Statistical Analysis of Contingency Tables
// (2017), chapter 8: difference -0.0621, interval -0.1186 to -0.0046.
func TestPairedDifferenceMeetsThePublishedExample(t *testing.T) {
	d := Pairs{Both: 59, OnlyA: 6, OnlyB: 16, Neither: 80}.Difference()
	assert.InDelta(t, -0.0621, d.Mean, 5e-5)
	assert.InDelta(t, -0.1186, d.Low, 5e-5)
	assert.InDelta(t, -0.0046, d.High, 5e-5)
	assert.True(t, d.Certain())
}

func TestPairsWithoutAnyDifferenceAreNotCertain(t *testing.T) {
	for _, p := range []Pairs{{Both: 500}, {Neither: 500}, {Both: 20, Neither: 480}} {
		d := p.Difference()
		assert.Zero(t, d.Mean)
		assert.False(t, d.Certain(), "%+v", p)
		assert.Less(t, d.High-d.Low, 0.05)
	}
	assert.Equal(t, Difference{0, -1, 1}, Pairs{}.Difference())
}

// The mean and interval of paired differences against the textbook formula in
// floating point, with numbers whose squares do not fit 64 bits together.
func TestPairSumIsTheTextbookInterval(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var a, b pairSum
	var xs []float64
	for i := range 4000 {
		x := math.Round(rng.NormFloat64()*3e6*1e3+2e8) / 1e3
		xs = append(xs, x)
		if i%3 == 0 {
			a.add(x)
		} else {
			b.add(x)
		}
	}
	a.merge(&b)
	mean, ss := 0.0, 0.0
	for _, x := range xs {
		mean += x / 4000
	}
	for _, x := range xs {
		ss += (x - mean) * (x - mean)
	}
	half := 1.959964 * math.Sqrt(ss/3999/4000)
	d := a.difference()
	assert.InDelta(t, mean, d.Mean, 1e-3)
	assert.InEpsilon(t, mean-half, d.Low, 1e-6)
	assert.InEpsilon(t, mean+half, d.High, 1e-6)
}
