package profiles

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// IEC 60364-5-52:2009 Table B.52.14, PVC insulation (70 C), reference air 30 C
// (from memory).
func TestAmpacityFactorsAreThoseOfIEC60364(t *testing.T) {
	for airC, want := range map[float64]float64{10: 1.22, 15: 1.17, 20: 1.12, 25: 1.06, 30: 1, 35: .94, 40: .87, 45: .79, 50: .71, 55: .61, 60: .50} {
		assert.InDelta(t, want, AmpacityFactor(airC), .0065, "%g °C", airC)
	}
	assert.Zero(t, AmpacityFactor(70))
	assert.Zero(t, AmpacityFactor(90))
}

// ABYC E-11 (public copy): CM = K I L / E with K 10.75, L there and back in feet,
// E the drop in volts; 1 CM = 5.067e-4 mm2 (ASTM B258). K is copper at about
// 30-35 C with a margin; the cable picked is the first standard one that is no
// thinner than the formula's, or at most one size off where the formula comes
// to lie within 8 % of a size.
func TestPickedCableAgreesWithCircularMils(t *testing.T) {
	sizes := ConductorSizes()
	index := func(mm2 float64) int {
		for i, s := range sizes {
			if s >= mm2*(1-1e-9) {
				return i
			}
		}
		return len(sizes)
	}
	for _, amps := range []float64{5, 10, 20, 30, 40, 50, 60, 80, 100} {
		for _, metres := range []float64{3, 5, 7, 10} { // long enough for the drop to decide
			need := 10.75 * amps * 2 * metres / .3048 / .36 * 5.067e-4
			if need > 120 {
				continue
			}
			c, err := PickCable(amps, metres, 3, 12, 30)
			require.NoError(t, err)
			require.Equal(t, 1, c.Parallel)
			low, high := index(need), index(need*1.2)
			got := index(c.MM2)
			assert.GreaterOrEqual(t, got, low, "%g A over %g m: %g mm² for a formula of %.1f", amps, metres, c.MM2, need)
			assert.LessOrEqual(t, got, high, "%g A over %g m: %g mm² for a formula of %.1f", amps, metres, c.MM2, need)
		}
	}
}

// ABYC E-11 (public copy), the worked case: 10 A, 21 ft there and back, 12 V, 6271 CM
// at 3 %, 1881 CM at 10 %. The cable picked is the first standard one that is no
// thinner and that the next fuse (15 A) protects.
func TestPickedCableServesTheWorkedCase(t *testing.T) {
	for dropPct, want := range map[float64]struct{ cm, mm2 float64 }{3: {6271, 4}, 10: {1881, 1.5}} {
		assert.InDelta(t, want.cm, 10.75*10*21/(12*dropPct/100), 1)
		c, err := PickCable(10, 21*.3048/2, dropPct, 12, 20)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, c.MM2, want.cm*5.067e-4)
		assert.Equal(t, want.mm2, c.MM2, "%g %%", dropPct)
		assert.Equal(t, 15.0, c.FuseA)
	}
}

// The steps of standard fuses as they follow each other: a fuse lies above its
// current, never at it.
func TestNextFuse(t *testing.T) {
	for currentA, want := range map[float64]float64{0: 1, 14: 15, 15: 20, 46.4: 50, 180: 200, 1e4: 0} {
		assert.Equal(t, want, nextFuseA(currentA), "%g A", currentA)
	}
}

func TestCableIsWarmerTheMoreItCarries(t *testing.T) {
	// At its ampacity in air of 30 °C a cable reaches the limit of its insulation.
	row := conductorRow{mm2: 16, flexible: 1.21, ampacityA: 90}
	full, ok := row.carry(90*.9999-10.1, 1, 12, 30, 1)
	require.True(t, ok)
	assert.InDelta(t, 30+40*math.Pow((90*.9999-10.1)/90, 2), full.ConductC, 1e-9)
	idle, ok := row.carry(0, 1, 12, 30, 1)
	require.True(t, ok)
	assert.Equal(t, 30.0, idle.ConductC)
	assert.Less(t, idle.OhmPerKm, full.OhmPerKm)
}

func TestPickedCableServesAndNoThinnerOneWould(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		amps := rapid.Float64Range(0, 550).Draw(r, "amps")
		length := rapid.Float64Range(0, 20).Draw(r, "m")
		pct := rapid.Float64Range(1, 10).Draw(r, "pct")
		airC := rapid.Float64Range(-20, 60).Draw(r, "air")
		c, err := PickCable(amps, length, pct, 12, airC)
		if err != nil {
			assert.ErrorContains(r, err, "parallel")
			return
		}
		assert.LessOrEqual(r, c.DropPct, pct)
		assert.Greater(r, c.FuseA, amps)
		assert.LessOrEqual(r, c.FuseA, c.AmpacityA)
		assert.InDelta(r, c.DropV, amps*c.RunOhm(length), 1e-9)
		assert.Less(r, c.ConductC, insulationMaxC+1e-9)
		for _, row := range conductors() {
			if row.mm2 < minCableMM2 {
				continue
			}
			if row.mm2 >= c.MM2 {
				break
			}
			thin, ok := row.carry(amps, length, 12, airC, c.Parallel)
			assert.True(r, !ok || thin.DropPct > pct)
		}
	})
}

func TestHotAirTakesAThickerCable(t *testing.T) {
	cool, err := PickCable(185, 1, 3, 12, 30)
	require.NoError(t, err)
	warm, err := PickCable(185, 1, 3, 12, 40)
	require.NoError(t, err)
	assert.Equal(t, []float64{50, 70}, []float64{cool.MM2, warm.MM2})
	assert.Equal(t, []float64{200, 200}, []float64{cool.FuseA, warm.FuseA})
}

func TestHeavyCurrentsGetSeveralCables(t *testing.T) {
	c, err := PickCable(550, 1, 3, 12, 40)
	require.NoError(t, err)
	assert.Equal(t, 2, c.Parallel)
	assert.Equal(t, 600.0, c.FuseA)
	_, err = PickCable(700, 1, 3, 12, 40)
	assert.ErrorContains(t, err, "raise the nominal voltage")
	for _, bad := range [][5]float64{{-1, 1, 3, 12, 40}, {1, -1, 3, 12, 40}, {1, 1, 0, 12, 40}, {1, 1, 3, 0, 40}, {1, 1, 3, 12, 70}, {1, 1, 3, 12, math.NaN()}} {
		_, err := PickCable(bad[0], bad[1], bad[2], bad[3], bad[4])
		assert.ErrorContains(t, err, "makes no sense")
	}
}
