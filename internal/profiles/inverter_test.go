package profiles

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// eta = p/(p+p0+k1 p+k2 p^2), Schmidt & Sauer, Sonnenenergie 4/1996 (form from
// memory); p0=.01, k1=.02, k2=.04, recomputed; weights EN 50530 and the
// Californian (Sandia) protocol.
func TestInverterIsSchmidtSauer1996(t *testing.T) {
	v := Inverter{RatedW: 2000, IdleW: 20, ProportionalLoss: .02, ResistiveLoss: .04}
	for share, want := range map[float64]float64{.05: .81833, .1: .88968, .2: .92764, .3: .93867, .5: .94340, .75: .94044, 1: .93458} {
		assert.InDelta(t, want, v.Efficiency(share*2000), 5e-6, "%g", share)
	}
	assert.InDelta(t, .932138, v.WeightedEfficiency(EuropeanWeights()), 5e-7)
	assert.InDelta(t, .937885, v.WeightedEfficiency(CECWeights()), 5e-7)
	// The maximum lies at sqrt(p0/k2).
	best, at := 0.0, 0.0
	for w := 1.0; w <= 2000; w++ {
		if e := v.Efficiency(w); e > best {
			best, at = e, w
		}
	}
	assert.InDelta(t, math.Sqrt(.01/.04)*2000, at, 1)
	assert.Equal(t, 20.0, v.InputW(0), "idle")
	assert.Zero(t, v.Efficiency(0))
	for _, weights := range [][]LoadWeight{EuropeanWeights(), CECWeights()} {
		sum := 0.0
		for _, w := range weights {
			sum += w.Weight
		}
		assert.InDelta(t, 1, sum, 1e-12)
	}
}

// Typical 12 V inverters: 92-94 % at best, 88-92 % at full load; idle .3-1.5 %
// of the rating: data sheets (from memory).
func TestInverterDefaults(t *testing.T) {
	nan := math.NaN()
	v, err := NewInverter(2000, nan, nan, 12)
	require.NoError(t, err)
	assert.InDelta(t, .93, v.Efficiency(600), .01)
	assert.InDelta(t, .90, v.Efficiency(2000), .02)
	assert.GreaterOrEqual(t, v.IdleW/v.RatedW, .003)
	assert.LessOrEqual(t, v.IdleW/v.RatedW, .015)
	assert.Equal(t, 4000.0, v.SurgeW)
	assert.Equal(t, 10.5, v.CutoffV)
	big, err := NewInverter(5000, nan, nan, 48)
	require.NoError(t, err)
	assert.Equal(t, 42.0, big.CutoffV)
	t.Logf("2,000 W inverter: European %.4f, full load %.4f", v.WeightedEfficiency(EuropeanWeights()), v.Efficiency(2000))
	last := 0.0
	for w := 0.0; w <= 4000; w += 10 {
		assert.Greater(t, v.InputW(w), last)
		last = v.InputW(w)
	}
}

func TestInverterDerates(t *testing.T) {
	v, err := NewInverter(1000, 2000, 8, 12)
	require.NoError(t, err)
	for airC, want := range map[float64]float64{-30: 1000, 25: 1000, 40: 900, 50: 750, 60: 600, 75: 0, 100: 0} {
		assert.InDelta(t, want, v.RatedAtTempW(airC), 1e-9, "%g C", airC)
	}
	for c := -40.0; c < 90; c += .5 {
		assert.LessOrEqual(t, v.RatedAtTempW(c+.5), v.RatedAtTempW(c))
	}
}

func TestInverterErrors(t *testing.T) {
	nan := math.NaN()
	for _, bad := range [][4]float64{{0, nan, nan, 12}, {nan, nan, nan, 12}, {1000, 500, nan, 12}, {1000, nan, -1, 12}, {1000, nan, 1500, 12}, {1000, nan, nan, 36}} {
		_, err := NewInverter(bad[0], bad[1], bad[2], bad[3])
		assert.Error(t, err, fmt.Sprint(bad))
	}
}

// The part-load curve of Dobos 2014 (NREL/TP-6A20-62641),
// nominal efficiency .96, is met by the same form of loss: idle, proportional
// and quadratic parts taken from three of its points.
func TestInverterFormAgreesWithThePartLoadCurve(t *testing.T) {
	output := func(in float64) float64 { return in * .96 / .9637 * (-.0162*in - .0059/in + .9858) }
	loss := func(in float64) float64 { return in - output(in) }
	x1, x2, x3 := output(.1), output(.5), output(1)
	d12, d23 := (loss(.5)-loss(.1))/(x2-x1), (loss(1)-loss(.5))/(x3-x2)
	k2 := (d23 - d12) / (x3 - x1)
	k1 := d12 - k2*(x1+x2)
	v := Inverter{RatedW: 1, IdleW: loss(.1) - k1*x1 - k2*x1*x1, ProportionalLoss: k1, ResistiveLoss: k2}
	assert.Positive(t, v.IdleW)
	var w worst
	for in := .05; in <= 1; in += .05 {
		assert.InDelta(t, output(in)/in, v.Efficiency(output(in)), .001, "%g", in)
		w.see(v.Efficiency(output(in))-output(in)/in, fmt.Sprintf("%g", in))
	}
	w.report(t, "inverter efficiency by the form against Dobos 2014")
}
