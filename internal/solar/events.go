package solar

import (
	"math"
	"time"
)

// sunriseElevationDeg is the true elevation of the sun's centre when its upper
// limb touches the horizon under standard refraction: 34' of refraction and
// 16' of radius (Reda & Andreas 2004, section 3.16; almanac convention).
const sunriseElevationDeg = -0.8333

// DayEvents is one solar day: from midnight to midnight by the sun, around one
// transit. Sunrise and Sunset are zero (IsZero) where they do not happen.
type DayEvents struct {
	Sunrise, Sunset time.Time // UTC
	Transit         time.Time // sun highest
	PolarDay        bool      // up all the time
	PolarNight      bool      // never up
	DaylightH       float64   // hours with the upper limb above the horizon, 0..24
}

// EventsOn gives sunrise, transit and sunset of the solar day whose mean noon
// at the place's longitude falls on the UTC date of dateUTC. Far east or west,
// sunrise or sunset then carry the neighbouring UTC date. Standard horizon
// (true elevation -0.8333 degrees), good to some seconds away from the polar
// transitions; the horizon's own height is not counted.
func EventsOn(dateUTC time.Time, p Place) DayEvents {
	y, m, d := dateUTC.UTC().Date()
	return eventsAround(time.Date(y, m, d, 12, 0, 0, 0, time.UTC).Add(-meanSolarOffset(p)), p)
}

// EventsAround is [EventsOn] for the solar day in which an instant falls: the
// one to use for a local day, given its local noon.
func EventsAround(t time.Time, p Place) DayEvents {
	tr := trackAt(daysSinceJ2000(t), p)
	return eventsAround(t.UTC().Add(seconds(-tr.hourAngleRad/tr.hourRateRadPerS)), p)
}

// meanSolarOffset is local mean solar time minus UTC.
func meanSolarOffset(p Place) time.Duration { return seconds(p.LonDeg * 240) }

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }

const halfDayS = 43200

var sinSunrise = math.Sin(sunriseElevationDeg * deg)

func eventsAround(nearTransit time.Time, p Place) DayEvents {
	tr := trackAt(daysSinceJ2000(nearTransit), p)
	transit := nearTransit.Add(seconds(-tr.hourAngleRad / tr.hourRateRadPerS))
	tr = trackAt(daysSinceJ2000(transit), p)

	threshold := sinSunrise
	fNoon := tr.cosZenith(0) - threshold
	fBefore, fAfter := tr.cosZenith(-halfDayS)-threshold, tr.cosZenith(halfDayS)-threshold
	ev := DayEvents{Transit: transit}
	morning, upBefore := tr.spanAbove(threshold, -halfDayS, fBefore, 0, fNoon)
	evening, upAfter := tr.spanAbove(threshold, 0, fNoon, halfDayS, fAfter)
	if upBefore {
		ev.DaylightH += (morning.to - morning.from) / 3600
		if fBefore <= 0 {
			ev.Sunrise = transit.Add(seconds(morning.from))
		}
	}
	if upAfter {
		ev.DaylightH += (evening.to - evening.from) / 3600
		if fAfter <= 0 {
			ev.Sunset = transit.Add(seconds(evening.to))
		}
	}
	ev.PolarNight = !upBefore && !upAfter
	ev.PolarDay = fBefore > 0 && fNoon > 0 && fAfter > 0
	return ev
}
