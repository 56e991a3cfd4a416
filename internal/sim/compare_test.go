package sim

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func withDCDC(sys *System, amps float64) *System {
	c := sys.clone()
	c.Chargers = append(c.Chargers, Charger{Name: "DC-DC", AlternatorA: amps, Efficiency: 0.9})
	return c
}

// By hand: 60 % of 200 Ah is 120 Ah; at 40 A and 99.5 % of it stored that is
// 120/(40*0.995) = 3.015 h. A spare alternator current does not bind.
func TestDrivingTimeOfALithiumBatteryIsChargeOverCurrent(t *testing.T) {
	h, err := DrivingTime(withDCDC(bareSystem(t, 200), 40), 0.2, 0.8)
	require.NoError(t, err)
	assert.InDelta(t, 3.015, h, 0.01)

	h, err = DrivingTime(withDCDC(bareSystem(t, 200), 0.5), 0.2, 0.8)
	require.NoError(t, err)
	assert.True(t, math.IsInf(h, 1), "120 Ah at 0.5 A take ten days")

	h, err = DrivingTime(bareSystem(t, 200), 0.2, 0.8)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(h))
}

func TestChargingLeadTakesLongerNearTheTop(t *testing.T) {
	lead := withDCDC(bareSystem(t, 200), 60)
	lead.Battery = leadBank(t, 200)
	low, err := DrivingTime(lead, 0.2, 0.5)
	require.NoError(t, err)
	high, err := DrivingTime(lead, 0.5, 0.8)
	require.NoError(t, err)
	assert.GreaterOrEqual(t, low, 0.3*200/60.0)
	assert.Greater(t, high, low)
}

// Two systems of which one always runs flat and one never does: the paired
// difference is 1 and the unserved energy is known by hand.
func TestAKnownDifferenceIsFound(t *testing.T) {
	s := parkedStudy(t)
	small, large := bareSystem(t, 100), bareSystem(t, 300)
	small.Price, large.Price = 500, 1500
	c, err := s.Compare(context.Background(), []*System{small, large}, 0, 300, nil)
	require.NoError(t, err)
	row := c.Systems[1]
	assert.Equal(t, -1.0, row.Flat.Mean)
	assert.True(t, row.Flat.Certain())
	assert.InDelta(t, 10, row.PricePerPoint, 1e-9, "1,000 for 100 points")
	want := 2496 * (1 - 100/handComputedAh(t))
	assert.InDelta(t, -want, row.Unserved.Mean, 8)
	assert.Less(t, row.Unserved.High, 0.0)
	assert.Zero(t, c.Systems[0].Flat)
	assert.True(t, math.IsNaN(c.Systems[0].PricePerPoint))
}

func TestASystemAgainstItselfMakesNoDifference(t *testing.T) {
	s, sys := hardTrip(t)
	sys = WithBank(sys, 120, 1)
	c, err := s.Compare(context.Background(), []*System{sys, sys.clone()}, 0, 80, nil)
	require.NoError(t, err)
	assert.Greater(t, c.Systems[0].Risk.FlatDraws, 0, "the test needs some flat draws")
	assert.Zero(t, c.Systems[1].Flat.Mean)
	assert.False(t, c.Systems[1].Flat.Certain())
	assert.Equal(t, Difference{}, c.Systems[1].Unserved)
}

// Same draws for all: a comparison's risk is the ensemble's, and pairing makes
// the interval narrower than two ensembles with other weather would give.
func TestPairingMakesDifferencesSharper(t *testing.T) {
	s, sys := hardTrip(t)
	a, b := WithBank(sys, 115, 1), WithBank(sys, 125, 1)
	c, err := s.Compare(context.Background(), []*System{a, b}, 0, 400, nil)
	require.NoError(t, err)
	risks, err := s.Ensemble(context.Background(), []*System{a, b}, 400, nil)
	require.NoError(t, err)
	for i := range risks {
		assert.Equal(t, risks[i], c.Systems[i].Risk)
	}
	fa, fb := risks[0].Flat, risks[1].Flat
	unpaired := math.Hypot(fa.High-fa.Share, fb.Share-fb.Low) + math.Hypot(fa.Share-fa.Low, fb.High-fb.Share)
	assert.Less(t, c.Systems[1].Flat.High-c.Systems[1].Flat.Low, 0.8*unpaired)
}

func TestAComparisonIsTheSameOnAnyNumberOfCores(t *testing.T) {
	s, sys := hardTrip(t)
	systems := []*System{WithBank(sys, 120, 1), WithPanelW(sys, 200), sys}
	var got [2]*Comparison
	for i, cores := range []int{1, 2} {
		was := runtime.GOMAXPROCS(cores)
		c, err := s.Compare(context.Background(), systems, 1, 70, nil)
		runtime.GOMAXPROCS(was)
		require.NoError(t, err)
		for j := range c.Systems {
			c.Systems[j].Typical, c.Systems[j].PricePerPoint = nil, 0
			c.Systems[j].System, c.Systems[j].Risk.System = nil, nil
		}
		got[i] = c
	}
	assert.Equal(t, got[0], got[1])
}
