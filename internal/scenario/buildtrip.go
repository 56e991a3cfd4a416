package scenario

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"tripsim/internal/sim"
	"tripsim/internal/solar"
	"tripsim/internal/weather"
)

// trip converts the rows of trip.csv. Stops in error keep their place in the
// list, so that later rows are still checked against it.
func (k *checker) trip(rows []tripRow) sim.Trip {
	var t sim.Trip
	for i := range rows {
		r := &rows[i]
		s := sim.Stop{
			Row:       r.Place.at.line,
			Date:      k.date(&r.Date),
			Days:      1,
			Place:     k.name(&r.Place),
			Drive:     k.span(&r.DriveStart, &r.DriveHours),
			Generator: k.span(&r.GeneratorStart, &r.GeneratorHours),
			Mains:     k.mainsSpan(r),
			MainsA:    orZero(k.number(&r.MainsLimitA)),
			GenW:      orZero(k.number(&r.GeneratorW)),
			Shade:     orZero(k.share(&r.ShadePct)),
			SunKWhM2:  k.number(&r.SunKWhM2),
			TempMinC:  k.number(&r.TempMinC),
			TempMaxC:  k.number(&r.TempMaxC),
			Note:      r.Note.text,
		}
		if n := k.number(&r.Days); !math.IsNaN(n) {
			s.Days = int(n)
		}
		s.Idle = k.idleSpan(r, s.Drive)
		s.Position = k.place(rows, i, t.Stops)
		s.Zone = k.zone(&r.TimeZone)
		if s.Zone == nil && !r.TimeZone.bad {
			s.Zone = zoneAt(s.Position, t.Stops)
			k.zonesFound = true
		}
		t.Stops = append(t.Stops, s)
	}
	k.warnOfNames()
	k.warnOfPlaces()
	k.warnOfHeights()
	k.follow(rows, &t)
	return t
}

// place gives the position of row i; a blank one is found by name or that of the
// row above.
func (k *checker) place(rows []tripRow, i int, above []sim.Stop) solar.Place {
	r := &rows[i]
	lat, lon, elevation := k.number(&r.Latitude), k.number(&r.Longitude), k.number(&r.ElevationM)
	blank := !r.Latitude.given() && !r.Longitude.given()
	if blank {
		if found, ok := k.named(rows, i, above); ok {
			lat, lon, blank = found.LatDeg, found.LonDeg, false
		}
	}
	nowhere := solar.Place{LatDeg: math.NaN(), LonDeg: math.NaN(), ElevationM: elevation}
	switch {
	case r.Latitude.bad || r.Longitude.bad:
		return nowhere
	case r.Latitude.given() != r.Longitude.given():
		c := &r.Latitude
		if c.given() {
			c = &r.Longitude
		}
		k.report(c, "is blank but the other coordinate is given; give both, e.g. 30.92 and -6.91")
		return nowhere
	case blank && i == 0:
		if !k.strayStops {
			k.report(&r.Latitude, "is blank; the first stop needs latitude and longitude, e.g. 30.92 and -6.91")
		}
		return nowhere
	case blank:
		p := above[i-1].Position
		if !math.IsNaN(elevation) {
			p.ElevationM = elevation
		}
		return p
	}
	p := solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: elevation}
	k.checkSwapped(r, p)
	if math.IsNaN(elevation) && !r.ElevationM.bad {
		p.ElevationM = k.climateElevation(r, p)
	}
	return p
}

// climateElevation is the height of the climate data around, m.
func (k *checker) climateElevation(r *tripRow, p solar.Place) float64 {
	n, err := weather.NormalsAt(p)
	if err != nil {
		return 0
	}
	if n.ReliefM > MountainReliefM {
		k.guessed = append(k.guessed, heightGuess{r, math.Round(n.ElevationM), n.ReliefM})
	}
	return math.Round(n.ElevationM)
}

// MountainReliefM is how much the heights of the climate data around a place
// may differ before a height that is not given is worth asking for, m: 500 m
// make about 3 K.
const MountainReliefM = 500

// heightGuess is a row whose height was taken from climate data of mountains.
type heightGuess struct {
	row              *tripRow
	heightM, reliefM float64
}

