package solar

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// eventOnDate finds the event of one kind that falls nearest to a moment of
// the UTC date, among the solar days around it.
func eventOnDate(day, want time.Time, p Place, pick func(DayEvents) time.Time) (offS float64) {
	offS = math.Inf(1)
	for shift := -1; shift <= 1; shift++ {
		if got := pick(EventsOn(day.AddDate(0, 0, shift), p)); !got.IsZero() {
			if d := got.Sub(want).Seconds(); math.Abs(d) < math.Abs(offS) {
				offS = d
			}
		}
	}
	return offS
}

// Sunrise, sunset and transit of the Solar Position Algorithm, and minutes
// with the sun up counted over the UTC day; source in the table's header. The
// table's sunrise and sunset are those on the UTC date, printed with a
// neighbouring date where that makes them enclose the transit.
func TestEventsAgreeWithReferenceTable(t *testing.T) {
	rise, set := deviations{name: "sunrise, s"}, deviations{name: "sunset, s"}
	transit := deviations{name: "transit, s"}
	up := deviations{name: "minutes up in the UTC day"}
	var contradictions []string
	for _, r := range table(t, "sunrise_sunset.csv") {
		day, err := time.Parse(time.DateOnly, r.text("date"))
		require.NoError(t, err)
		p := Place{LatDeg: r.f("lat"), LonDeg: r.f("lon")}
		what := r.text("lat") + " " + r.text("date")
		counted := r.f("minutes_true_zenith_below_90_8333")
		ev := EventsOn(day, p)
		transit.add(ev.Transit.Sub(r.time("transit_utc")).Seconds(), 0, what)
		up.add(1440*IntervalAt(day, 24*time.Hour, p, 3).Up, counted, what)
		assert.Equal(t, r.text("case") == "polar_day", ev.PolarDay, what)
		assert.Equal(t, r.text("case") == "polar_night", ev.PolarNight, what)
		switch r.text("case") {
		case "":
			wantRise, wantSet := r.time("sunrise_utc"), r.time("sunset_utc")
			if math.Abs(wantSet.Sub(wantRise).Minutes()-counted) > 15 {
				contradictions = append(contradictions, what)
				continue
			}
			sinceMidnight := func(at time.Time) time.Time { return day.Add(at.Sub(at.Truncate(24 * time.Hour))) }
			rise.add(eventOnDate(day, sinceMidnight(wantRise), p, func(e DayEvents) time.Time { return e.Sunrise }), 0, what)
			set.add(eventOnDate(day, sinceMidnight(wantSet), p, func(e DayEvents) time.Time { return e.Sunset }), 0, what)
		case "polar_day", "polar_night":
			assert.True(t, ev.Sunrise.IsZero() && ev.Sunset.IsZero(), what)
			assert.InDelta(t, counted/60, ev.DaylightH, 1e-9, what)
		default: // a short day, which the formula for sunrise in one go misses
			assert.InDelta(t, counted, ev.DaylightH*60, 1.5, what)
			assert.False(t, ev.Sunrise.IsZero() || ev.Sunset.IsZero(), what)
		}
	}
	// Near the midnight sun the table's times contradict its own count, and at
	// them the full algorithm puts the sun a degree above the horizon.
	assert.Equal(t, []string{"78.220000 2023-08-25"}, contradictions)
	transit.within(t, 3)
	rise.within(t, 60)
	set.within(t, 60)
	up.within(t, 1.5)
}

func TestSunIsOnTheHorizonAtItsEvents(t *testing.T) {
	elevation := deviations{name: "elevation at sunrise/sunset, deg"}
	for lat := -89.0; lat <= 89; lat += 3.7 {
		for day := range 73 {
			at := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, 5*day)
			p := Place{LatDeg: lat, LonDeg: 3*float64(day) - 100}
			ev := EventsOn(at, p)
			for _, event := range []time.Time{ev.Sunrise, ev.Sunset} {
				if !event.IsZero() {
					// The almanac convention leaves the parallax (0.0024 degrees) out.
					elevation.add(90-PositionAt(event, p).ZenithDeg, sunriseElevationDeg, event.String())
				}
			}
		}
	}
	elevation.within(t, 0.006)
}

func TestSolarDaysFollowOnWithoutGap(t *testing.T) {
	for _, p := range []Place{{0, 180, 0}, {45, -180, 0}, {-30, 179.99, 0}, {70, 0, 0}} {
		last := EventsOn(time.Date(2023, 12, 31, 0, 0, 0, 0, time.UTC), p)
		for day := range 400 {
			date := time.Date(2024, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, day)
			ev := EventsOn(date, p)
			gap := ev.Transit.Sub(last.Transit)
			require.InDelta(t, 86400, gap.Seconds(), 31, "%v %v", p, date)
			around := EventsAround(ev.Transit.Add(11*time.Hour), p)
			require.InDelta(t, 0, around.Transit.Sub(ev.Transit).Seconds(), 0.5)
			around = EventsAround(ev.Transit.Add(-11*time.Hour), p)
			require.InDelta(t, 0, around.Transit.Sub(ev.Transit).Seconds(), 0.5)
			last = ev
		}
	}
}

func TestPolesHaveHalfYearDays(t *testing.T) {
	for _, lat := range []float64{90, -90} {
		days, nights, mixed := 0, 0, 0
		for day := range 365 {
			ev := EventsOn(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, day), Place{LatDeg: lat})
			switch {
			case ev.PolarDay:
				days++
				assert.Equal(t, 24.0, ev.DaylightH)
			case ev.PolarNight:
				nights++
				assert.Zero(t, ev.DaylightH)
			default:
				mixed++
			}
		}
		assert.LessOrEqual(t, mixed, 4)
		// Refraction and the disc add about two days at each end; the northern
		// summer is the longer one (aphelion in July).
		if lat > 0 {
			assert.InDelta(t, 189, days, 2)
		} else {
			assert.InDelta(t, 182, days, 2)
		}
		assert.Equal(t, 365, days+nights+mixed)
	}
}

func TestEventsAreUTC(t *testing.T) {
	ev := EventsOn(time.Date(2024, 6, 1, 23, 0, 0, 0, time.FixedZone("x", -5*3600)), Place{LatDeg: 30, LonDeg: 20})
	assert.True(t, strings.HasPrefix(ev.Transit.Format(time.RFC3339), "2024-06-02T"), "the UTC date counts")
	assert.Equal(t, time.UTC, ev.Sunrise.Location())
}
