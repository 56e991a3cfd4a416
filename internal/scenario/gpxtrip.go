package scenario

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"tripsim/internal/solar"
)

// GPXOptions say how a route becomes a trip.
type GPXOptions struct {
	Name          string    // of the file, for errors; default "gpx"
	AverageKmH    float64   // driving speed including short stops, 5..150; default 50
	MaxDriveHours float64   // longest drive of a day, 0.5..14; default 6
	Start         time.Time // first day; zero: the first time in the file
}

// ErrNoStart is a route file without times, and no start given.
var ErrNoStart = errors.New("has no times; say on which day the trip starts")

// detour is the length of a road over the straight line between two places:
// common practice, no source.
const detour = 1.3

// Times in a track are driving when the vehicle moves faster than creepKmH;
// a gap longer than gapHours is a recorder that was off. Common practice, no
// source.
const creepKmH, gapHours = 5, 0.5

// nearTrackKm is how far from a track a waypoint may be to be a stop on it.
const nearTrackKm = 10

// gpxStop is a stop of the trip being made.
type gpxStop struct {
	gpxPoint
	days       int
	driveStart float64 // local clock hours; NaN: the default
	driveHours float64
}

// FromGPX makes trip.csv of a GPX file. Stops are, in this order of preference,
// the named points of its route, its waypoints along its track, its waypoints,
// or the ends of the days of its bare track: by its times where it has them,
// else by the longest drive of a day. Driving hours are the distance over
// AverageKmH (by time: the hours moving); a leg longer than MaxDriveHours gets
// nights on the way. The first stop is where the vehicle is the day before.
func FromGPX(r io.Reader, opt GPXOptions) (*Table, error) {
	if err := opt.fill(); err != nil {
		return nil, err
	}
	file, err := readGPX(r, opt.Name)
	if err != nil {
		return nil, err
	}
	stops, first, err := opt.stops(file)
	if err != nil {
		return nil, err
	}
	if !opt.Start.IsZero() {
		first = opt.Start
	}
	if first.IsZero() {
		return nil, fmt.Errorf("%s: %w", opt.Name, ErrNoStart)
	}
	if y := first.Year(); y < firstYear || y > lastYear {
		return nil, fmt.Errorf("the trip starts in %d, not in the years %d to %d", y, firstYear, lastYear)
	}
	days := 0
	for _, s := range stops {
		days += s.days
	}
	if days > MaxDays {
		return nil, fmt.Errorf("%s: the trip would have %d days, more than %d; use a higher average speed or longer drives", opt.Name, days, MaxDays)
	}
	return gpxTable(stops, first), nil
}

func (o *GPXOptions) fill() error {
	d := DefaultGPXOptions()
	if o.Name == "" {
		o.Name = "gpx"
	}
	if o.AverageKmH == 0 {
		o.AverageKmH = d.AverageKmH
	}
	if o.MaxDriveHours == 0 {
		o.MaxDriveHours = d.MaxDriveHours
	}
	return o.Check()
}

// DefaultGPXOptions are those of a route that is driven at leisure.
func DefaultGPXOptions() GPXOptions { return GPXOptions{AverageKmH: 50, MaxDriveHours: 6} }

// Check reports a speed or a drive outside its range.
func (o *GPXOptions) Check() error {
	d := DefaultGPXOptions()
	if !(o.AverageKmH >= 5 && o.AverageKmH <= 150) {
		return fmt.Errorf("%g is not an average speed in km/h from 5 to 150; use e.g. %g", o.AverageKmH, d.AverageKmH)
	}
	if !(o.MaxDriveHours >= 0.5 && o.MaxDriveHours <= 14) {
		return fmt.Errorf("%g is not a longest drive in hours from 0.5 to 14; use e.g. %g", o.MaxDriveHours, d.MaxDriveHours)
	}
	return nil
}

// stops chooses what of the file makes the stops; first is the file's own
// first day, if it has times.
func (o *GPXOptions) stops(f *gpxFile) (stops []gpxStop, first time.Time, err error) {
	named := slices.ContainsFunc(f.route, func(p gpxPoint) bool { return p.name != "" })
	switch {
	case named:
		return o.along(f.route, routeStops(f.route), detour), f.first(), nil
	case len(f.waypoints) > 0 && len(f.track) > 1:
		way := thinned(f.track, 20000)
		if at := nearestAlong(way, f.waypoints); len(at) > 1 {
			return o.along(at.merged(way), at.indices(), 1), f.first(), nil
		}
		fallthrough
	case len(f.waypoints) > 1:
		return o.along(f.waypoints, upTo(len(f.waypoints)), detour), f.first(), nil
	case len(f.track) > 1 && timed(f.track):
		stops, first = o.byTime(f.track)
		return stops, first, nil
	case len(f.track) > 1:
		return o.along(f.track, []int{0, len(f.track) - 1}, 1), f.first(), nil
	case len(f.route) > 1:
		return o.along(f.route, []int{0, len(f.route) - 1}, detour), f.first(), nil
	}
	return nil, first, fmt.Errorf("%s: holds no way: it needs two waypoints, a route or a track", o.Name)
}

func upTo(n int) []int {
	all := make([]int, n)
	for i := range all {
		all[i] = i
	}
	return all
}

