package scenario

import (
	"fmt"
	"math"
	"time"

	"tripsim/internal/sim"
	"tripsim/internal/solar"
	"tripsim/internal/weather"
)

// checkTrip runs the checks over the whole itinerary.
func (k *checker) checkTrip(rows []tripRow, t *sim.Trip) {
	k.checkDays(rows, t)
	for i := range rows {
		k.checkDrive(&rows[i], &t.Stops[i])
		k.checkGenerator(&rows[i])
		k.checkTemperatures(&rows[i], &t.Stops[i])
		k.checkSun(&rows[i], &t.Stops[i])
	}
	if !k.strayStops {
		k.checkOverlaps(rows, t)
		k.checkDistances(rows, t)
	}
	k.checkZones(rows, t)
	k.checkJumps(rows, t)
}

func (k *checker) checkDays(rows []tripRow, t *sim.Trip) {
	days := 0
	for i, s := range t.Stops {
		if days += s.Days; days > MaxDays {
			k.report(&rows[i].Days, "the trip has more than %d days; split it into several scenarios", MaxDays)
			return
		}
	}
}

func (k *checker) checkDrive(r *tripRow, s *sim.Stop) {
	if !r.DriveStart.bad && !r.DriveHours.bad && s.Drive.StartH+s.Drive.Hours > 24+1e-9 {
		k.report(&r.DriveHours, "%s hours from %s run past midnight; start earlier or put the rest of the drive into the next day's row", r.DriveHours.text, ClockText(s.Drive.StartH))
	}
}

func (k *checker) checkGenerator(r *tripRow) {
	if r.GeneratorHours.bad || r.GeneratorW.bad {
		return
	}
	hours, watts := k.number(&r.GeneratorHours), k.number(&r.GeneratorW)
	switch {
	case hours > 0 && watts == 0:
		k.report(&r.GeneratorW, "is missing while generator_hours is %s; give its power, e.g. %s", r.GeneratorHours.text, r.GeneratorW.col.Example)
	case hours == 0 && watts > 0:
		k.warn("%s:%d: generator_w: the generator never runs; give generator_hours", r.GeneratorW.at.table.File, r.GeneratorW.at.line)
	}
}

func (k *checker) checkTemperatures(r *tripRow, s *sim.Stop) {
	if r.TempMinC.bad || r.TempMaxC.bad {
		return
	}
	switch {
	case r.TempMinC.given() != r.TempMaxC.given():
		c := &r.TempMinC
		if c.given() {
			c = &r.TempMaxC
		}
		k.report(c, "is blank but the other temperature is given; give both or neither")
	case s.TempMaxC < s.TempMinC:
		k.report(&r.TempMaxC, "%s is below temp_min_c %s; swap them", quoted(r.TempMaxC.text), r.TempMinC.text)
	}
}

// sunMargin is how far beyond the sky's limit a rounded figure may be, kWh/m2.
const sunMargin = 0.05

// checkSun finds more sun than reaches the place.
func (k *checker) checkSun(r *tripRow, s *sim.Stop) {
	if !r.SunKWhM2.given() || r.SunKWhM2.bad || math.IsNaN(s.Position.LatDeg) || s.Date.IsZero() {
		return
	}
	best, dark := 0.0, time.Time{} // the most of any day, and the first day with less
	for i := range min(s.Days, MaxDays) {
		date := s.Date.AddDate(0, 0, i)
		most := weather.MostClearness * solar.DailyExtraterrestrialKWhM2(float64(date.YearDay()), s.Position.LatDeg)
		best = max(best, most)
		if dark.IsZero() && s.SunKWhM2 > most+sunMargin {
			dark = date
		}
	}
	switch {
	case s.SunKWhM2 > best+sunMargin:
		k.report(&r.SunKWhM2, "%s kWh/m2 is more than the sky gives there then, at most %.1f a day; use a figure of the place and month", quoted(r.SunKWhM2.text), best)
	case !dark.IsZero():
		k.warn("%s:%d: sun_kwh_m2: %s kWh/m2 is more than the sky gives on %s; less is taken then", r.SunKWhM2.at.table.File, r.SunKWhM2.at.line, r.SunKWhM2.text, dark.Format(time.DateOnly))
	}
}

