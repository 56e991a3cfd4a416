package scenario

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// MaxGPX is the largest route file that is read, in bytes.
const MaxGPX = 64 << 20

// maxGPXPoints bounds the points kept of a route file.
const maxGPXPoints = 1 << 20

// gpxPoint is a point of a way; the time is zero and the elevation NaN when
// the file has none.
type gpxPoint struct {
	latDeg, lonDeg, elevationM float64
	name                       string
	at                         time.Time
}

// gpxFile is what matters of a GPX file (the open standard's schemas 1.0 and
// 1.1): waypoints, and the points of all routes and of all tracks in order.
type gpxFile struct{ waypoints, route, track []gpxPoint }

// readGPX reads a route file. Errors name the line.
func readGPX(r io.Reader, name string) (*gpxFile, error) {
	limited := &io.LimitedReader{R: r, N: MaxGPX + 1}
	d := xml.NewDecoder(limited)
	g := &gpxReader{decoder: d, name: name}
	for {
		token, err := d.Token()
		if limited.N <= 0 {
			return nil, fmt.Errorf("%s: the file is larger than %d MiB; thin the track first", name, MaxGPX>>20)
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, g.fail("is not a GPX file: %v", err)
		}
		if err := g.take(token); err != nil {
			return nil, err
		}
	}
	if !g.seen {
		return nil, fmt.Errorf("%s: is not a GPX file: it has no gpx element", name)
	}
	return &g.file, nil
}

type gpxReader struct {
	decoder *xml.Decoder
	name    string
	file    gpxFile
	seen    bool      // the gpx element
	point   *gpxPoint // being read
	list    *[]gpxPoint
	text    *strings.Builder // of the child being read
	depth   int              // elements open inside the point
	points  int
}

func (g *gpxReader) fail(format string, args ...any) error {
	line, _ := g.decoder.InputPos()
	return fmt.Errorf("%s:%d: %s", g.name, line, fmt.Sprintf(format, args...))
}

func (g *gpxReader) take(token xml.Token) error {
	switch t := token.(type) {
	case xml.StartElement:
		if g.point != nil {
			g.depth++
			g.text = nil
			if g.depth == 1 { // extensions hold names of other things
				g.text = &strings.Builder{}
			}
			return nil
		}
		switch t.Name.Local {
		case "gpx":
			g.seen = true
		case "wpt":
			return g.open(t, &g.file.waypoints)
		case "rtept":
			return g.open(t, &g.file.route)
		case "trkpt":
			return g.open(t, &g.file.track)
		}
	case xml.CharData:
		if g.text != nil && g.text.Len() < 10*maxName {
			g.text.Write(t)
		}
	case xml.EndElement:
		if g.point == nil {
			return nil
		}
		if g.depth > 0 {
			g.depth--
			return g.child(t.Name.Local)
		}
		*g.list = append(*g.list, *g.point)
		g.point = nil
	}
	return nil
}

func (g *gpxReader) open(t xml.StartElement, list *[]gpxPoint) error {
	if g.points++; g.points > maxGPXPoints {
		return g.fail("the file has more than %d points; thin the track first", maxGPXPoints)
	}
	p := gpxPoint{latDeg: math.NaN(), lonDeg: math.NaN(), elevationM: math.NaN()}
	for _, a := range t.Attr {
		switch a.Name.Local {
		case "lat":
			p.latDeg = degrees(a.Value, 90)
		case "lon":
			p.lonDeg = degrees(a.Value, 180)
		}
	}
	if math.IsNaN(p.latDeg) || math.IsNaN(p.lonDeg) {
		return g.fail("%s needs lat from -90 to 90 and lon from -180 to 180 degrees", t.Name.Local)
	}
	g.point, g.list, g.depth, g.text = &p, list, 0, nil
	return nil
}

// degrees reads a coordinate, NaN if it is none.
func degrees(s string, limit float64) float64 {
	v, err := strconv.ParseFloat(trim(s), 64)
	if err != nil || !(math.Abs(v) <= limit) {
		return math.NaN()
	}
	return v + 0
}

// child takes the text of an element that has just closed inside a point.
func (g *gpxReader) child(name string) error {
	if g.text == nil {
		return nil
	}
	text := trim(g.text.String())
	g.text = nil
	switch name {
	case "name":
		g.point.name = oneLine(text)
	case "ele":
		if v, err := strconv.ParseFloat(text, 64); err == nil && v >= tripSpec.Column("elevation_m").Min && v <= tripSpec.Column("elevation_m").Max {
			g.point.elevationM = v
		}
	case "time":
		at, err := time.Parse(time.RFC3339, text)
		if err != nil || at.Year() < firstYear || at.Year() > lastYear {
			return g.fail("%s is not a time as 2026-10-03T09:30:00Z", quoted(text))
		}
		g.point.at = at
	}
	return nil
}

// oneLine makes a name that a table cell takes.
func oneLine(s string) string {
	s = strings.Join(strings.FieldsFunc(s, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }), " ")
	if r := []rune(s); len(r) > maxName {
		s = string(r[:maxName])
	}
	return s
}
