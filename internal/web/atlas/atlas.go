// Package atlas is the map behind a trip: coastlines and borders of the world
// as paths for an SVG picture, clipped to a view. It needs no network; the data
// are embedded (Natural Earth 1:50m, public domain; see README.md).
//
// It knows positions and pixels, nothing of trips. The projection is
// equirectangular with the middle parallel of the view true to scale (Snyder
// 1987, Map Projections: A Working Manual, USGS Professional Paper 1395, p. 90).
package atlas

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"math"
	"sync"
)

//go:embed world.bin
var worldBin []byte

// perDegree is the grid of the embedded points.
const perDegree = 100

// line is a row of points with its bounds, degrees.
type line struct {
	lon, lat                       []float64
	minLon, minLat, maxLon, maxLat float64
}

type world struct {
	land    []line // closed rings
	borders []line
}

var theWorld = sync.OnceValue(func() *world {
	w, err := decode(worldBin)
	if err != nil {
		panic("atlas: embedded world.bin: " + err.Error()) // a test reads it whole
	}
	return w
})

// decoder reads the variable-length integers of world.bin.
type decoder struct {
	b   []byte
	err error
}

func (d *decoder) int() int {
	v, n := binary.Varint(d.b)
	if n <= 0 {
		d.err = fmt.Errorf("cut short")
		return 0
	}
	d.b = d.b[n:]
	return int(v)
}

// count reads a length; every thing counted takes at least one byte.
func (d *decoder) count() int {
	n := d.int()
	if n < 0 || n > len(d.b) {
		d.err = fmt.Errorf("a count of %d", n)
		return 0
	}
	return n
}

func decode(b []byte) (*world, error) {
	d := &decoder{b: b}
	arcs := make([]line, d.count())
	for i := range arcs {
		x, y := 0, 0
		for range d.count() {
			x, y = x+d.int(), y+d.int()
			arcs[i].add(float64(x)/perDegree, float64(y)/perDegree)
		}
	}
	w := &world{}
	for range d.count() {
		var ring line
		for range d.count() {
			ref := d.int()
			i := max(ref, ^ref)
			if i >= len(arcs) {
				return nil, fmt.Errorf("no arc %d", i)
			}
			ring.join(&arcs[i], ref < 0)
		}
		ring.unwrap()
		ring.closePole()
		ring.bound()
		w.land = append(w.land, ring)
	}
	for range d.count() {
		i := d.int()
		if i < 0 || i >= len(arcs) {
			return nil, fmt.Errorf("no arc %d", i)
		}
		arcs[i].unwrap()
		arcs[i].bound()
		w.borders = append(w.borders, arcs[i])
	}
	if d.err == nil && len(d.b) > 0 {
		d.err = fmt.Errorf("%d bytes too many", len(d.b))
	}
	return w, d.err
}

func (l *line) add(lon, lat float64) {
	l.lon, l.lat = append(l.lon, lon), append(l.lat, lat)
}

// join appends an arc without repeating the shared point.
func (l *line) join(a *line, backwards bool) {
	for k := range a.lon {
		i := k
		if backwards {
			i = len(a.lon) - 1 - k
		}
		if n := len(l.lon); k == 0 && n > 0 && l.lon[n-1] == a.lon[i] && l.lat[n-1] == a.lat[i] {
			continue
		}
		l.add(a.lon[i], a.lat[i])
	}
}

// unwrap makes longitudes run on where a line crosses the date line.
func (l *line) unwrap() {
	turn := 0.0
	for i := 1; i < len(l.lon); i++ {
		if step := l.lon[i] + turn - l.lon[i-1]; math.Abs(step) > 180 {
			turn -= 360 * math.Round(step/360)
		}
		l.lon[i] += turn
	}
}

// closePole closes a ring that goes round the south pole along the lower edge
// of the map.
func (l *line) closePole() {
	if n := len(l.lon); n > 0 && math.Abs(l.lon[n-1]-l.lon[0]) > 180 {
		l.add(l.lon[n-1], -90)
		l.add(l.lon[0], -90)
	}
}

func (l *line) bound() {
	l.minLon, l.minLat, l.maxLon, l.maxLat = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for i := range l.lon {
		l.minLon, l.maxLon = min(l.minLon, l.lon[i]), max(l.maxLon, l.lon[i])
		l.minLat, l.maxLat = min(l.minLat, l.lat[i]), max(l.maxLat, l.lat[i])
	}
}