// ClockText writes clock hours as a cell does: "09:30".
func ClockText(h float64) string {
	m := int(math.Round(h * 60))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// use is one span of a day on the axis of clock hours since the trip's start.
type use struct {
	row      int
	from, to float64
}

// checkOverlaps finds a vehicle that drives while it is plugged in, and mains
// and generator at the same time. Days are taken as 24 hours here.
func (k *checker) checkOverlaps(rows []tripRow, t *sim.Trip) {
	var drives, idles, mains, gens []use
	day := 0
	for i := range t.Stops {
		s := &t.Stops[i]
		for range min(s.Days, MaxDays) {
			add := func(list *[]use, span sim.Span, bad bool) {
				if span.Hours > 0 && !bad {
					*list = append(*list, use{i, float64(day)*24 + span.StartH, float64(day)*24 + span.StartH + span.Hours})
				}
			}
			r := &rows[i]
			add(&drives, s.Drive, r.DriveStart.bad || r.DriveHours.bad)
			add(&idles, s.Idle, r.IdleStart.bad || r.IdleHours.bad || r.DriveStart.bad || r.DriveHours.bad)
			add(&mains, s.Mains, r.MainsStart.bad || r.MainsHours.bad)
			add(&gens, s.Generator, r.GeneratorStart.bad || r.GeneratorHours.bad)
			day++
		}
		if day > MaxDays {
			break
		}
	}
	k.reportOverlaps(idles, drives, "the engine idling", "the drive", func(i int) *cell { return &rows[i].IdleHours })
	k.reportOverlaps(idles, mains, "the engine idling", "mains", func(i int) *cell { return &rows[i].IdleHours })
	k.reportOverlaps(mains, drives, "mains", "the drive", func(i int) *cell { return &rows[i].MainsHours })
	k.reportOverlaps(gens, drives, "the generator", "the drive", func(i int) *cell { return &rows[i].GeneratorHours })
	k.reportOverlaps(gens, mains, "the generator", "mains", func(i int) *cell { return &rows[i].GeneratorHours })
}

// reportOverlaps reports each row of a that overlaps a use of b, once.
func (k *checker) reportOverlaps(a, b []use, aName, bName string, at func(row int) *cell) {
	for _, u := range a {
		c := at(u.row)
		if c.bad {
			continue
		}
		for _, v := range b {
			if math.Min(u.to, v.to)-math.Max(u.from, v.from) <= 1e-9 {
				continue
			}
			when := "the same day"
			if math.Floor(v.from/24) > math.Floor(u.from/24) {
				when = "the next day"
			} else if math.Floor(v.from/24) < math.Floor(u.from/24) {
				when = "the day before"
			}
			k.report(c, "%s from %s to %s overlaps %s of %s from %s to %s; shorten one or move it",
				aName, clockOfDay(u.from), clockOfDay(u.to), bName, when, clockOfDay(v.from), clockOfDay(v.to))
			break
		}
	}
}

func clockOfDay(h float64) string { return ClockText(math.Mod(h, 24)) }

// A drive that is faster in a straight line than maxKmH, or a move of more
// than ferryKm without a drive, is more likely a mistake in a coordinate.
const maxKmH, ferryKm = 110, 50

// checkDistances warns of positions that the drive cannot have reached.
func (k *checker) checkDistances(rows []tripRow, t *sim.Trip) {
	for i := 1; i < len(t.Stops); i++ {
		a, b, r := t.Stops[i-1].Position, t.Stops[i].Position, &rows[i]
		km := a.DistanceKM(b)
		if math.IsNaN(km) || r.DriveHours.bad {
			continue
		}
		hours := t.Stops[i].Drive.Hours
		switch {
		case hours == 0 && km > ferryKm:
			k.warn("%s:%d: latitude, longitude: %s is %.0f km from the stop above without any drive; right for a ferry or flight, else check the coordinates", r.Place.at.table.File, r.Place.at.line, quoted(r.Place.text), km)
		case hours > 0 && km/hours > maxKmH:
			k.warn("%s:%d: latitude, longitude: %s is %.0f km from the stop above, too far for %g h of driving; check the coordinates", r.Place.at.table.File, r.Place.at.line, quoted(r.Place.text), km, hours)
		}
	}
}

// A drive of tourH or more on each day of a stop may be meant for the first only,
// unless a note says something of the stop; one of travelH or more likely is. Common
// practice, no source.
const tourH, travelH = 3, 5

// checkRepeatedDrives warns of stops whose long drive repeats on every day.
func (k *checker) checkRepeatedDrives(rows []tripRow, t *sim.Trip) {
	var found []string
	for i := range t.Stops {
		s := &t.Stops[i]
		if hours := s.Drive.Hours; s.Days > 1 && (hours >= travelH || hours >= tourH && !rows[i].Note.given()) {
			found = append(found, fmt.Sprintf("line %d %g h on each of %d days", s.Row, hours, s.Days))
		}
	}
	if len(found) > 0 {
		k.warn("trip.csv: a row's drive repeats on each of its days; split rows where it is driven on the first only: %s", someRows(found))
	}
}

// checkZones warns of a clock that is far from the sun's: the coordinates may
// be swapped or have the wrong sign.
func (k *checker) checkZones(rows []tripRow, t *sim.Trip) {
	for i := range t.Stops {
		s, r := &t.Stops[i], &rows[i]
		if !r.TimeZone.given() || s.Zone == nil || math.IsNaN(s.Position.LonDeg) || s.Date.IsZero() || math.Abs(s.Position.LatDeg) > 75 {
			continue
		}
		_, offset := s.Date.In(s.Zone).Zone()
		apart := math.Abs(math.Mod(float64(offset)/3600-s.Position.LonDeg/15+36, 24) - 12)
		if apart > 4 {
			k.warn("%s:%d: time_zone: the clock of %s is %.0f hours off the sun at %s; check zone and longitude", r.TimeZone.at.table.File, r.TimeZone.at.line, r.TimeZone.text, apart, quoted(r.Place.text))
		}
	}
}

// hoursLeft is how long a local day lasts (h) that begins in one zone and after
// which the clock of another holds.
func hoursLeft(date time.Time, from, to *time.Location) float64 {
	y, m, d := date.Date()
	return time.Date(y, m, d+1, 0, 0, 0, 0, to).Sub(time.Date(y, m, d, 0, 0, 0, 0, from)).Hours()
}

// checkJumps finds a local day of which a change of zones leaves next to
// nothing.
func (k *checker) checkJumps(rows []tripRow, t *sim.Trip) {
	for i := 1; i < len(t.Stops); i++ {
		a, b, r := &t.Stops[i-1], &t.Stops[i], &rows[i]
		if a.Zone == nil || b.Zone == nil || a.Date.IsZero() || rows[i-1].Days.bad || r.Date.bad {
			continue
		}
		last := a.Date.AddDate(0, 0, a.Days-1)
		if hours := hoursLeft(last, a.Zone, b.Zone); hours < sim.ShortestDayH {
			k.report(&r.TimeZone, "%s puts the clock so far ahead that %s has only %.1f hours; give this row the time_zone of the row above, %s",
				b.Zone, last.Format(time.DateOnly), hours, a.Zone)
		}
	}
}
