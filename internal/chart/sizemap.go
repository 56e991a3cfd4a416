package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
)

// SizeGrid is the flat risk over two sizes of a system.
type SizeGrid struct {
	Trip, System string
	Draws        int
	X, Y         Sizes
	Measure      string      // what the shares are of; "" = flat risk
	Flat         [][]float64 // by Y, by X
	Target       float64     // NaN = none
	Best         *GridPoint  // the cheapest point within the target, if known
}

// Sizes are the values along one side of a map, growing.
type Sizes struct {
	Name, Unit string // e.g. "battery", "Ah"
	Values     []float64
}

// GridPoint is a point of the map with a remark such as its price.
type GridPoint struct {
	X, Y   int // indexes into the values
	Remark string
}

// SizeMap draws the risk as shaded cells under contour lines with their
// values; the target's line is thick, and a star marks the cheapest point.
func SizeMap(g SizeGrid, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	if err := g.check(); err != nil {
		return nil, err
	}
	p := &Picture{Name: "size-map", WidthMM: o.widthMM, HeightMM: 400, AltText: spoken(g.alt(&o))}
	p.Title = wordSizeMap + ": " + g.axisTitle(g.X.Name, "") + " × " + g.axisTitle(g.Y.Name, "")
	sheet := p.sheet()
	if g.Measure == "" {
		g.Measure = wordFlatRisk
	}
	sub := []string{capital(printable(g.Measure)), fmt.Sprintf(wordSizeMapSub, o.locale.number(float64(g.Draws), 0))}
	for _, name := range []string{g.System, g.Trip} {
		if s := nameOr(name, ""); s != "" {
			sub = append(sub, shorten(s, smallLetter, 50))
		}
	}
	y := p.header(sheet, &o, strings.Join(sub, nbsp+"· ")) + 1.5
	y += smallLetter.heightMM()
	x0, x1 := sides(g.X.Values)
	y0, y1 := sides(g.Y.Values)
	v := &sizePicture{g: &g, o: &o, sheet: sheet}
	v.f = p.frame(Box{20, y, o.widthMM - 6, y + 78}, x0[0], x1[len(x1)-1], y0[0], y1[len(y1)-1])
	sheet.text(smallLetter, marginMM, y-1.2, g.axisTitle(g.Y.Name, g.Y.Unit), atLeft)
	v.cells(x0, x1, y0, y1)
	v.best()
	v.lines()
	v.f.border()
	v.f.yLabels(spaced(g.Y.Values, v.f.yMM, 3.6), v.number(g.Y.Values))
	below := v.f.xAxis(spaced(g.X.Values, v.f.xMM, 11), v.number(g.X.Values), g.axisTitle(g.X.Name, g.X.Unit))
	bottom := v.f.box.Bottom + below + 2
	h := riskBar(sheet, &o, 20, bottom, wordShare)
	if !math.IsNaN(g.Target) {
		sheet.text(smallLetter, 108, bottom+1.2, fmt.Sprintf(wordTargetLine, o.locale.percent(g.Target)), midLeft)
	}
	p.HeightMM = math.Ceil(bottom + h + marginMM)
	sheet.settle(p)
	return p, nil
}

func (g *SizeGrid) axisTitle(name, unit string) string {
	s := shorten(nameOr(name, "size"), titleLetter, 50)
	if unit != "" {
		s += ", " + shorten(unit, smallLetter, 20)
	}
	return s
}

