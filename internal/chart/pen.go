package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

// matrix maps (x, y) to (a x + c y + e, b x + d y + f).
type matrix struct{ a, b, c, d, e, f float64 }

// then returns the matrix that applies n first and m after it.
func (m matrix) then(n matrix) matrix {
	return matrix{
		m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b,
		m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f,
	}
}

func (m matrix) apply(x, y float64) (float64, float64) {
	return m.a*x + m.c*y + m.e, m.b*x + m.d*y + m.f
}

// scale is the factor by which lengths grow.
func (m matrix) scale() float64 { return math.Sqrt(math.Abs(m.a*m.d - m.b*m.c)) }

// pen is the graphics state that the canvases of this package share: it turns
// what gonum's plotters ask for into absolute positions, points from the
// top-left corner of the page.
type pen struct {
	now   penState
	stack []penState
}

type penState struct {
	m       matrix
	widthPt float64
	dash    []vg.Length
	offset  vg.Length
	colour  color.NRGBA
}

func newPen(base matrix) pen {
	return pen{now: penState{m: base, widthPt: 1, colour: color.NRGBA{A: 255}}}
}

// topLeft is the base matrix of a page: gonum's origin is at the bottom left.
func topLeft(heightPt float64) matrix { return matrix{1, 0, 0, -1, 0, heightPt} }

func (p *pen) Push() { p.stack = append(p.stack, p.now) }

func (p *pen) Pop() {
	p.now = p.stack[len(p.stack)-1]
	p.stack = p.stack[:len(p.stack)-1]
}

func (p *pen) SetLineWidth(w vg.Length) { p.now.widthPt = w.Points() }

func (p *pen) SetLineDash(dash []vg.Length, offset vg.Length) {
	p.now.dash, p.now.offset = dash, offset
}

func (p *pen) SetColor(c color.Color) {
	if c == nil {
		c = color.Black
	}
	p.now.colour = color.NRGBAModel.Convert(c).(color.NRGBA)
}

func (p *pen) Rotate(rad float64) {
	sin, cos := math.Sincos(rad)
	p.now.m = p.now.m.then(matrix{cos, sin, -sin, cos, 0, 0})
}

func (p *pen) Translate(pt vg.Point) {
	p.now.m = p.now.m.then(matrix{1, 0, 0, 1, pt.X.Points(), pt.Y.Points()})
}

func (p *pen) Scale(x, y float64) { p.now.m = p.now.m.then(matrix{x, 0, 0, y, 0, 0}) }

// angleDeg is the direction of a text's baseline on the page, clockwise.
func (p *pen) angleDeg() float64 { return math.Atan2(p.now.m.b, p.now.m.a) * 180 / math.Pi }

// track receives a path as absolute positions.
type track interface {
	move(x, y float64)
	line(x, y float64)
	cube(x1, y1, x2, y2, x, y float64)
	shut()
}

// follow sends path to t.
func (p *pen) follow(path vg.Path, t track) {
	at := vg.Point{}
	for _, comp := range path {
		switch comp.Type {
		case vg.MoveComp:
			t.move(p.now.m.apply(comp.Pos.X.Points(), comp.Pos.Y.Points()))
			at = comp.Pos
		case vg.LineComp:
			t.line(p.now.m.apply(comp.Pos.X.Points(), comp.Pos.Y.Points()))
			at = comp.Pos
		case vg.CurveComp:
			p.curve(at, comp, t)
			at = comp.Pos
		case vg.ArcComp:
			at = p.arc(comp, len(path) > 0 && path[0].Type == vg.ArcComp, t)
		case vg.CloseComp:
			t.shut()
		}
	}
}

func (p *pen) curve(at vg.Point, comp vg.PathComp, t track) {
	c1, c2 := comp.Control[0], comp.Control[len(comp.Control)-1]
	if len(comp.Control) == 1 { // quadratic to cubic
		c1 = vg.Point{X: at.X + 2*(comp.Control[0].X-at.X)/3, Y: at.Y + 2*(comp.Control[0].Y-at.Y)/3}
		c2 = vg.Point{X: comp.Pos.X + 2*(comp.Control[0].X-comp.Pos.X)/3, Y: comp.Pos.Y + 2*(comp.Control[0].Y-comp.Pos.Y)/3}
	}
	p.cubic(c1, c2, comp.Pos, t)
}

func (p *pen) cubic(c1, c2, end vg.Point, t track) {
	x1, y1 := p.now.m.apply(c1.X.Points(), c1.Y.Points())
	x2, y2 := p.now.m.apply(c2.X.Points(), c2.Y.Points())
	x, y := p.now.m.apply(end.X.Points(), end.Y.Points())
	t.cube(x1, y1, x2, y2, x, y)
}

// arc sends a circular arc as cubic curves of a quarter turn or less, and
// returns its end. An arc that opens a path moves to its start.
func (p *pen) arc(comp vg.PathComp, opens bool, t track) vg.Point {
	n := max(1, int(math.Ceil(math.Abs(comp.Angle)/(math.Pi/2)-1e-9)))
	step := comp.Angle / float64(n)
	k := comp.Radius * vg.Length(4.0/3*math.Tan(step/4))
	on := func(angle float64) (pt, tangent vg.Point) {
		sin, cos := math.Sincos(angle)
		return comp.Pos.Add(vg.Point{X: comp.Radius * vg.Length(cos), Y: comp.Radius * vg.Length(sin)}),
			vg.Point{X: -k * vg.Length(sin), Y: k * vg.Length(cos)}
	}
	at, dir := on(comp.Start)
	if opens {
		t.move(p.now.m.apply(at.X.Points(), at.Y.Points()))
	} else {
		t.line(p.now.m.apply(at.X.Points(), at.Y.Points()))
	}
	for i := 1; i <= n; i++ {
		end, endDir := on(comp.Start + step*float64(i))
		p.cubic(at.Add(dir), end.Sub(endDir), end, t)
		at, dir = end, endDir
	}
	return at
}
