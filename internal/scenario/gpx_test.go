package scenario

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var october = time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC)

func gpx(body string) string {
	return `<?xml version="1.0"?><gpx version="1.1" creator="x" xmlns="http://www.topografix.com/GPX/1/1">` + body + `</gpx>`
}

func point(kind string, lat, lon float64, inside string) string {
	return fmt.Sprintf(`<%s lat="%g" lon="%g">%s</%s>`, kind, lat, lon, inside, kind)
}

// tripOf reads a route and gives the rows as date, days, place, drive hours, and
// checks that the table is a valid trip.
func tripOf(t testing.TB, text string, opt GPXOptions) []string {
	t.Helper()
	table, err := FromGPX(strings.NewReader(text), opt)
	require.NoError(t, err)
	files := baseFiles(t)
	files["trip.csv"] = table.Bytes()
	s, err := FromFiles("gpx", files)
	require.NoError(t, err)
	var rows []string
	for _, stop := range s.Trip.Stops {
		rows = append(rows, fmt.Sprintf("%s %d %s %s+%g", stop.Date.Format("01-02"), stop.Days, stop.Place, ClockText(stop.Drive.StartH), stop.Drive.Hours))
	}
	return rows
}

// A degree of a meridian of the 6,371 km sphere is 111.19 km; at 50 km/h and 1.3
// times the straight line half a degree takes 1.45 h.
func TestWaypointsAreStops(t *testing.T) {
	text := gpx(point("wpt", 30, -6, "<name>A &amp; B</name><ele>400</ele>") + point("wpt", 30.5, -6, "") + point("wpt", 31, -6, "<name>C</name>"))
	assert.Equal(t, []string{"10-03 1 A & B 00:00+0", "10-04 1 Stop 2 09:00+1.5", "10-05 1 C 09:00+1.5"}, tripOf(t, text, GPXOptions{Start: october}))
	table, err := FromGPX(strings.NewReader(text), GPXOptions{Start: october})
	require.NoError(t, err)
	assert.Equal(t, "400", table.Rows[0].Cell(table.Column("elevation_m")))
}

func TestLongLegsGetNightsOnTheWay(t *testing.T) {
	text := gpx("<rte>" + point("rtept", 30, -6, "<name>A</name>") + point("rtept", 33, -6, "") + point("rtept", 36, -6, "<name>B</name>") + "</rte>")
	// 6 degrees: 667 km, 867 km of road, 17.3 h at 50 km/h: three days of 5.8 h.
	assert.Equal(t, []string{"10-03 1 A 00:00+0", "10-04 1 On the way to B 09:00+5.75", "10-05 1 On the way to B 09:00+5.75", "10-06 1 B 09:00+5.75"},
		tripOf(t, text, GPXOptions{Start: october}))
}

func track(points ...string) string {
	return "<trk><name>not a stop</name><trkseg>" + strings.Join(points, "") + "</trkseg></trk>"
}

func TestBareTrackIsCutByDrivingHours(t *testing.T) {
	var points []string
	for lat := 30.0; lat <= 36; lat += 0.25 {
		points = append(points, point("trkpt", lat, -6, ""))
	}
	// 667 km at 50 km/h are 13.3 h: three days of 4.45 h, along the track itself.
	assert.Equal(t, []string{"10-03 1 Stop 1 00:00+0", "10-04 1 On the way 09:00+4.5", "10-05 1 On the way 09:00+4.5", "10-06 1 Stop 4 09:00+4.5"},
		tripOf(t, gpx(track(points...)), GPXOptions{Start: october}))
}

func TestWaypointsOnATrackAreStopsAlongIt(t *testing.T) {
	var points []string
	for lat := 30.0; lat <= 33; lat += 0.01 {
		points = append(points, point("trkpt", lat, -6, ""))
	}
	text := gpx(point("wpt", 33, -6.01, "<name>End</name>") + point("wpt", 31, -6.01, "<name>Middle</name>") +
		point("wpt", 30, -6, "<name>Start</name>") + point("wpt", 31, 5, "<name>far away</name>") + track(points...))
	assert.Equal(t, []string{"10-03 1 Start 00:00+0", "10-04 1 Middle 09:00+2.25", "10-05 1 End 09:00+4.5"}, tripOf(t, text, GPXOptions{Start: october}))
}

// A track with times: two days of driving around a day without a record.
func TestTimedTrackIsCutAtLocalMidnight(t *testing.T) {
	at := func(day, hour, minute int, lat float64) string {
		return point("trkpt", lat, 18.4, "<time>"+time.Date(2026, 7, day, hour-2, minute, 0, 0, time.UTC).Format(time.RFC3339)+"</time>")
	}
	var points []string
	for m := 0; m <= 180; m += 5 { // 3 h at 66.7 km/h from 08:00 local
		points = append(points, at(1, 8, m, -34+float64(m)/300))
	}
	points = append(points, at(1, 20, 0, -33.4))
	for m := 0; m <= 90; m += 5 { // 1.5 h on the third day
		points = append(points, at(3, 10, m, -33.4+float64(m)/300))
	}
	assert.Equal(t, []string{"07-01 2 Day 1 08:00+3", "07-03 1 Day 2 10:00+1.5"}, tripOf(t, gpx(track(points...)), GPXOptions{}))
	assert.Equal(t, []string{"10-03 2 Day 1 08:00+3", "10-05 1 Day 2 10:00+1.5"}, tripOf(t, gpx(track(points...)), GPXOptions{Start: october}))
}

