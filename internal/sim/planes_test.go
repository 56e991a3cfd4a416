package sim

import (
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/solar"
)

func TestSystemsWithPanelsThatStandAlikeShareTheirGeometry(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	s := mustStudy(t, trip, loads)
	tilted := sys.clone()
	tilted.Panels[0].TiltDeg = 30
	systems := []*System{sys, WithBank(sys, 400, 2), WithPanelW(sys, 600), tilted}
	plans := make([]*plan, len(systems))
	var wg sync.WaitGroup
	for i := range systems {
		wg.Add(1)
		go func() {
			defer wg.Done()
			plans[i], _ = s.newPlan(systems[i])
		}()
	}
	wg.Wait()
	for i := range 3 {
		assert.Same(t, &plans[0].panels[0].factors[0], &plans[i].panels[0].factors[0])
	}
	assert.NotSame(t, &plans[0].panels[0].factors[0], &plans[3].panels[0].factors[0])
	assert.Len(t, s.planes.kept, 2)
	noon := 48
	want := solar.PlaneFactorsAt(s.it.slots[noon].Start, s.opt.Step, s.it.place[noon], planeOf(&tilted.Panels[0]), 0)
	assert.Equal(t, want, plans[3].panels[0].factors[noon])
}

func TestPlanesAreKeptUpToABound(t *testing.T) {
	c := &planeCache{}
	plane := func(i int) solar.Plane { return solar.Plane{TiltDeg: float64(i)} }
	first := c.entry(plane(0), 4)
	for i := range 10 {
		c.entry(plane(i), 4)
		require.Same(t, first, c.entry(plane(0), 4), "in use")
		require.LessOrEqual(t, len(c.kept), 4)
	}
	assert.NotEqual(t, plane(6), c.kept[0].plane, "the one that was not asked for longest has gone")
}

// Every property of a plane tells it from others.
func TestPlanesThatDifferInOnePropertyAreKeptApart(t *testing.T) {
	c := &planeCache{}
	planes := []solar.Plane{
		{TiltDeg: 30, AzimuthDeg: 180},
		{TiltDeg: 30, AzimuthDeg: 90},
		{TiltDeg: 20, AzimuthDeg: 180},
		{TiltDeg: 30, AzimuthDeg: 180, Mount: solar.HeadingAveraged},
		{TiltDeg: 30, AzimuthDeg: 180, AngularLossAr: -1},
	}
	entries := map[*planeEntry]bool{}
	for _, pl := range planes {
		entries[c.entry(pl, 10)] = true
	}
	assert.Len(t, entries, len(planes))
}

// A change that moves the vehicle at other hours sees the sun from elsewhere.
func TestAChangedTripKeepsItsGeometryOnlyWhereItStaysInPlace(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	s := mustStudy(t, trip, loads)
	_, err := s.newPlan(sys)
	require.NoError(t, err)
	shaded, err := s.changed(trip.withDay(3, func(st *Stop) { st.Shade = .5 }), loads)
	require.NoError(t, err)
	assert.Same(t, s.planes, shaded.planes)
	longer, err := s.changed(trip.withDay(2, func(st *Stop) { st.Drive.Hours += 3 }), loads)
	require.NoError(t, err)
	assert.NotSame(t, s.planes, longer.planes)
}