func (g *SizeGrid) check() error {
	if err := checkTarget(g.Target); err != nil {
		return err
	}
	for _, s := range []Sizes{g.X, g.Y} {
		if len(s.Values) < 2 {
			return fmt.Errorf("chart: a sizing map needs two or more sizes of %s, not %d", nameOr(s.Name, "each"), len(s.Values))
		}
		if err := finite("the sizes of the map", s.Values...); err != nil {
			return err
		}
		for i := 1; i < len(s.Values); i++ {
			if s.Values[i] <= s.Values[i-1] {
				return fmt.Errorf("chart: the sizes of the map do not grow: %v after %v", s.Values[i], s.Values[i-1])
			}
		}
	}
	if len(g.Flat) != len(g.Y.Values) {
		return fmt.Errorf("chart: the sizing map has %d lines, not %d", len(g.Flat), len(g.Y.Values))
	}
	for j, line := range g.Flat {
		if len(line) != len(g.X.Values) {
			return fmt.Errorf("chart: line %d of the sizing map has %d values, not %d", j+1, len(line), len(g.X.Values))
		}
		for _, v := range line {
			if !(v >= 0 && v <= 1) {
				return fmt.Errorf("chart: line %d of the sizing map holds %v, not a share of 0 to 1", j+1, v)
			}
		}
	}
	if b := g.Best; b != nil && (b.X < 0 || b.Y < 0 || b.X >= len(g.X.Values) || b.Y >= len(g.Y.Values)) {
		return fmt.Errorf("chart: the best point (%d, %d) is not on the sizing map", b.X, b.Y)
	}
	return nil
}

func (g *SizeGrid) alt(o *options) string {
	lo, hi := 1.0, 0.0
	for _, line := range g.Flat {
		lo, hi = min(lo, slices.Min(line)), max(hi, slices.Max(line))
	}
	n := func(v float64) string { return o.locale.number(v, decimalsOf(v)) }
	measure := wordFlatRisk
	if g.Measure != "" {
		measure = printable(g.Measure)
	}
	s := fmt.Sprintf(wordSizeMapAlt, capital(measure), g.X.Name, n(g.X.Values[0]), n(g.X.Values[len(g.X.Values)-1]), g.X.Unit,
		g.Y.Name, n(g.Y.Values[0]), n(g.Y.Values[len(g.Y.Values)-1]), g.Y.Unit, o.locale.percent(lo), o.locale.percent(hi))
	if g.Best != nil {
		s += fmt.Sprintf(wordSizeMapBest, g.bestText(o))
	}
	return s
}

func (g *SizeGrid) bestText(o *options) string {
	x, y := g.X.Values[g.Best.X], g.Y.Values[g.Best.Y]
	s := o.locale.number(x, decimalsOf(x)) + nbsp + g.X.Unit + ", " + o.locale.number(y, decimalsOf(y)) + nbsp + g.Y.Unit
	if g.Best.Remark != "" {
		s += ", " + shorten(g.Best.Remark, alertLetter, 45)
	}
	return s
}

// decimalsOf is how many decimals a purchasable size needs.
func decimalsOf(v float64) int {
	for d := range 3 {
		k := math.Pow(10, float64(d))
		if math.Abs(v*k-math.Round(v*k)) < 1e-6*k {
			return d
		}
	}
	return 3
}

// sides are the edges of the cells around values: half-way to the neighbours.
func sides(v []float64) (lo, hi []float64) {
	n := len(v)
	lo, hi = make([]float64, n), make([]float64, n)
	for i := range v {
		if i > 0 {
			lo[i] = (v[i-1] + v[i]) / 2
		}
		if i < n-1 {
			hi[i] = (v[i] + v[i+1]) / 2
		}
	}
	lo[0], hi[n-1] = v[0]-(hi[0]-v[0]), v[n-1]+(v[n-1]-lo[n-1])
	return lo, hi
}

// spaced drops values that would stand closer than leastMM.
func spaced(v []float64, mm func(float64) float64, leastMM float64) []float64 {
	var out []float64
	for _, x := range v {
		if n := len(out); n == 0 || math.Abs(mm(x)-mm(out[n-1])) >= leastMM {
			out = append(out, x)
		}
	}
	return out
}

type sizePicture struct {
	g     *SizeGrid
	o     *options
	sheet *frame
	f     *frame
	taken []Box
}

func (v *sizePicture) number(values []float64) func(float64) string {
	d := 0
	for _, x := range values {
		d = max(d, decimalsOf(x))
	}
	return func(x float64) string { return v.o.locale.number(x, d) }
}

