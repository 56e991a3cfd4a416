package profiles

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Hot alternators sustain 70-80 % of the cold rating, idling 40-60 %: trade
// figures (from memory), tolerance 10 %.
func TestAlternatorWhenHotOrIdling(t *testing.T) {
	a := Alternator{SpareA: 60}
	assert.InDelta(t, 60, a.AvailableA(20, 5), 1e-3)
	assert.InDelta(t, .75*60, a.AvailableA(45, 5), 6)
	assert.InDelta(t, .5*60, a.IdlingA(20, 5), 6)
	assert.InDelta(t, 60, a.AvailableA(-30, 5), 1e-3)
	assert.Greater(t, a.AvailableA(55, 5), 30.0)
	assert.Zero(t, Alternator{}.AvailableA(20, 1))
	// The rule as documented: 1 % less per kelvin above 25 C, down to 60 %.
	assert.InDelta(t, .9, a.HeatFactor(35), 1e-12)
	assert.InDelta(t, .6, a.HeatFactor(65), 1e-12)
	assert.InDelta(t, .6, a.HeatFactor(80), 1e-12)
}

func TestStarterBatteryIsServedFirst(t *testing.T) {
	a := Alternator{SpareA: 40}
	assert.InDelta(t, 10, a.AvailableA(20, 0), 1e-9)
	assert.Greater(t, a.AvailableA(20, .1), a.AvailableA(20, .02))
	assert.InDelta(t, 40, a.AvailableA(20, .5), .2)
	assert.Zero(t, Alternator{SpareA: 20}.AvailableA(20, 0), "never negative")
	assert.Equal(t, 20.0, Alternator{SpareA: 20, StarterH: 1}.AvailableA(20, 0), "no starter battery")
	// What it takes in all: 30 A for 5 minutes' worth.
	sum := 0.0
	for h := .0005; h < 1; h += .001 {
		sum += (40 - a.AvailableA(20, h)) * .001
	}
	assert.InDelta(t, 2.5, sum, .01)
}

func TestChargerTakesMoreCurrentWhenTheVoltageSags(t *testing.T) {
	// 40 A at 14.4 V and 90 %: 46.4 A at 13.8 V, 51.6 A at 12.4 V.
	assert.InDelta(t, 46.38, DCDCInputA(40*14.4, .9, 13.8), .01)
	assert.InDelta(t, 51.61, DCDCInputA(40*14.4, .9, 12.4), .01)
}

// 13.5-14.4 V of a regulated alternator, down to 12.0-12.5 V of one that the
// vehicle controls, twice that at 24 V: common practice, no source.
func TestTheAlternatorsVoltageFollowsTheVehicles(t *testing.T) {
	assert.InDelta(t, 13.8, AlternatorV(12), 1e-12)
	assert.InDelta(t, 27.6, AlternatorV(24), 1e-12)
	assert.InDelta(t, 12.2, LowAlternatorV(12), 1e-12)
	assert.InDelta(t, 24.4, LowAlternatorV(24), 1e-12)
}

func TestAlternatorErrors(t *testing.T) {
	assert.Empty(t, Alternator{SpareA: 60}.Validate())
	bad := Alternator{SpareA: -1, StarterA: -1, StarterH: 1, IdleShare: 2}
	assert.Len(t, bad.Validate(), 3)
	assert.ErrorContains(t, errors.Join(bad.Validate()...), "use e.g. 60")
}
