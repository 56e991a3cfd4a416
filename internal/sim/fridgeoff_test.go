package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// A freezer that is used on driving days only: five days parked at 35 C let it
// warm, and it takes that up again when the vehicle moves.
func TestAFridgeThatWasOffHasToCatchUp(t *testing.T) {
	days := func(parked int) *Result {
		var stops []Stop
		for d := range parked + 4 {
			s := stopAt(45, 10, zone(t, "UTC"), day(2026, 7, 1+d), 1)
			s.TempMinC, s.TempMaxC = 35, 35
			if d < 2 || d >= parked+2 {
				s.Drive = Span{8, 1}
			}
			stops = append(stops, s)
		}
		freezer := Load{
			Name: "freezer", Kind: Fridge, Days: DrivingDays, Essential: true,
			Fridge: &profiles.Fridge{Litres: 40, SetpointC: -18, UAWPerK: .5, CompressorW: 80},
		}
		r, err := mustStudy(t, &Trip{Stops: stops}, []Load{freezer}).Typical(bareSystem(t, 400))
		require.NoError(t, err)
		checkResult(t, r)
		return r
	}
	through, off := days(0), days(5)
	for i := 2; i < 7; i++ {
		assert.Zero(t, off.Days[i].ServedWh(), "off on parked days")
	}
	f := profiles.Fridge{Litres: 40}.WithDefaults()
	t.Logf("asked for %.0f Wh without and %.0f Wh with five days off", through.Loads[0].AskedWh, off.Loads[0].AskedWh)
	// By hand: at a coefficient of performance of .35 * 245.15/75 between -28 C and
	// 47 C the compressor takes 80 W times that out of a box at 35 C, into which
	// .5 W/K leak back: it reaches -18 C after t = C/UA ln(Q/(Q - 53 K UA)), in
	// which time a cold box asks for 53 K UA.
	cop := .35 * 245.15 / 75
	leak, heat := 53*.5, 80*cop
	hours := f.HeatWhPerK / .5 * math.Log(heat/(heat-leak))
	assert.InEpsilon(t, hours*(80-leak/cop), off.Loads[0].AskedWh-through.Loads[0].AskedWh, .05)
	assert.False(t, off.Loads[0].CouldNotHold, "getting cold again is no failure")
	assert.Less(t, off.Loads[0].WarmestC, -14.0)
}

// One that is too weak to get cold before it is off again does not hold.
func TestAFridgeThatNeverGetsColdDoesNotHold(t *testing.T) {
	stop := stopAt(45, 10, zone(t, "UTC"), day(2026, 7, 1), 1)
	stop.TempMinC, stop.TempMaxC = 35, 35
	driven := stop
	driven.Date, driven.Drive = day(2026, 7, 2), Span{8, 1}
	freezer := Load{
		Name: "freezer", Kind: Fridge, Days: DrivingDays, Essential: true,
		Fridge: &profiles.Fridge{Litres: 100, SetpointC: -18, CompressorW: 40},
	}
	r, err := mustStudy(t, &Trip{Stops: []Stop{stop, driven}}, []Load{freezer}).Typical(bareSystem(t, 400))
	require.NoError(t, err)
	require.True(t, r.Loads[0].CouldNotHold)
	assert.Greater(t, r.Loads[0].WarmestC, -10.0)
	assert.Less(t, r.Loads[0].WarmestC, 30.0, "the coldest that it got")
}

// A set point that is raised at night is held when the box is at the raised one.
func TestASetBackAtNightIsHeld(t *testing.T) {
	fridge := Load{Name: "fridge", Kind: Fridge, Essential: true, Fridge: &profiles.Fridge{Litres: 40, SetpointC: 4, NightSetbackC: 5, CompressorW: 60}}
	r := typical(t, mild(t, 2), []Load{fridge}, bareSystem(t, 200))
	assert.False(t, r.Loads[0].CouldNotHold, "%g C", r.Loads[0].WarmestC)
}