// A boat that drifts through the 25 hours of the day when summer time ends: a
// day's row takes 24 hours of driving at the most.
func TestADayOf25HoursHas24OfDriving(t *testing.T) {
	var points []string
	start := time.Date(2026, 10, 24, 22, 0, 0, 0, time.UTC) // midnight in France
	for i := range 4 * 25 {
		at := start.Add(time.Duration(i) * 15 * time.Minute)
		points = append(points, point("trkpt", 44+0.018*float64(i), 2, "<time>"+at.Format(time.RFC3339)+"</time>"))
	}
	assert.Equal(t, []string{"10-25 1 Day 1 00:00+24"}, tripOf(t, gpx(track(points...)), GPXOptions{}))
}

func TestDateLineIsNoDetour(t *testing.T) {
	text := gpx(point("wpt", -17, 179.5, "<name>A</name>") + point("wpt", -17, -179.5, "<name>B</name>"))
	rows := tripOf(t, text, GPXOptions{Start: october, MaxDriveHours: 2})
	assert.Equal(t, []string{"10-03 1 A 00:00+0", "10-04 1 On the way to B 09:00+1.5", "10-05 1 B 09:00+1.5"}, rows)
}

func TestBadRoutes(t *testing.T) {
	for text, want := range map[string]string{
		"":            "x.gpx: is not a GPX file: it has no gpx element",
		"<kml></kml>": "x.gpx: is not a GPX file: it has no gpx element",
		"<gpx><wpt":   "x.gpx:1: is not a GPX file: XML syntax error on line 1: unexpected EOF",
		"<gpx></gpx>": "x.gpx: holds no way: it needs two waypoints, a route or a track",
		"<gpx>\n<wpt lat=\"91\" lon=\"0\"/></gpx>":                                        "x.gpx:2: wpt needs lat from -90 to 90 and lon from -180 to 180 degrees",
		"<gpx>\n\n<trk><trkseg><trkpt lat=\"NaN\" lon=\"0\"/></trkseg></trk></gpx>":       "x.gpx:3: trkpt needs lat from -90 to 90 and lon from -180 to 180 degrees",
		"<gpx><wpt lat=\"1\" lon=\"0\"><time>noon</time></wpt></gpx>":                     "x.gpx:1: \"noon\" is not a time as 2026-10-03T09:30:00Z",
		"<gpx><wpt lat=\"1\" lon=\"0\"/><wpt lat=\"2\" lon=\"0\"/></gpx>":                 "x.gpx: has no times; say on which day the trip starts",
		"<!DOCTYPE gpx [<!ENTITY a \"b\">]><gpx><wpt lat=\"1\" lon=\"0\">&a;</wpt></gpx>": "x.gpx:1: is not a GPX file: XML syntax error on line 1: invalid character entity &a;",
	} {
		_, err := FromGPX(strings.NewReader(text), GPXOptions{Name: "x.gpx"})
		assert.EqualError(t, err, want)
	}
	for _, opt := range []GPXOptions{{AverageKmH: 1}, {AverageKmH: -5}, {MaxDriveHours: 20}} {
		_, err := FromGPX(strings.NewReader("<gpx></gpx>"), opt)
		assert.ErrorContains(t, err, "use e.g.")
	}
	_, err := FromGPX(strings.NewReader("<gpx>"+strings.Repeat(" ", MaxGPX)), GPXOptions{})
	assert.EqualError(t, err, "gpx: the file is larger than 64 MiB; thin the track first")
}

// A way over the date line westward keeps the clock from before it: else a day
// of the trip would have no hours. The hour of the day is the same there.
func TestARouteOverTheDateLineKeepsItsClock(t *testing.T) {
	table, err := FromGPX(strings.NewReader(gpx("<rte>"+point("rtept", 0, -179, "<name>East</name>")+point("rtept", 0, 179, "<name>West</name>")+
		point("rtept", 0, 178, "<name>Farther west</name>")+"</rte>")), GPXOptions{Start: october})
	require.NoError(t, err)
	column := table.Column("time_zone")
	require.GreaterOrEqual(t, column, 0)
	var zones []string
	for _, row := range table.Rows {
		zones = append(zones, row.Cells[column])
	}
	assert.Equal(t, []string{"", "Etc/GMT+12", "Etc/GMT+12"}, zones)
	files := baseFiles(t)
	files["trip.csv"] = table.Bytes()
	_, err = FromFiles("line", files)
	assert.NoError(t, err)
}

func FuzzGPX(f *testing.F) {
	f.Add(gpx(point("wpt", 30, -6, "<name>A</name><ele>400</ele>")+point("wpt", 31, -6, "")), 50.0, 6.0)
	f.Add(gpx("<rte>"+point("rtept", 30, -6, "<name>A</name>")+point("rtept", -36, 170, "<name>B</name>")+"</rte>"), 30.0, 8.0)
	f.Add(gpx(track(point("trkpt", 1, 2, "<time>2026-07-01T23:00:00Z</time>"), point("trkpt", 1.5, 2, "<time>2026-07-02T01:00:00Z</time>"))), 0.0, 0.0)
	f.Add(gpx(point("wpt", 0, 180, "")+track(point("trkpt", 0, 179.9, ""), point("trkpt", 0, -179.9, ""))), 90.0, 1.0)
	f.Fuzz(func(t *testing.T, text string, kmh, hours float64) {
		table, err := FromGPX(strings.NewReader(text), GPXOptions{AverageKmH: kmh, MaxDriveHours: hours, Start: october})
		if err != nil {
			return
		}
		files := baseFiles(t)
		files["trip.csv"] = table.Bytes()
		_, err = FromFiles("fuzz", files)
		require.NoError(t, err, "%s", table.Bytes())
	})
}
