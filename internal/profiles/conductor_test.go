package profiles

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
