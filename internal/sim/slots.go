package sim

import (
	"errors"
	"fmt"
	"math"
	"time"

	"tripsim/internal/solar"
)

// MaxDays is the longest trip that is accepted.
const MaxDays = 366

// interval is a span of elapsed time, hours since the start of the trip.
type interval struct{ from, to float64 }

// overlap returns the hours that [from, to) shares with v.
func (v interval) overlap(from, to float64) float64 {
	return math.Max(0, math.Min(v.to, to)-math.Max(v.from, from))
}

// localDay is one local day of the trip on the elapsed-time axis.
type localDay struct {
	date       time.Time // UTC midnight of the civil date
	stop       int
	span       interval
	drive      interval
	idle       interval
	mains, gen interval
	from, to   solar.Place // position before and after the day's drive
	shadeFrom  float64     // shade on panels before the day's drive
}

func (d *localDay) driving() bool { return d.drive.to > d.drive.from }

// itinerary is the trip laid out on the elapsed-time axis.
type itinerary struct {
	trip  *Trip
	start time.Time // UTC
	stepH float64
	days  []localDay
	slots []Slot
	place []solar.Place // per slot
	dayOf []int32       // per slot
}

// layOut turns the itinerary into local days and slots. Local clock times are
// resolved in the stop's zone once; everything after is elapsed time.
func layOut(trip *Trip, step time.Duration) (*itinerary, error) {
	if err := checkTrip(trip, step); err != nil {
		return nil, err
	}
	it := &itinerary{trip: trip, stepH: step.Hours()}
	it.start = localMidnight(trip.Stops[0].Date, trip.Stops[0].Zone)
	if err := it.layDays(); err != nil {
		return nil, err
	}
	it.laySlots(step)
	return it, nil
}

func checkTrip(trip *Trip, step time.Duration) error {
	if len(trip.Stops) == 0 {
		return errors.New("the trip has no stop")
	}
	if step <= 0 || time.Hour%step != 0 {
		return fmt.Errorf("a step of %v does not divide an hour; use e.g. 5m, 15m or 60m", step)
	}
	if n := trip.Days(); n > MaxDays {
		return fmt.Errorf("the trip has %d days; at most %d are simulated", n, MaxDays)
	}
	for i, s := range trip.Stops {
		if s.Days < 1 || s.Zone == nil {
			return fmt.Errorf("stop %d (%s): needs at least one day and a time zone", i+1, s.Place)
		}
	}
	return nil
}

func localMidnight(date time.Time, zone *time.Location) time.Time {
	y, m, d := date.Date()
	return time.Date(y, m, d, 0, 0, 0, 0, zone).UTC()
}

// clock resolves a local clock hour of a civil date to elapsed hours. An hour
// that the clock skips is read as the same moment counted on from before the
// change, as the time package does.
func (it *itinerary) clock(date time.Time, hour float64, zone *time.Location) float64 {
	y, m, d := date.Date()
	whole := int(math.Floor(hour))
	sec := int(math.Round((hour - float64(whole)) * 3600))
	return time.Date(y, m, d, whole, 0, sec, 0, zone).UTC().Sub(it.start).Hours()
}

func (it *itinerary) spanOf(date time.Time, s Span, zone *time.Location) interval {
	if s.Hours <= 0 {
		return interval{}
	}
	from := it.clock(date, s.StartH, zone)
	return interval{from, from + s.Hours}
}

// ShortestDayH is the least that a change of zones may leave of a local day, h.
const ShortestDayH = 1

func (it *itinerary) layDays() error {
	at, shade := it.trip.Stops[0].Position, it.trip.Stops[0].Shade
	for i := range it.trip.Stops {
		s := &it.trip.Stops[i]
		for k := 0; k < s.Days; k++ {
			date := s.Date.AddDate(0, 0, k)
			it.days = append(it.days, localDay{
				date: date, stop: i, from: at, to: s.Position, shadeFrom: shade,
				span:  interval{it.clock(date, 0, s.Zone), it.clock(date.AddDate(0, 0, 1), 0, s.Zone)},
				drive: it.spanOf(date, s.Drive, s.Zone),
				idle:  it.spanOf(date, s.Idle, s.Zone),
				mains: it.spanOf(date, s.Mains, s.Zone),
				gen:   it.spanOf(date, s.Generator, s.Zone),
			})
			at, shade = s.Position, s.Shade
		}
	}
	for i := 0; i+1 < len(it.days); i++ {
		d, next := &it.days[i], &it.days[i+1]
		d.span.to = next.span.from // a change of zone lengthens or shortens the day
		if d.span.to-d.span.from < ShortestDayH {
			return fmt.Errorf("%s: the local day has only %.1f hours; check dates and time zones",
				d.date.Format(time.DateOnly), d.span.to-d.span.from)
		}
		// A vehicle that drives off has been unplugged.
		if next.driving() {
			d.mains.to = math.Min(d.mains.to, math.Max(d.mains.from, next.drive.from))
			d.gen.to = math.Min(d.gen.to, math.Max(d.gen.from, next.drive.from))
		}
	}
	return nil
}

