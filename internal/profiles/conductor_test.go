package profiles

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// IEC 60228:2004, plain copper (testdata/iec60228_copper.csv): exact at 20 C.
func TestConductorResistanceIsIEC60228(t *testing.T) {
	rows := readTestdata(t, "iec60228_copper.csv")
	require.Len(t, ConductorSizes(), len(rows))
	for i, row := range rows {
		mm2 := number(t, row[0])
		assert.Equal(t, mm2, ConductorSizes()[i])
		for class, column := range map[int]int{1: 1, 2: 1, 5: 2, 6: 2} {
			got, ok := ConductorOhmPerKm(mm2, 20, class)
			assert.True(t, ok)
			assert.Equal(t, number(t, row[column]), got, "%g mm2 class %d", mm2, class)
			// Temperature: alpha .00393/K at 20 C, IEC 60228 annex B.
			warm, _ := ConductorOhmPerKm(mm2, 70, class)
			assert.InDelta(t, got*1.1965, warm, 1e-9)
		}
		// No less than the resistivity of copper, 1/58 ohm mm2/m, allows
		// within the usual undersize of the metal.
		assert.Greater(t, number(t, row[2]), 1000/58.0/mm2*.98)
	}
	_, ok := ConductorOhmPerKm(5, 20, 5)
	assert.False(t, ok)
	_, ok = ConductorOhmPerKm(6, 20, 3)
	assert.False(t, ok)
}

// 10 A through 6 mm2 over 5 m one way: .308 V class 2, .330 V class 5.
func TestVoltageDrop(t *testing.T) {
	solid, _ := ConductorOhmPerKm(6, 20, 2)
	flexible, _ := ConductorOhmPerKm(6, 20, 5)
	assert.InDelta(t, .308, VoltageDrop(10, 5, solid), 1e-9)
	assert.InDelta(t, .330, VoltageDrop(10, 5, flexible), 1e-9)
	assert.InDelta(t, 2.6, VoltageDrop(10, 5, solid)/12*100, .05)
}

// ABYC E-11 (public copy): CM = K I L / E, K 10.75, 21 ft there and back, 10 A
// at 12 V: 6271 CM at 3 %, 1881 CM at 10 %; 1 CM = 5.067e-4 mm2. The conductor
// picked is the first standard one that is no thinner (its 20 C resistance is
// a few percent off K, which no standard size here falls between).
func TestConductorAgreesWithCircularMils(t *testing.T) {
	for dropPct, cm := range map[float64]float64{3: 6271, 10: 1881} {
		assert.InDelta(t, cm, 10.75*10*21/(12*dropPct/100), 1)
		need := cm * 5.067e-4
		c, err := PickConductor(10, 21*.3048/2, dropPct, 12, 20)
		require.NoError(t, err)
		sizes, want := ConductorSizes(), 0.0
		for _, s := range sizes {
			if want = s; s >= need {
				break
			}
		}
		if dropPct == 10 { // the next fuse (15 A) needs 1.5 mm2
			want = max(want, 1.5)
		}
		assert.Equal(t, want, c.MM2, "%g %%", dropPct)
	}
}

func TestPickedConductorIsTheThinnestThatServes(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		amps := rapid.Float64Range(0, 300).Draw(r, "amps")
		length := rapid.Float64Range(0, 20).Draw(r, "m")
		pct := rapid.Float64Range(1, 10).Draw(r, "pct")
		nominalV := rapid.SampledFrom([]float64{12, 24, 48}).Draw(r, "volt")
		c, err := PickConductor(amps, length, pct, nominalV, 60)
		if err != nil {
			assert.ErrorContains(r, err, "parallel")
			return
		}
		assert.LessOrEqual(r, c.DropPct, pct)
		assert.InDelta(r, c.DropV, c.DropPct*nominalV/100, 1e-9)
		assert.Greater(r, c.FuseA, amps)
		assert.LessOrEqual(r, c.FuseA, c.AmpacityA)
		for _, thinner := range ConductorSizes() {
			if thinner >= c.MM2 {
				break
			}
			ohm, _ := ConductorOhmPerKm(thinner, 60, 5)
			_, fuseErr := NextFuseA(amps, thinner)
			assert.True(r, fuseErr != nil || VoltageDrop(amps, length, ohm)/nominalV*100 > pct)
		}
	})
}

func TestInverterCableOfTwoKilowatts(t *testing.T) {
	c, err := PickConductor(185, 1, 3, 12, 60)
	require.NoError(t, err)
	assert.Equal(t, 50.0, c.MM2)
	assert.Equal(t, 200.0, c.FuseA)
}

func TestNextFuse(t *testing.T) {
	for _, row := range [][3]float64{{0, 6, 1}, {14, 2.5, 15}, {15, 2.5, 20}, {46.4, 16, 50}, {180, 50, 200}} {
		got, err := NextFuseA(row[0], row[1])
		require.NoError(t, err)
		assert.Equal(t, row[2], got)
	}
	_, err := NextFuseA(38, 4)
	assert.ErrorContains(t, err, "thicker")
	_, err = NextFuseA(700, 240)
	assert.ErrorContains(t, err, "no standard fuse")
	_, err = NextFuseA(10, 5)
	assert.ErrorContains(t, err, "not a standard")
}

func TestConductorErrors(t *testing.T) {
	for _, bad := range [][4]float64{{-1, 1, 3, 12}, {10, -1, 3, 12}, {10, 1, 0, 12}, {10, 1, 3, 0}, {math.NaN(), 1, 3, 12}, {math.Inf(1), 1, 3, 12}} {
		_, err := PickConductor(bad[0], bad[1], bad[2], bad[3], 20)
		assert.ErrorContains(t, err, "makes no sense")
	}
	_, err := PickConductor(590, 10, 3, 12, 20)
	assert.ErrorContains(t, err, "raise the nominal voltage")
}
