package sim

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Four parked days on the battery alone: the charger's amps change nothing, the
// battery's Ah everything.
func TestVaryingTellsWhatMattersFromWhatDoesNot(t *testing.T) {
	s := parkedStudy(t)
	base := withDCDC(bareSystem(t, 150), 30)
	var chargers, banks []*System
	for _, a := range []float64{20, 30, 60} {
		chargers = append(chargers, WithChargerA(base, 0, a))
	}
	v, err := s.Vary(context.Background(), "charger.alternator_a", "A", []float64{20, 30, 60}, []*System{base}, [][]*System{chargers}, []int{1}, 50, nil)
	require.NoError(t, err)
	for _, row := range v.Rows[0] {
		assert.Equal(t, Difference{}.Mean, row.Flat.Mean)
		assert.Zero(t, row.Unserved.Mean)
	}
	for _, ah := range []float64{100, 150, 250} {
		banks = append(banks, WithBank(base, ah, 1))
	}
	v, err = s.Vary(context.Background(), "system.battery_ah", "Ah", []float64{100, 150, 250}, []*System{base}, [][]*System{banks}, []int{1}, 50, nil)
	require.NoError(t, err)
	row := v.Rows[0]
	assert.Greater(t, row[0].Unserved.Low, 0.0, "less battery than it has: more unserved")
	assert.Less(t, row[2].Unserved.High, 0.0)
	assert.Equal(t, -1.0, row[2].Flat.Mean)
	assert.Zero(t, row[1].Unserved)
}

func TestPricesBetweenVariants(t *testing.T) {
	base := withDCDC(bareSystem(t, 100), 30)
	base.Price = 1000
	p := Prices{PerAh: 6, PerA: 10}
	assert.InDelta(t, 1000+600+200, p.Between(base, WithChargerA(WithBank(base, 200, 1), 0, 50)), 1e-9)
	assert.True(t, isNaN(p.Between(base, WithPanelW(base, 100))), "no price per W")
	better := base.clone()
	better.Chargers[0].Efficiency = 0.99
	assert.True(t, isNaN(p.Between(base, better)), "no price of efficiency")
}

func isNaN(x float64) bool { return x != x }