// first is the earliest time of the file, at its place's own date.
func (f *gpxFile) first() time.Time {
	for _, list := range [][]gpxPoint{f.track, f.route, f.waypoints} {
		for _, p := range list {
			if !p.at.IsZero() {
				return p.at.In(zoneOrUTC(p))
			}
		}
	}
	return time.Time{}
}

// routeStops are the ends of a route and its named points; points without a
// name only shape the way.
func routeStops(route []gpxPoint) []int {
	var at []int
	for i, p := range route {
		if i == 0 || i == len(route)-1 || p.name != "" {
			at = append(at, i)
		}
	}
	return at
}

// along makes a trip of a way with stops at the given points. factor is the
// road's length over the way's.
func (o *GPXOptions) along(way []gpxPoint, at []int, factor float64) []gpxStop {
	stops := []gpxStop{{gpxPoint: way[at[0]], days: 1, driveStart: math.NaN()}}
	for k := 1; k < len(at); k++ {
		leg := way[at[k-1] : at[k]+1]
		stops = append(stops, o.leg(leg, factor)...)
	}
	return stops
}

// leg is the drive along a way to its last point, with nights on the way when
// it is longer than the longest drive of a day.
func (o *GPXOptions) leg(way []gpxPoint, factor float64) []gpxStop {
	end := way[len(way)-1]
	hours := lengthKm(way) * factor / o.AverageKmH
	parts := min(max(1, math.Ceil(hours/o.MaxDriveHours-1e-9)), MaxDays+1)
	stops := make([]gpxStop, 0, int(parts))
	for i := 1.0; i < parts; i++ {
		p := pointAt(way, i/parts)
		p.name = "On the way"
		if end.name != "" {
			p.name = oneLine("On the way to " + end.name)
		}
		stops = append(stops, gpxStop{gpxPoint: p, days: 1, driveStart: math.NaN(), driveHours: hours / parts})
	}
	return append(stops, gpxStop{gpxPoint: end, days: 1, driveStart: math.NaN(), driveHours: hours / parts})
}

func lengthKm(way []gpxPoint) float64 {
	km := 0.0
	for i := 1; i < len(way); i++ {
		km += kmBetween(way[i-1], way[i])
	}
	return km
}

func kmBetween(a, b gpxPoint) float64 {
	return solar.Place{LatDeg: a.latDeg, LonDeg: a.lonDeg}.DistanceKM(solar.Place{LatDeg: b.latDeg, LonDeg: b.lonDeg})
}

// pointAt is the place at a share of a way's length.
func pointAt(way []gpxPoint, share float64) gpxPoint {
	left := lengthKm(way) * share
	for i := 1; i < len(way); i++ {
		a, b := way[i-1], way[i]
		km := kmBetween(a, b)
		if left <= km && km > 0 {
			f := left / km
			lon := a.lonDeg + f*(math.Mod(b.lonDeg-a.lonDeg+540, 360)-180)
			return gpxPoint{
				latDeg: a.latDeg + f*(b.latDeg-a.latDeg), lonDeg: math.Mod(lon+540, 360) - 180,
				elevationM: a.elevationM + f*(b.elevationM-a.elevationM),
			}
		}
		left -= km
	}
	return way[len(way)-1]
}

func thinned(way []gpxPoint, most int) []gpxPoint {
	if len(way) <= most {
		return way
	}
	out := make([]gpxPoint, 0, most)
	for i := range most {
		out = append(out, way[i*(len(way)-1)/(most-1)])
	}
	return out
}

// placedOn are waypoints in their order along a track.
type placedOn []struct {
	index int
	point gpxPoint
}

func nearestAlong(way, waypoints []gpxPoint) placedOn {
	var placed placedOn
	for _, w := range waypoints[:min(len(waypoints), MaxLoads)] {
		best, bestKm := 0, math.Inf(1)
		for i := range way {
			if km := kmBetween(w, way[i]); km < bestKm {
				best, bestKm = i, km
			}
		}
		if bestKm <= nearTrackKm {
			placed = append(placed, struct {
				index int
				point gpxPoint
			}{best, w})
		}
	}
	slices.SortStableFunc(placed, func(a, b struct {
		index int
		point gpxPoint
	},
	) int {
		return a.index - b.index
	})
	return slices.CompactFunc(placed, func(a, b struct {
		index int
		point gpxPoint
	},
	) bool {
		return a.index == b.index
	})
}

// merged is the track with the waypoints' names and places at their indices.
func (p placedOn) merged(way []gpxPoint) []gpxPoint {
	way = slices.Clone(way)
	for _, at := range p {
		at.point.at = way[at.index].at
		way[at.index] = at.point
	}
	return way
}

func (p placedOn) indices() []int {
	at := make([]int, len(p))
	for i := range p {
		at[i] = p[i].index
	}
	return at
}

// timed tells whether a track has times that run forward over some hours.
func timed(track []gpxPoint) bool {
	for i, p := range track {
		if p.at.IsZero() || i > 0 && p.at.Before(track[i-1].at) {
			return false
		}
	}
	return track[len(track)-1].at.Sub(track[0].at) >= time.Hour
}

func zoneOrUTC(p gpxPoint) *time.Location {
	if loc, err := time.LoadLocation(ZoneNameAt(p.latDeg, p.lonDeg)); err == nil {
		return loc
	}
	return time.UTC
}
