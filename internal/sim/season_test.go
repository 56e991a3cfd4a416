package sim

import (
	"context"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lamp and a roof panel parked at 52 degrees north: a battery that sees the
// summer through fails in winter, and the other half of the year mirrors it at
// 52 degrees south.
func TestASunFedTripFailsInTheDarkHalfOfTheYear(t *testing.T) {
	sys := WithPanelW(bareSystem(t, 100), 120)
	var winter, summer [2]float64
	for i, lat := range []float64{52, -38} {
		stop := stopAt(lat, 5, zone(t, "UTC"), day(2026, 6, 15), 10)
		if i == 1 {
			stop = stopAt(lat, 145, zone(t, "UTC"), day(2026, 6, 15), 10)
		}
		se, err := RunSeason(context.Background(), &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 14)}, DefaultOptions(),
			[]*System{sys}, MonthlyStarts(&Trip{Stops: []Stop{stop}}), 60, nil)
		require.NoError(t, err)
		require.Len(t, se.Starts, 12)
		winter[i], summer[i] = se.Starts[11].Risks[0].Flat.Share, se.Starts[5].Risks[0].Flat.Share
		if i == 0 {
			assert.Less(t, se.Starts[11].SunKWhM2, 1.2)
			assert.Greater(t, se.Starts[5].SunKWhM2, 4.0)
			assert.False(t, se.Dropped)
		}
	}
	assert.Equal(t, 1.0, winter[0])
	assert.Zero(t, summer[0])
	assert.Zero(t, winter[1], "December is summer in the south")
	assert.Greater(t, summer[1], winter[1])
}

func TestMonthlyStartsKeepTheDayOfTheMonth(t *testing.T) {
	starts := MonthlyStarts(&Trip{Stops: []Stop{{Date: day(2027, 8, 31)}}})
	assert.Equal(t, day(2027, 1, 31), starts[0])
	assert.Equal(t, day(2027, 2, 28), starts[1])
	assert.Equal(t, day(2027, 4, 30), starts[3])
	assert.Equal(t, day(2027, 12, 31), starts[11])
	weeks := WeeklyStarts(&Trip{Stops: []Stop{{Date: day(2026, 10, 3)}}}) // a Saturday
	assert.Equal(t, day(2026, 1, 3), weeks[0])
	assert.Len(t, weeks, 52)
	for _, w := range weeks {
		assert.Equal(t, time.Saturday, w.Weekday())
	}
}

// The trip's own sun belongs to its own date: without it a start on the same
// date is the same as a trip without the figure.
func TestTheTripsOwnFiguresAreDropped(t *testing.T) {
	plain := stopAt(52, 5, zone(t, "UTC"), day(2026, 6, 15), 5)
	own := plain
	own.SunKWhM2, own.TempMinC, own.TempMaxC = 1, 0, 5
	sys := WithPanelW(bareSystem(t, 50), 80)
	loads := []Load{steady("lamp", 14)}
	run := func(st Stop) *Season {
		trip := &Trip{Stops: []Stop{st}}
		se, err := RunSeason(context.Background(), trip, loads, DefaultOptions(), []*System{sys}, []time.Time{trip.Start()}, 50, nil)
		require.NoError(t, err)
		return se
	}
	a, b := run(plain), run(own)
	assert.True(t, b.Dropped)
	assert.Equal(t, a.Starts, b.Starts)
}

func TestASeasonIsTheSameOnAnyNumberOfCores(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	var got [2]*Season
	for i, cores := range []int{1, 2} {
		was := runtime.GOMAXPROCS(cores)
		se, err := RunSeason(context.Background(), trip, loads, DefaultOptions(), []*System{sys}, MonthlyStarts(trip)[:2], 40, nil)
		runtime.GOMAXPROCS(was)
		require.NoError(t, err)
		se.Systems = nil
		for _, st := range se.Starts {
			st.Risks[0].System = nil
		}
		got[i] = se
	}
	assert.Equal(t, got[0], got[1])
}