func (v *sizePicture) cells(x0, x1, y0, y1 []float64) {
	v.f.add("cells", func(n *nib) {
		for j, line := range v.g.Flat {
			for i, share := range line {
				n.fill(n.rect(x0[i], y0[j], x1[i], y1[j]), riskRamp.at(riskShade(share)))
			}
		}
	})
	v.f.add("grid points", func(n *nib) {
		for _, y := range v.g.Y.Values {
			for _, x := range v.g.X.Values {
				n.circle(n.at(x, y), 0.18, frameGrey, nil, 0)
			}
		}
	})
}

// levels are the risks that get a line: round ones, and the target instead of
// those near it, which would only crowd it.
func (g *SizeGrid) levels() []float64 {
	var out []float64
	for _, l := range []float64{0.01, 0.05, 0.20, 0.50} {
		if near := max(l, g.Target) / min(l, g.Target); math.IsNaN(near) || near > 2.4 {
			out = append(out, l)
		}
	}
	if g.Target > 0 && g.Target < 1 {
		out = append(out, g.Target) // last, over the others
	}
	return out
}

// lines draws the contours, the target's thick and over the others, and writes
// each one's value on its longest piece, the target's first.
func (v *sizePicture) lines() {
	type named struct {
		line []point
		text string
	}
	var names []named
	for _, level := range v.g.levels() {
		lines := contours(v.g.X.Values, v.g.Y.Values, v.g.Flat, level)
		if len(lines) == 0 {
			continue
		}
		width := rulePt
		if level == v.g.Target {
			width = 2.4
		}
		v.f.add("contour "+v.o.locale.percent(level), func(n *nib) {
			for _, l := range lines {
				n.stroke(l, paper, width+1.6, nil)
				n.stroke(l, ink, width, nil)
			}
		})
		longest := slices.MaxFunc(lines, func(a, b []point) int { return len(a) - len(b) })
		names = append(names, named{longest, v.o.locale.percent(level)})
	}
	for _, l := range slices.Backward(names) {
		v.name(l.line, l.text)
	}
}

// name writes a contour's value near the middle of it, where nothing else is.
func (v *sizePicture) name(line []point, s string) {
	for _, k := range []float64{0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9} {
		at := line[int(k*float64(len(line)-1))]
		x, y := v.f.xMM(at.x), v.f.yMM(at.y)
		box := textBox(inkLetter, x, y, s, midCentre).grow(0.5)
		if !box.grow(0.5).Within(v.f.box) || slices.ContainsFunc(v.taken, func(b Box) bool { return b.Overlaps(box) }) {
			continue
		}
		v.taken = append(v.taken, box)
		v.sheet.add("halo", func(n *nib) { n.fill(n.rect(box.Left, box.Top, box.Right, box.Bottom), paper) })
		v.sheet.text(inkLetter, x, y, s, midCentre)
		return
	}
}

// best puts the star and its text beside it.
func (v *sizePicture) best() {
	b := v.g.Best
	if b == nil {
		return
	}
	x, y := v.f.xMM(v.g.X.Values[b.X]), v.f.yMM(v.g.Y.Values[b.Y])
	s := shorten(wordCheapest+v.g.bestText(v.o), alertLetter, v.f.box.Right-v.f.box.Left-8)
	w := alertLetter.widthMM(s)
	left := x + 4
	if left+w+1 > v.f.box.Right {
		left = x - 4 - w
	}
	left = min(max(left, v.f.box.Left+1.5), v.f.box.Right-1.5-w)
	dy := 0.0
	if left < x+2.5 && left+w > x-2.5 { // no room at its side: above or below
		dy = -4
		if y-6 < v.f.box.Top {
			dy = 4
		}
	}
	box := textBox(alertLetter, left, y+dy, s, midLeft).grow(0.7)
	v.taken = append(v.taken, box, Box{x - 2.5, y - 2.5, x + 2.5, y + 2.5})
	v.sheet.add("cheapest", func(n *nib) {
		n.fill(n.rect(box.Left, box.Top, box.Right, box.Bottom), paper)
		n.outline(n.rect(box.Left, box.Top, box.Right, box.Bottom), ink, thinPt, nil)
		n.fiveStar(vg.Point{X: n.x(x), Y: n.y(y)}, 2.3)
	})
	v.sheet.text(alertLetter, left, y+dy, s, midLeft)
}