func (it *itinerary) laySlots(step time.Duration) {
	end := it.days[len(it.days)-1].span.to
	n := int(math.Ceil(end/it.stepH - 1e-9))
	it.slots = make([]Slot, n)
	it.place = make([]solar.Place, n)
	it.dayOf = make([]int32, n)
	day := 0
	for t := range it.slots {
		from := float64(t) * it.stepH
		to := from + it.stepH
		for day+1 < len(it.days) && from >= it.days[day+1].span.from-1e-9 {
			day++
		}
		d := &it.days[day]
		stop := &it.trip.Stops[d.stop]
		start := it.start.Add(time.Duration(t) * step)
		local := start.In(stop.Zone)
		s := Slot{
			Start: start, Day: day, Stop: d.stop,
			LocalH: float64(local.Hour()) + float64(local.Minute())/60 + float64(local.Second())/3600,
		}
		s.DriveH = it.hoursIn(day, from, to, func(d *localDay) interval { return d.drive })
		s.MainsH = math.Min(it.hoursIn(day, from, to, func(d *localDay) interval { return d.mains }), max(0, it.stepH-s.DriveH))
		s.GenH = math.Min(it.hoursIn(day, from, to, func(d *localDay) interval { return d.gen }), max(0, it.stepH-s.DriveH-s.MainsH))
		s.IdleH = math.Min(it.hoursIn(day, from, to, func(d *localDay) interval { return d.idle }), max(0, it.stepH-s.DriveH-s.MainsH-s.GenH))
		s.ShadeIn = d.shadeAt((from+to)/2, stop.Shade) * (1 - s.DriveH/it.stepH)
		it.slots[t] = s
		it.place[t] = d.placeAt((from + to) / 2)
		it.dayOf[t] = int32(day)
	}
}

// fillHeights takes the heights that the trip does not give from places.
func (it *itinerary) fillHeights(places []solar.Place) {
	for t := range it.place {
		if math.IsNaN(it.place[t].ElevationM) {
			it.place[t].ElevationM = places[t].ElevationM
		}
	}
}

// hoursIn sums a daily span over the day, the day before (spans run past
// midnight) and the day after (a slot may straddle midnight), at most the slot.
func (it *itinerary) hoursIn(day int, from, to float64, of func(*localDay) interval) float64 {
	sum := 0.0
	for i := max(0, day-1); i <= min(len(it.days)-1, day+1); i++ {
		sum += of(&it.days[i]).overlap(from, to)
	}
	return math.Min(sum, to-from)
}

// placeAt returns the position at an elapsed hour: straight along the drive.
func (d *localDay) placeAt(h float64) solar.Place {
	if !d.driving() || h >= d.drive.to {
		return d.to
	}
	if h <= d.drive.from {
		return d.from
	}
	f := (h - d.drive.from) / (d.drive.to - d.drive.from)
	dLon := math.Mod(d.to.LonDeg-d.from.LonDeg+540, 360) - 180
	lon := d.from.LonDeg + f*dLon
	return solar.Place{
		LatDeg:     d.from.LatDeg + f*(d.to.LatDeg-d.from.LatDeg),
		LonDeg:     math.Mod(lon+540, 360) - 180,
		ElevationM: d.from.ElevationM + f*(d.to.ElevationM-d.from.ElevationM),
	}
}

// shadeAt returns the shade on panels at an elapsed hour: that of last night's
// place until the day's drive, then that of the new one.
func (d *localDay) shadeAt(h, shadeTo float64) float64 {
	if d.driving() && h < d.drive.from {
		return d.shadeFrom
	}
	return shadeTo
}

// applies reports whether a day is one of the mask's days.
func (d *localDay) applies(m DayMask) bool {
	switch m {
	case DrivingDays:
		return d.driving()
	case ParkedDays:
		return !d.driving()
	case MainsDays:
		return d.mains.to > d.mains.from
	case OffGridDays:
		return d.mains.to <= d.mains.from
	default:
		return true
	}
}
