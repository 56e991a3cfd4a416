package sim

import (
	"context"
	"fmt"
	"reflect"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// Each limit alone is kept; what only together would take all memory is refused
// before it is laid out.
func TestLimitsThatOnlyTogetherAreTooMuch(t *testing.T) {
	year := &Trip{Stops: []Stop{stopAt(30, -6, time.UTC, day(2026, 1, 1), MaxDays)}}
	var loads []Load
	for i := range 1000 {
		loads = append(loads, Load{Name: fmt.Sprint(i), Kind: Window, Supply: AC, Watts: 1, StandbyW: .1, Duty: 1, Window: Span{18, 4}})
	}
	opt := DefaultOptions()
	opt.Step = 5 * time.Minute
	require.NoError(t, checkDemand(&itinerary{slots: make([]Slot, 366*288)}, 1000, opt))
	opt.Step = time.Minute
	_, err := NewStudy(year, loads, opt)
	require.EqualError(t, err, "366 days in steps of 1 min with 1000 appliances need about 8 GB of memory, more than 4: use a longer step, fewer appliances, or split the trip")

	opt.Step = time.Hour
	s, err := NewStudy(year, loads[:100], opt)
	require.NoError(t, err)
	assert.NoError(t, s.CheckMemory(100))
	assert.ErrorContains(t, s.CheckMemory(1000), "366 days in steps of 60 min with 100 appliances and 1000 systems need about")
}

// Results of several systems share the traces that do not depend on them.
func TestResultsShareWhatIsTheSame(t *testing.T) {
	loads := []Load{
		steady("lamp", 5),
		{Name: "laptop", Kind: Window, Supply: AC, Watts: 60, StandbyW: 1, Duty: 1, Window: Span{18, 4}},
		{Name: "fridge", Kind: Fridge, Fridge: &profiles.Fridge{Litres: 40, SetpointC: 4}},
	}
	s := mustStudy(t, &Trip{Stops: []Stop{mild(t, 1)}}, loads)
	without := bareSystem(t, 100)
	with := bareSystem(t, 100)
	with.Inverter, with.InverterMode = inverter(t, 500), InverterAlways
	a, err := s.Typical(without)
	require.NoError(t, err)
	before := append([]float64(nil), a.Traces.LoadW[1]...)
	b, err := s.Typical(with)
	require.NoError(t, err)
	assert.Same(t, &a.Traces.LoadW[0][0], &b.Traces.LoadW[0][0])
	assert.NotSame(t, &a.Traces.LoadW[2][0], &b.Traces.LoadW[2][0])
	assert.Equal(t, before, a.Traces.LoadW[1], "a later run leaves it alone")
	assert.Equal(t, 0.0, a.Traces.LoadW[1][0], "no inverter, no standby")
	assert.Equal(t, 1.0, b.Traces.LoadW[1][0])
	assert.Equal(t, 0.0, s.demand.meanW[2][0], "the plan holds no fridge")
}

// Where memory does not hold all changes, they are tried in parts: what each of
// them does is the same.
func TestChangesTriedInPartsAreTheSame(t *testing.T) {
	s, sys := thirsty(t)
	run, err := s.RunDraw(sys, 0)
	require.NoError(t, err)
	together, apart := s.candidates(sys, 4, run), s.candidates(sys, 4, run)
	require.NoError(t, s.tryTogether(context.Background(), sys, together, 0, 20, nil))
	for i := range apart {
		require.NoError(t, s.tryTogether(context.Background(), sys, apart[i:i+1], 0, 20, nil))
		assert.Equal(t, together[i].Unserved, apart[i].Unserved, together[i].Kind)
		together[i].Risk.System, apart[i].Risk.System = nil, nil
		assert.True(t, reflect.DeepEqual(together[i].Risk, apart[i].Risk), together[i].Kind)
	}
}

func TestManyCoresDoNotTakeMoreMemoryThanThereIs(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(64))
	opt := DefaultOptions()
	year, err := NewStudy(&Trip{Stops: []Stop{stopAt(30, -6, time.UTC, day(2026, 1, 1), MaxDays)}}, []Load{steady("lamp", 5)}, opt)
	require.NoError(t, err)
	assert.Equal(t, 64, year.workersWith(1000, 1))
	assert.Equal(t, 1, year.workersWith(1000, 100))
	assert.Equal(t, 5, year.workersWith(5, 1))
	week, err := NewStudy(&Trip{Stops: []Stop{mild(t, 7)}}, []Load{steady("lamp", 5)}, opt)
	require.NoError(t, err)
	assert.Equal(t, 53, week.workersWith(1000, 100))
	assert.Greater(t, week.changesAtOnce(), 1000)
}
