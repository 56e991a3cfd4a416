package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// Single trips, streamed ones and those of a grid agree on what is carried: 12 W
// from 100 % leave the same reserve in every draw, so each reserve splits them all
// or none. By hand: one day takes 288 Wh of some 2,600 Wh, 11 %; the reserve above
// the cut-off of 10 % is 79 %.
func TestOneMeaningOfCarried(t *testing.T) {
	s, sys := mustStudy(t, &Trip{Stops: []Stop{warmDay(t)}}, []Load{steady("pump", 12)}), bareSystem(t, 200)
	r, err := s.Typical(sys)
	require.NoError(t, err)
	risks, err := s.Ensemble(context.Background(), []*System{sys}, 30, nil)
	require.NoError(t, err)
	for _, c := range []struct{ reserve, missed float64 }{{0, 0}, {0.7, 0}, {0.85, 1}} {
		assert.Equal(t, c.missed == 0, r.Carried(c.reserve), c.reserve)
		assert.Equal(t, c.missed, risks[0].NotCarried(c.reserve).Share, c.reserve)
		z, err := s.SizeFor(context.Background(), sys, BatterySize, []Bank{{200, 1}}, Goal{Reserve: c.reserve}, 30, nil)
		require.NoError(t, err)
		assert.Equal(t, c.missed, z.Points[0].Failed.Share, c.reserve)
	}
}

// On a hard trip (see hardTrip) the streamed share is that of the grid, whatever
// the reserve.
func TestStreamedAndSizedSharesAgree(t *testing.T) {
	s, sys := hardTrip(t)
	risks, err := s.Ensemble(context.Background(), []*System{sys}, 60, nil)
	require.NoError(t, err)
	for _, reserve := range []float64{0, 0.05, 0.1234, 0.3, 0.5} {
		z, err := s.SizeFor(context.Background(), sys, BatterySize, []Bank{{sys.BankAh(), 1}}, Goal{Reserve: reserve}, 60, nil)
		require.NoError(t, err)
		assert.Equal(t, z.Points[0].Failed, risks[0].NotCarried(reserve), reserve)
	}
}

// What exceeds the inverter's rating is unserved, and so not carried, at any size
// of battery.
func TestAnInverterTooSmallForItsAppliancesIsNotCarried(t *testing.T) {
	kettle := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 900, Duty: 1, TimesH: []float64{7}, Minutes: 10, Essential: true}
	pan := kettle
	pan.Name = "pan"
	sys := bareSystem(t, 400)
	inv, err := profiles.NewInverter(1000, 3000, math.NaN(), 12)
	require.NoError(t, err)
	sys.Inverter, sys.InverterMode = inv, InverterNeeded
	s := mustStudy(t, &Trip{Stops: []Stop{warmDay(t)}}, []Load{kettle, pan})
	z, err := s.SizeFor(context.Background(), sys, BatterySize, Sizes([]float64{400, 800}), Goal{}, 10, nil)
	require.NoError(t, err)
	assert.Equal(t, -1, z.Best)
	assert.Equal(t, 0.0, z.Points[0].Flat.Share)
	assert.InDelta(t, 800.0/6, z.Points[0].UnservedWh, 5, "1,800 W of 1,000 W for ten minutes")
}

// An appliance of no power asks for nothing, and takes nothing from the others:
// so it stands for one that is gone.
func TestAnApplianceOfNoPowerTakesNothing(t *testing.T) {
	sys := bareSystem(t, 200)
	inv, err := profiles.NewInverter(1000, 3000, math.NaN(), 12)
	require.NoError(t, err)
	sys.Inverter, sys.InverterMode = inv, InverterNeeded
	screen := Load{Name: "screen", Kind: Window, Supply: AC, Watts: 50, StandbyW: 5, Duty: 1, Window: Span{18, 3}}
	with := typical(t, warmDay(t), []Load{screen, {Name: "gone", Kind: Steady, Supply: AC, Duty: 1}}, sys)
	alone := typical(t, warmDay(t), []Load{screen}, sys)
	assert.Zero(t, with.Total.UnservedWh)
	assert.InDelta(t, alone.Total.ACLoadWh, with.Total.ACLoadWh, 1e-9)
	assert.InDelta(t, alone.EndSoC, with.EndSoC, 1e-12)
}

// Without a unit there is nothing to size away from; with panels on it, it has to
// stay.
func TestAChargerIsTriedAwayWhereNothingHangsOnIt(t *testing.T) {
	sys := bareSystem(t, 200)
	assert.True(t, ChargerSpareable(sys))
	s := mustStudy(t, &Trip{Stops: []Stop{warmDay(t)}}, []Load{steady("pump", 5)})
	z, err := s.SizeFor(context.Background(), sys, ChargerSize, Sizes([]float64{0, 20}), Goal{}, 10, nil)
	require.NoError(t, err)
	assert.Equal(t, 0, z.Best)
	assert.Empty(t, z.Points[0].System.Chargers)
	sys = withDCDC(sys, 30)
	assert.True(t, ChargerSpareable(sys))
	sys.Chargers[0].SolarA, sys.Panels = 20, []Panel{{Name: "roof", RatedW: 100}}
	assert.False(t, ChargerSpareable(sys))
}

// warmDay is one day at 25 °C at a place without charging.
func warmDay(t testing.TB) Stop {
	s := stopAt(0, 10, zone(t, "Africa/Libreville"), day(2026, 3, 1), 1)
	s.TempMinC, s.TempMaxC = 25, 25
	return s
}

// A trip that comes down to the reserve, and not below it, keeps it.
func TestAReserveThatIsJustKeptIsKept(t *testing.T) {
	for _, reserve := range []float64{0, 0.05, 0.25, 0.3} {
		assert.True(t, carried(false, 0, reserve, reserve), "%g", reserve)
		assert.False(t, carried(false, 0, reserve-0.001, reserve) && reserve > 0, "%g", reserve)
	}
	assert.True(t, carried(false, 0, 0.3-0.1, 0.2), "to within rounding")
	assert.False(t, carried(true, 0, 1, 0), "flat")
	assert.True(t, carried(false, 0.9, 1, 0))
	assert.False(t, carried(false, 1.1, 1, 0), "unserved")
}
