package scenario

import (
	"math"
	"strconv"
	"time"

	"tripsim/internal/sim"
)

// byTime cuts a track with times at local midnights: a stop is where the
// vehicle stands at the end of a day, its driving hours are those moving.
func (o *GPXOptions) byTime(track []gpxPoint) (stops []gpxStop, first time.Time) {
	zone, zoneAt := zoneOrUTC(track[0]), track[0]
	var day time.Time // civil date of the last stop, as UTC midnight
	for i, p := range track {
		if kmBetween(p, zoneAt) > 50 {
			zone, zoneAt = zoneOrUTC(p), p
		}
		local := p.at.In(zone)
		date := time.Date(local.Year(), local.Month(), local.Day(), 0, 0, 0, 0, time.UTC)
		switch {
		case i == 0:
			day, first = date, date
			stops = append(stops, gpxStop{gpxPoint: p, days: 1, driveStart: math.NaN()})
		case date.After(day): // days without a point were spent where it stood
			stops[len(stops)-1].days += int(date.Sub(day).Hours()/24) - 1
			day = date
			stops = append(stops, gpxStop{gpxPoint: p, days: 1, driveStart: math.NaN()})
		}
		s := &stops[len(stops)-1]
		if i > 0 {
			o.drive(s, track[i-1], p, local)
		}
		s.gpxPoint = p
	}
	for i := range stops {
		stops[i].name = "Day " + strconv.Itoa(i+1)
		stops[i].fitIntoDay()
	}
	return stops, first
}

// drive adds what the vehicle drove between two points of a track. A recorder
// that was off counts by distance.
func (o *GPXOptions) drive(s *gpxStop, from, to gpxPoint, local time.Time) {
	hours, km := to.at.Sub(from.at).Hours(), kmBetween(from, to)
	switch {
	case hours > gapHours:
		hours = min(hours, km*detour/o.AverageKmH)
	case km < creepKmH*hours:
		return
	}
	if hours <= 0 || km == 0 {
		return
	}
	if math.IsNaN(s.driveStart) {
		s.driveStart = max(0, float64(local.Hour())+float64(local.Minute())/60-hours)
	}
	s.driveHours += hours
}

// fitIntoDay starts a drive earlier that would run past midnight.
func (s *gpxStop) fitIntoDay() {
	s.driveHours = min(s.driveHours, 24)
	if s.driveStart+roundedHours(s.driveHours) > 24 {
		s.driveStart = math.Floor((24-roundedHours(s.driveHours))*4) / 4
	}
}

// roundedHours is in quarters, and not zero for a short drive.
func roundedHours(h float64) float64 {
	q := math.Round(h*4) / 4
	if q == 0 && h > 1.0/60 {
		q = 0.25
	}
	return q
}

// gpxTable writes the stops as trip.csv.
func gpxTable(stops []gpxStop, first time.Time) *Table {
	t := &Table{
		File:    tripSpec.File,
		Head:    tripSpec.comments(),
		Columns: []string{"date", "days", "place", "latitude", "longitude", "elevation_m", "drive_start", "drive_hours", "mains_start", "mains_hours", "shade_pct", "note"},
	}
	for i, s := range stops {
		row := make([]string, len(t.Columns))
		if i == 0 {
			row[0] = first.Format(time.DateOnly)
		}
		row[1] = strconv.Itoa(s.days)
		if row[2] = s.name; row[2] == "" {
			row[2] = "Stop " + strconv.Itoa(i+1)
		}
		row[3] = strconv.FormatFloat(s.latDeg, 'f', 5, 64)
		row[4] = strconv.FormatFloat(s.lonDeg, 'f', 5, 64)
		if !math.IsNaN(s.elevationM) {
			row[5] = strconv.FormatFloat(s.elevationM, 'f', 0, 64)
		}
		if h := roundedHours(s.driveHours); h > 0 {
			if !math.IsNaN(s.driveStart) {
				row[6] = ClockText(math.Floor(s.driveStart*4) / 4)
			}
			row[7] = plain(h)
		}
		t.Rows = append(t.Rows, Row{Cells: row})
	}
	keepClock(t, stops, first)
	return t
}

// keepClock writes the zone before into the rows on whose way the date line, or
// a like change of zones, would leave next to nothing of a day.
func keepClock(t *Table, stops []gpxStop, first time.Time) {
	zone, column := zoneOrUTC(stops[0].gpxPoint), -1
	for i := 1; i < len(stops); i++ {
		first = first.AddDate(0, 0, stops[i-1].days)
		own := zoneOrUTC(stops[i].gpxPoint)
		if hoursLeft(first.AddDate(0, 0, -1), zone, own) >= sim.ShortestDayH {
			zone = own
			continue
		}
		if column < 0 {
			column = len(t.Columns)
			t.Columns = append(t.Columns, "time_zone")
			for r := range t.Rows {
				t.Rows[r].Cells = append(t.Rows[r].Cells, "")
			}
		}
		t.Rows[i].Cells[column] = zone.String()
	}
}
