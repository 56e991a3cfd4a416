package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// nib draws on one frame, in the frame's data coordinates.
type nib struct {
	c    draw.Canvas
	x, y func(float64) vg.Length
}

func (n *nib) at(x, y float64) vg.Point { return vg.Point{X: n.x(x), Y: n.y(y)} }

// rect is the rectangle between two data points.
func (n *nib) rect(x0, y0, x1, y1 float64) vg.Rectangle {
	a, b := n.at(x0, y0), n.at(x1, y1)
	return vg.Rectangle{
		Min: vg.Point{X: min(a.X, b.X), Y: min(a.Y, b.Y)},
		Max: vg.Point{X: max(a.X, b.X), Y: max(a.Y, b.Y)},
	}
}

func (n *nib) fill(r vg.Rectangle, c color.Color) {
	if c == nil || r.Max.X <= r.Min.X || r.Max.Y <= r.Min.Y {
		return
	}
	n.c.SetColor(c)
	n.c.Fill(r.Path())
}

func (n *nib) outline(r vg.Rectangle, c color.Color, widthPt float64, dash []vg.Length) {
	n.c.SetLineStyle(draw.LineStyle{Color: c, Width: vg.Length(widthPt), Dashes: dash})
	path := r.Path()
	n.c.Stroke(path)
}

// stroke draws a line through data points, cut at the edges of the frame.
func (n *nib) stroke(pts []point, c color.Color, widthPt float64, dash []vg.Length) {
	line := make([]vg.Point, len(pts))
	for i, p := range pts {
		line[i] = n.at(p.x, p.y)
	}
	n.strokePoints(line, c, widthPt, dash)
}

func (n *nib) strokePoints(line []vg.Point, c color.Color, widthPt float64, dash []vg.Length) {
	if len(line) < 2 {
		return
	}
	n.c.SetLineStyle(draw.LineStyle{Color: c, Width: vg.Length(widthPt), Dashes: dash})
	var path vg.Path
	path.Move(line[0])
	for _, p := range line[1:] {
		path.Line(p)
	}
	n.c.Stroke(path)
}

func (n *nib) line(x0, y0, x1, y1 float64, c color.Color, widthPt float64, dash []vg.Length) {
	n.stroke([]point{{x0, y0}, {x1, y1}}, c, widthPt, dash)
}

func (n *nib) polygon(pts []vg.Point, c color.Color) {
	if len(pts) < 3 {
		return
	}
	n.c.SetColor(c)
	var path vg.Path
	path.Move(pts[0])
	for _, p := range pts[1:] {
		path.Line(p)
	}
	path.Close()
	n.c.Fill(path)
}

func (n *nib) polygonOutline(pts []vg.Point, c color.Color, widthPt float64) {
	n.c.SetLineStyle(draw.LineStyle{Color: c, Width: vg.Length(widthPt)})
	var path vg.Path
	path.Move(pts[0])
	for _, p := range pts[1:] {
		path.Line(p)
	}
	path.Close()
	n.c.Stroke(path)
}

func (n *nib) circle(at vg.Point, radiusMM float64, fill, edge color.Color, widthPt float64) {
	var path vg.Path
	path.Move(at.Add(vg.Point{X: fromMM(radiusMM)}))
	path.Arc(at, fromMM(radiusMM), 0, 2*math.Pi)
	path.Close()
	if fill != nil {
		n.c.SetColor(fill)
		n.c.Fill(path)
	}
	if edge != nil {
		n.c.SetLineStyle(draw.LineStyle{Color: edge, Width: vg.Length(widthPt)})
		n.c.Stroke(path)
	}
}

// Fill rectangles in a look: the colour, then one path with the pattern of all
// of them, its phase tied to the page so that neighbours join.
func (n *nib) fillLook(l look, rects ...vg.Rectangle) {
	for _, r := range rects {
		n.fill(r, l.fill)
	}
	n.hatch(l.pattern, l.hatch, rects...)
}

