package atlas

import (
	"math"
	"strconv"
)

// Paths are the SVG path data of a view: land to fill, coasts and borders to
// stroke, and the graticule every GridDeg degrees.
type Paths struct {
	Land, Coast, Borders, Grid string
	GridDeg                    float64
}

// marginPx is how far beyond the view lines are kept, so that cut edges stay
// out of sight.
const marginPx = 8

// Draw makes the paths of a view.
func (v View) Draw() Paths {
	w := theWorld()
	var land, coast, borders pathData
	for turn := -720.0; turn <= 720; turn += 360 {
		for i := range w.land {
			if l := &w.land[i]; v.meets(l, turn) && !v.tiny(l) {
				land.polygon(clip(v.project(l, turn), v))
				v.strokes(&coast, l, turn, true)
			}
		}
		for i := range w.borders {
			if l := &w.borders[i]; v.meets(l, turn) {
				v.strokes(&borders, l, turn, false)
			}
		}
	}
	p := Paths{Land: string(land), Coast: string(coast), Borders: string(borders)}
	p.Grid, p.GridDeg = v.grid()
	return p
}

func (v View) meets(l *line, turn float64) bool {
	return l.maxLon+turn >= v.West && l.minLon+turn <= v.East && l.maxLat >= v.South && l.minLat <= v.North
}

// tiny islands are not worth a dot.
func (v View) tiny(l *line) bool {
	return v.x(l.maxLon)-v.x(l.minLon) < 0.8 && v.y(l.minLat)-v.y(l.maxLat) < 0.8
}

type point struct{ x, y float64 }

// grainPx is how close two points may be to be one.
func (v View) grainPx() float64 {
	if v.East-v.West > 60 {
		return 1
	}
	return 0.5
}

// project moves a ring to the view, leaving out points that are too close to
// the one before.
func (v View) project(l *line, turn float64) []point {
	pts, grain := make([]point, 0, 64), v.grainPx()
	for i := range l.lon {
		p := point{v.x(l.lon[i] + turn), v.y(l.lat[i])}
		if n := len(pts); n > 0 && math.Abs(p.x-pts[n-1].x) < grain && math.Abs(p.y-pts[n-1].y) < grain {
			continue
		}
		pts = append(pts, p)
	}
	return pts
}

// clip cuts a polygon to the view and a margin (Sutherland & Hodgman 1974,
// Communications of the ACM 17(1): 32-42).
func clip(pts []point, v View) []point {
	lo, right, bottom := -float64(marginPx), v.WidthPx+marginPx, v.HeightPx+marginPx
	pts = cut(pts, func(p point) float64 { return p.x - lo })
	pts = cut(pts, func(p point) float64 { return right - p.x })
	pts = cut(pts, func(p point) float64 { return p.y - lo })
	return cut(pts, func(p point) float64 { return bottom - p.y })
}

// cut keeps the part of a polygon where inside is not negative.
func cut(pts []point, inside func(point) float64) []point {
	var out []point
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		a, b := inside(p), inside(q)
		if a >= 0 {
			out = append(out, p)
		}
		if a >= 0 != (b >= 0) {
			f := a / (a - b)
			out = append(out, point{p.x + f*(q.x-p.x), p.y + f*(q.y-p.y)})
		}
	}
	return out
}

// strokes adds the pieces of a line that are in sight. The edge that closes
// a ring around the south pole is no coast.
func (v View) strokes(d *pathData, l *line, turn float64, coast bool) {
	open, grain := false, v.grainPx()
	var last point
	for i := 1; i < len(l.lon); i++ {
		seam := coast && (l.lat[i] < -89 || l.lat[i-1] < -89)
		p := point{v.x(l.lon[i-1] + turn), v.y(l.lat[i-1])}
		q := point{v.x(l.lon[i] + turn), v.y(l.lat[i])}
		if seam || !v.near(p, q) {
			open = false
			continue
		}
		if !open {
			d.move(p)
			last, open = p, true
		}
		if math.Abs(q.x-last.x) >= grain || math.Abs(q.y-last.y) >= grain || i == len(l.lon)-1 {
			d.line(q)
			last = q
		}
	}
}

// near reports whether a segment may be in sight.
func (v View) near(p, q point) bool {
	return max(p.x, q.x) >= -marginPx && min(p.x, q.x) <= v.WidthPx+marginPx &&
		max(p.y, q.y) >= -marginPx && min(p.y, q.y) <= v.HeightPx+marginPx
}

// grid draws meridians and parallels, about five across.
func (v View) grid() (string, float64) {
	step := 30.0
	for _, s := range []float64{0.1, 0.2, 0.5, 1, 2, 5, 10, 15, 30} {
		if (v.East-v.West)/s <= 6 {
			step = s
			break
		}
	}
	var d pathData
	for lon := math.Ceil(v.West/step) * step; lon <= v.East; lon += step {
		d.move(point{v.x(lon), 0})
		d.line(point{v.x(lon), v.HeightPx})
	}
	for lat := math.Ceil(max(v.South, -90)/step) * step; lat <= min(v.North, 90); lat += step {
		d.move(point{0, v.y(lat)})
		d.line(point{v.WidthPx, v.y(lat)})
	}
	return string(d), step
}

// pathData is SVG path data in the making.
type pathData []byte

func (d *pathData) polygon(pts []point) {
	if len(pts) < 3 {
		return
	}
	for i, p := range pts {
		if i == 0 {
			d.move(p)
		} else {
			d.line(p)
		}
	}
	*d = append(*d, 'Z')
}

func (d *pathData) move(p point) { d.put('M', p) }
func (d *pathData) line(p point) { d.put('L', p) }

func (d *pathData) put(letter byte, p point) {
	*d = append(*d, letter)
	*d = strconv.AppendFloat(*d, math.Round(p.x*10)/10, 'f', -1, 64)
	*d = append(*d, ' ')
	*d = strconv.AppendFloat(*d, math.Round(p.y*10)/10, 'f', -1, 64)
}