// warnOfHeights asks for the heights of places in mountains, in one warning.
func (k *checker) warnOfHeights() {
	if len(k.guessed) == 0 {
		return
	}
	g, more := &k.guessed[0], ""
	switch n := len(k.guessed) - 1; {
	case n == 1:
		more = " (1 more row likewise)"
	case n > 1:
		more = fmt.Sprintf(" (%d more rows likewise)", n)
	}
	c := &g.row.ElevationM
	k.warn("%s:%d: elevation_m is blank; the climate data say %.0f m, and around %s their heights differ by %.0f m; give the place's height%s",
		c.at.table.File, c.at.line, g.heightM, quoted(g.row.Place.text), g.reliefM, more)
}

// zoneAt returns the zone from the position, or the zone of the stop above
// when it has the same position.
func zoneAt(p solar.Place, above []sim.Stop) *time.Location {
	if math.IsNaN(p.LatDeg) {
		return time.UTC // the position is in error already
	}
	if n := len(above); n > 0 && above[n-1].Position == p && above[n-1].Zone != nil {
		return above[n-1].Zone
	}
	if loc, err := time.LoadLocation(ZoneNameAt(p.LatDeg, p.LonDeg)); err == nil {
		return loc
	}
	return time.UTC
}

// mainsSpan starts at midnight when a powered site is plugged in all day.
func (k *checker) mainsSpan(r *tripRow) sim.Span {
	hours := orZero(k.number(&r.MainsHours))
	start := k.clock(&r.MainsStart)
	if math.IsNaN(start) {
		start = 18
		if hours == 24 {
			start = 0
		}
	}
	return spanOf(start, hours)
}

// idleSpan follows the drive where it is given no start.
func (k *checker) idleSpan(r *tripRow, drive sim.Span) sim.Span {
	hours, start := orZero(k.number(&r.IdleHours)), k.clock(&r.IdleStart)
	switch {
	case hours == 0:
		return sim.Span{}
	case math.IsNaN(start) && drive.Hours > 0:
		start = drive.StartH + drive.Hours
	case math.IsNaN(start):
		start = orZero(k.clock(&r.DriveStart))
	}
	if start+hours > 24+1e-9 && !r.IdleStart.bad && !r.DriveStart.bad && !r.DriveHours.bad {
		k.report(&r.IdleHours, "%s hours from %s run past midnight; start earlier with idle_start", r.IdleHours.text, ClockText(start))
	}
	return spanOf(start, hours)
}

func (k *checker) span(start, hours *cell) sim.Span {
	return spanOf(k.clock(start), orZero(k.number(hours)))
}

// spanOf drops the start of a span of no length; 24:00 is 00:00.
func spanOf(start, hours float64) sim.Span {
	if hours == 0 {
		return sim.Span{}
	}
	return sim.Span{StartH: math.Mod(orZero(start), 24), Hours: hours}
}

func orZero(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// follow dates the stops: each begins on the day after the one above ends, and
// a date that is given has to say the same. After a wrong date the next row may
// go on from it or from where it should have been, so that one mistake is
// reported once.
func (k *checker) follow(rows []tripRow, t *sim.Trip) {
	if len(rows) == 0 || k.strayStops {
		return
	}
	if first := &rows[0].Date; !first.given() && !first.bad {
		k.report(first, "is blank; the first stop needs its date, e.g. %s", first.col.Example)
	}
	wrong := time.Time{} // where the row above began, if that was a wrong date
	for i := 1; i < len(rows); i++ {
		c, s, above := &rows[i].Date, &t.Stops[i], &t.Stops[i-1]
		if rows[i-1].Days.bad || above.Date.IsZero() {
			continue // nothing to hold the date against
		}
		due := above.Date.AddDate(0, 0, above.Days)
		given := s.Date
		s.Date = due
		if !c.given() || c.bad || given.Equal(due) {
			wrong = time.Time{}
			continue
		}
		if !wrong.IsZero() && given.Equal(wrong.AddDate(0, 0, above.Days)) {
			s.Date, wrong = given, time.Time{}
			continue
		}
		wrong = given
		if days := int(given.Sub(due).Hours() / 24); days > 0 {
			k.report(c, "%s leaves %s without a stop; write %s or raise days in the row above", quoted(c.text), countDays(days), due.Format(time.DateOnly))
		} else {
			k.report(c, "%s is %s before the row above ends; write %s or lower days in the row above", quoted(c.text), countDays(-days), due.Format(time.DateOnly))
		}
	}
}

func countDays(n int) string {
	if n == 1 {
		return "1 day"
	}
	return strconv.Itoa(n) + " days"
}