// Pattern pitch and weight.
const (
	hatchPitchMM = 1.15
	hatchPt      = 0.45
	dotRadiusMM  = 0.17
)

func (n *nib) hatch(pat pattern, c color.Color, rects ...vg.Rectangle) {
	if c == nil || pat == plain {
		return
	}
	var path vg.Path
	for _, r := range rects {
		if r.Max.X <= r.Min.X || r.Max.Y <= r.Min.Y {
			continue
		}
		switch pat {
		case rising:
			diagonals(&path, r, 1)
		case falling:
			diagonals(&path, r, -1)
		case crossing:
			diagonals(&path, r, 1)
			diagonals(&path, r, -1)
		case level:
			levels(&path, r)
		case dots:
			speckle(&path, r)
		}
	}
	if len(path) == 0 {
		return
	}
	if pat == dots {
		n.c.SetColor(c)
		n.c.Fill(path)
		return
	}
	n.c.SetLineStyle(draw.LineStyle{Color: c, Width: hatchPt})
	n.c.Stroke(path)
}

// diagonals adds the lines y = slope x + k pitch that cross r.
func diagonals(path *vg.Path, r vg.Rectangle, slope vg.Length) {
	pitch := fromMM(hatchPitchMM) * math.Sqrt2
	lo := min(r.Min.Y-slope*r.Min.X, r.Min.Y-slope*r.Max.X)
	hi := max(r.Max.Y-slope*r.Min.X, r.Max.Y-slope*r.Max.X)
	for k := math.Ceil(float64(lo / pitch)); vg.Length(k)*pitch < hi; k++ {
		b := vg.Length(k) * pitch
		// y = slope x + b, with slope +1 or -1, meets the box between:
		xa, xb := (r.Min.Y-b)*slope, (r.Max.Y-b)*slope
		x0, x1 := max(r.Min.X, min(xa, xb)), min(r.Max.X, max(xa, xb))
		if x1-x0 < 0.05 {
			continue
		}
		path.Move(vg.Point{X: x0, Y: slope*x0 + b})
		path.Line(vg.Point{X: x1, Y: slope*x1 + b})
	}
}

func levels(path *vg.Path, r vg.Rectangle) {
	pitch := fromMM(hatchPitchMM)
	for k := math.Ceil(float64(r.Min.Y / pitch)); vg.Length(k)*pitch < r.Max.Y; k++ {
		y := vg.Length(k) * pitch
		path.Move(vg.Point{X: r.Min.X, Y: y})
		path.Line(vg.Point{X: r.Max.X, Y: y})
	}
}

// speckle adds the dots of a staggered lattice that lie wholly in r.
func speckle(path *vg.Path, r vg.Rectangle) {
	pitch, rad := fromMM(hatchPitchMM), fromMM(dotRadiusMM)
	for k := math.Ceil(float64((r.Min.Y + rad) / (pitch / 2))); vg.Length(k)*pitch/2 <= r.Max.Y-rad; k++ {
		y := vg.Length(k) * pitch / 2
		shift := vg.Length(0)
		if math.Mod(math.Abs(k), 2) == 1 {
			shift = pitch / 2
		}
		for j := math.Ceil(float64((r.Min.X + rad - shift) / pitch)); vg.Length(j)*pitch+shift <= r.Max.X-rad; j++ {
			x := vg.Length(j)*pitch + shift
			path.Move(vg.Point{X: x + rad, Y: y}) // a diamond: a tenth of the bytes of a circle
			path.Line(vg.Point{X: x, Y: y + rad})
			path.Line(vg.Point{X: x - rad, Y: y})
			path.Line(vg.Point{X: x, Y: y - rad})
			path.Close()
		}
	}
}

// point is a data point.
type point struct{ x, y float64 }

// pts turns pairs of data coordinates into points.
func pts(n *nib, xy ...float64) []vg.Point {
	out := make([]vg.Point, len(xy)/2)
	for i := range out {
		out[i] = n.at(xy[2*i], xy[2*i+1])
	}
	return out
}
