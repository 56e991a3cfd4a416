package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func useOf(name string, w, atH, minutes float64) Load {
	return Load{Name: name, Kind: Uses, Supply: AC, Watts: w, Duty: 1, TimesH: []float64{atH}, Minutes: minutes, Essential: true}
}

// A kettle of 3 minutes that is too much for the battery costs its own 75 Wh and
// what a TV would have drawn in those 3 minutes, whatever the step.
func TestATripLastsAsLongAsWhatCausedIt(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Battery.MaxDischargeA = 60
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	tv := Load{Name: "TV", Kind: Window, Supply: AC, Watts: 100, Duty: 1, Window: Span{7, 4}, Essential: true}
	for _, minutes := range []int{1, 5, 15, 60} {
		r, err := stepped(t, mild(t, 1), []Load{useOf("kettle", 1500, 8.1, 3), tv}, minutes).Typical(sys)
		require.NoError(t, err)
		checkResult(t, r)
		assert.InDelta(t, 80, r.Total.UnservedWh, 1e-6, "%d min", minutes)
		assert.InDelta(t, 75, r.Loads[0].UnservedWh, 1e-6, "%d min", minutes)
		assert.InDelta(t, 5, r.Loads[1].UnservedWh, 1e-6, "%d min", minutes)
		assert.InDelta(t, .05, r.Days[0].TripH, 1e-9, "%d min", minutes)
		require.Equal(t, []EventKind{OverCurrent}, kinds(r))
		assert.InDelta(t, .05, r.Events[0].Hours, 1e-9)
	}
}

// Within one step only the runs that are too much end: a hob of 1,800 W does, a
// toaster of 700 W after it does not.
func TestATripSparesWhatTheBatteryBears(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Battery.MaxDischargeA = 100
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	for _, minutes := range []int{5, 60} {
		r, err := stepped(t, mild(t, 1), []Load{useOf("hob", 1800, 8, 10), useOf("toaster", 700, 8.5, 6)}, minutes).Typical(sys)
		require.NoError(t, err)
		checkResult(t, r)
		assert.InDelta(t, 300, r.Loads[0].UnservedWh, 1e-6, "%d min", minutes)
		assert.Zero(t, r.Loads[1].UnservedWh, "%d min", minutes)
		assert.InDelta(t, 70, r.Total.ACLoadWh, 1e-6, "%d min", minutes)
	}
}

// An AC fridge on the same inverter is without power as long as the trip lasts;
// an overload on top of it is accounted for too.
func TestATripTakesTheFridgeWithIt(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Battery.MaxDischargeA = 60
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterAlways
	fridge := Load{Name: "fridge", Kind: Fridge, Supply: AC, Duty: 1, Essential: true, Fridge: fridge40()}
	tv := Load{Name: "TV", Kind: Window, Supply: AC, Watts: 100, Duty: 1, Window: Span{7, 2}, Essential: true}
	r, err := stepped(t, mild(t, 1), []Load{useOf("hob", 1800, 7, 30), fridge, tv}, 60).Typical(sys)
	require.NoError(t, err)
	checkResult(t, r)
	assert.InDelta(t, .5, r.Days[0].TripH, 1e-9)
	assert.InDelta(t, 900, r.Loads[0].UnservedWh, 1e-6)
	require.Greater(t, r.Traces.LoadW[1][7], 10.0, "the compressor runs then")
	assert.InDelta(t, r.Traces.LoadW[1][7]*.5, r.Loads[1].UnservedWh, 1e-6)
	assert.InDelta(t, 50, r.Loads[2].UnservedWh, 1e-6)

	r, err = stepped(t, mild(t, 1), []Load{useOf("hob", 1800, 7, 30), useOf("kettle", 1500, 7, 20), fridge}, 60).Typical(sys)
	require.NoError(t, err)
	checkResult(t, r)
	assert.InDelta(t, 900+500, r.Loads[0].UnservedWh+r.Loads[1].UnservedWh, r.Traces.LoadW[2][7])
}
