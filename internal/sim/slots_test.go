package sim

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDaylightSavingDaysHave23And25Hours(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	for _, c := range []struct {
		date  time.Time
		hours float64
	}{{day(2026, 3, 29), 23}, {day(2026, 10, 25), 25}, {day(2026, 6, 1), 24}} {
		trip := &Trip{Stops: []Stop{stopAt(52, 13, berlin, c.date, 1)}}
		it, err := layOut(trip, 15*time.Minute)
		require.NoError(t, err)
		assert.Len(t, it.slots, int(4*c.hours), "%v", c.date)
	}
}

func TestAWindowKeepsItsElapsedHoursAcrossTheClockChange(t *testing.T) {
	berlin := zone(t, "Europe/Berlin")
	for _, date := range []time.Time{day(2026, 3, 28), day(2026, 10, 24), day(2026, 6, 1)} {
		trip := &Trip{Stops: []Stop{stopAt(52, 13, berlin, date, 2)}}
		it, err := layOut(trip, 15*time.Minute)
		require.NoError(t, err)
		d := newDemand(it, []Load{{Kind: Window, Watts: 100, Duty: 1, Window: Span{22, 6}}})
		wh := 0.0
		for _, x := range d.meanW[0] {
			wh += x * it.stepH
		}
		// 6 h from the first evening, 2 h of the second inside the trip.
		assert.InDelta(t, 800, wh, 1e-6, "%v", date)
	}
}

func TestAMultiDayRowEqualsSingleDayRows(t *testing.T) {
	z := zone(t, "Africa/Casablanca")
	one := stopAt(31, -7, z, day(2026, 10, 3), 3)
	one.Drive, one.Mains = Span{9, 2}, Span{18, 14}
	var three []Stop
	for k := range 3 {
		s := one
		s.Date, s.Days = one.Date.AddDate(0, 0, k), 1
		three = append(three, s)
	}
	a, err := layOut(&Trip{Stops: []Stop{one}}, 15*time.Minute)
	require.NoError(t, err)
	b, err := layOut(&Trip{Stops: three}, 15*time.Minute)
	require.NoError(t, err)
	require.Len(t, b.slots, len(a.slots))
	for i := range a.slots {
		sa, sb := a.slots[i], b.slots[i]
		sb.Stop = 0
		require.Equal(t, sa, sb)
		require.Equal(t, a.place[i], b.place[i])
	}
}

func TestMainsRunPastMidnightUntilTheNextDrive(t *testing.T) {
	z := zone(t, "UTC")
	s := stopAt(50, 0, z, day(2026, 5, 1), 2)
	s.Mains, s.Drive = Span{20, 14}, Span{8, 2}
	it, err := layOut(&Trip{Stops: []Stop{s}}, 15*time.Minute)
	require.NoError(t, err)
	mains, drive := 0.0, 0.0
	for _, sl := range it.slots {
		mains += sl.MainsH
		drive += sl.DriveH
		assert.False(t, sl.MainsH > 0 && sl.DriveH > 0)
	}
	assert.InDelta(t, 12+4, mains, 1e-9) // 20:00 to 08:00, then 20:00 to the trip's end
	assert.InDelta(t, 4, drive, 1e-9)
}

func TestThePositionMovesAlongTheDriveAcrossTheDateLine(t *testing.T) {
	z := zone(t, "UTC")
	a := stopAt(-17, 179, z, day(2026, 5, 1), 1)
	b := stopAt(-18, -179, z, day(2026, 5, 2), 1)
	b.Drive = Span{10, 4}
	it, err := layOut(&Trip{Stops: []Stop{a, b}}, time.Hour)
	require.NoError(t, err)
	mid := it.days[1].placeAt(24 + 12)
	assert.InDelta(t, -17.5, mid.LatDeg, 1e-9)
	assert.InDelta(t, 180, abs(mid.LonDeg), 1e-9)
	assert.Equal(t, a.Position, it.place[24+9])
	assert.Equal(t, b.Position, it.place[24+15])
}

func abs(x float64) float64 {
	if x < 0 {
		return -x
	}
	return x
}

func TestABadStepOrTripIsRefused(t *testing.T) {
	z := zone(t, "UTC")
	_, err := layOut(&Trip{}, time.Hour)
	assert.ErrorContains(t, err, "no stop")
	ok := &Trip{Stops: []Stop{stopAt(0, 0, z, day(2026, 1, 1), 1)}}
	for _, step := range []time.Duration{0, -time.Minute, 7 * time.Minute, 2 * time.Hour} {
		_, err = layOut(ok, step)
		assert.ErrorContains(t, err, "does not divide an hour")
	}
	ok.Stops[0].Days = MaxDays + 1
	_, err = layOut(ok, time.Hour)
	assert.ErrorContains(t, err, "at most 366")
}
