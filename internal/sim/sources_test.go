package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// halfCharged is a bank that takes whatever its chargers give.
func halfCharged(t testing.TB, ah float64, chargers ...Charger) *System {
	sys := bareSystem(t, ah)
	sys.StartSoC, sys.Chargers = .5, chargers
	return sys
}

// A spare current of 30 A is 414 W at 13.8 V and 828 W at 27.6 V (common
// practice, no source). By hand: 828 W, 93 % efficient, at 13.5 V of a 12 V
// battery on charge are 57 A. Simulation and fitter's sheet say so alike.
func TestTheSpareCurrentOfA24VVehicleIsWorthTwiceAsMuch(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive = Span{8, 3}
	fed := func(vehicleV float64) (simA, sheetA, inA float64) {
		sys := halfCharged(t, 400, Charger{Name: "unit", AlternatorA: 80, Efficiency: .93})
		sys.AlternatorSpareA, sys.VehicleV = 30, vehicleV
		r := typical(t, stop, nil, sys)
		f, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, nil).Fitting(sys, DefaultFittingOptions())
		require.NoError(t, err)
		require.Equal(t, ModeDriving, f.Modes[0].Name)
		at := 10 * 4 // the starter battery is full
		return r.Rows[at].BatteryA, f.Modes[0].BatteryA, r.Rows[at].InputA
	}
	sim24, sheet24, in24 := fed(24)
	assert.InDelta(t, 57, sim24, 1)
	assert.InEpsilon(t, sheet24, sim24, .02)
	assert.InDelta(t, 30, in24, 1e-6, "on the vehicle's side")
	sim12, sheet12, in12 := fed(12)
	assert.InDelta(t, 28.5, sim12, .5)
	assert.InEpsilon(t, sheet12, sim12, .02)
	assert.InDelta(t, 30, in12, 1e-6)
	plain, _, _ := fed(0)
	assert.Equal(t, sim12, plain, "a vehicle is one of 12 V unless it is said")
}

// The sheet of another vehicle is a sheet of the trip in that vehicle.
func TestTheSheetsVehicleIsTheSimulatedOne(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive = Span{8, 3}
	sys := halfCharged(t, 400, Charger{Name: "unit", AlternatorA: 80, Efficiency: .93})
	opt := DefaultFittingOptions()
	inA := map[float64]float64{}
	for _, opt.VehicleV = range []float64{12, 24} {
		f, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, nil).Fitting(sys, opt)
		require.NoError(t, err)
		inA[opt.VehicleV] = runOf(t, f, RunAlternator).TripA
	}
	assert.InEpsilon(t, inA[12], 2*inA[24], 1e-9, "the same power at twice the voltage")
	assert.Zero(t, sys.VehicleV, "the system itself is left alone")
}

// A unit of 40 A whose alternator is gone when mains comes gives 40 A all
// along, be the step an hour with both in it or five minutes with one.
func TestTwoSourcesInTurnEachHaveTheWholeUnit(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive, stop.Mains = Span{8, 1.5}, Span{9.5, 2.5}
	unit := Charger{Name: "unit", AlternatorA: 40, MainsA: 40, TotalA: 40, Efficiency: .9}
	s := stepped(t, stop, nil, 60)
	r, err := s.Typical(halfCharged(t, 400, unit))
	require.NoError(t, err)
	checkResult(t, r)
	for hour := 8; hour < 12; hour++ {
		assert.InDelta(t, 40, r.Rows[hour].BatteryA, 1e-6, "from %d:00", hour)
	}
	assert.InEpsilon(t, r.Rows[9].AlternatorBusWh, r.Rows[9].MainsBusWh, 1e-6, "half an hour each")
}

// Without a shared limit a unit gives what its inputs give together: the
// kernel, the search for a charger and the sheet have to mean the same by it.
func TestAUnitHasOneRating(t *testing.T) {
	for _, c := range []struct {
		unit Charger
		want float64
	}{
		{Charger{AlternatorA: 40, SolarA: 30, MainsA: 20}, 90},
		{Charger{AlternatorA: 40, SolarA: 30, MainsA: 20, TotalA: nan}, 90},
		{Charger{AlternatorA: 40, SolarA: 30, MainsA: 20, TotalA: 50}, 50},
		{Charger{AlternatorA: 40, TotalA: 60}, 40},
	} {
		c.unit.Efficiency = .9
		sys := halfCharged(t, 400, c.unit)
		assert.InDelta(t, c.want, c.unit.RatingA(), 1e-12, "%+v", c.unit)
		assert.InDelta(t, c.want, newUnit(&c.unit).totalA, 1e-12, "%+v", c.unit)
		assert.InDelta(t, c.want, runOf(t, fit(t, sys, nil, nil), RunCharger).DesignA, 1e-12, "%+v", c.unit)
		larger := ChargerSize.Resized(sys, 60)
		assert.InDelta(t, 60, ChargerSize.Size(larger), 1e-9, "%+v", c.unit)
		assert.InDelta(t, 60, newUnit(&larger.Chargers[0]).totalA, 1e-9, "what is called 60 A gives 60 A")
	}
}
