package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// SizeGrid is the share of trips not carried over two sizes of a system.
type SizeGrid struct {
	Trip, System string
	Draws        int
	X, Y         Sizes
	NotCarried   [][]float64 // by Y, by X
	Target       float64     // NaN = none
	Best         *GridPoint  // the cheapest point within the accepted risk, if known
	Own          *GridPoint  // the point that the system itself has, if it is on the map
	OwnWord      string      // in front of its sizes; "" = "as it is: "
}

// Sizes are the values along one side of a map, growing.
type Sizes struct {
	Name, Unit string // e.g. "battery", "Ah"
	Values     []float64
	below      []float64 // tried too, but not on the map
}

// smallest is the smallest size that was tried.
func (s *Sizes) smallest() float64 {
	if len(s.below) > 0 {
		return s.below[0]
	}
	return s.Values[0]
}

// GridPoint is a point of the map with a remark such as its price.
type GridPoint struct {
	X, Y   int // indexes into the values
	Remark string
}

// SizeMap draws the risk as shaded cells under contour lines with their
// values; that of the accepted risk is thick, and a star marks the cheapest
// point. Where the cells are of two kinds only there is nothing to interpolate:
// the edge of what is accepted then takes the place of the lines.
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
	sub := []string{capital(wordNotCarried), fmt.Sprintf(wordSizeMapSub, o.locale.number(float64(g.Draws), 0))}
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
	high := min(78, 30+8*float64(len(g.Y.Values)))
	v.f = p.frame(Box{20, y, o.widthMM - 6, y + high}, x0[0], x1[len(x1)-1], y0[0], y1[len(y1)-1])
	sheet.text(smallLetter, marginMM, y-1.2, g.axisTitle(g.Y.Name, g.Y.Unit), atLeft)
	v.cells(x0, x1, y0, y1)
	lined := v.classes() > 2
	if lined {
		v.lines()
	} else {
		v.edge(x0, x1, y0, y1)
		v.points(nil)
	}
	v.f.border()
	v.f.yLabels(spaced(g.Y.Values, v.f.yMM, 3.6), v.number(g.Y.Values))
	below := v.f.xAxis(spaced(g.X.Values, v.f.xMM, 11), v.number(g.X.Values), g.axisTitle(g.X.Name, g.X.Unit))
	bottom := v.f.box.Bottom + below + 2
	h := riskBar(sheet, &o, 20, bottom, wordShare)
	if word := v.thick(lined); word != "" {
		sheet.text(smallLetter, 108, bottom+1.2, word, midLeft)
	}
	bottom += h + 1 + smallLetter.heightMM()
	sheet.text(smallLetter, 20, bottom-descentMM(smallLetter), v.note(lined), atLeft)
	p.HeightMM = math.Ceil(bottom + marginMM)
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
	if len(g.NotCarried) != len(g.Y.Values) {
		return fmt.Errorf("chart: the sizing map has %d lines, not %d", len(g.NotCarried), len(g.Y.Values))
	}
	for j, line := range g.NotCarried {
		if len(line) != len(g.X.Values) {
			return fmt.Errorf("chart: line %d of the sizing map has %d values, not %d", j+1, len(line), len(g.X.Values))
		}
		for _, v := range line {
			if !(v >= 0 && v <= 1) {
				return fmt.Errorf("chart: line %d of the sizing map holds %v, not a share of 0 to 1", j+1, v)
			}
		}
	}
	for _, b := range []*GridPoint{g.Best, g.Own} {
		if b != nil && (b.X < 0 || b.Y < 0 || b.X >= len(g.X.Values) || b.Y >= len(g.Y.Values)) {
			return fmt.Errorf("chart: the point (%d, %d) is not on the sizing map", b.X, b.Y)
		}
	}
	return nil
}

func (g *SizeGrid) alt(o *options) string {
	lo, hi := 1.0, 0.0
	for _, line := range g.NotCarried {
		lo, hi = min(lo, slices.Min(line)), max(hi, slices.Max(line))
	}
	n := func(v float64) string { return o.locale.number(v, decimalsOf(v)) }
	s := fmt.Sprintf(wordSizeMapAlt, capital(wordNotCarried), g.X.Name, n(g.X.Values[0]), n(g.X.Values[len(g.X.Values)-1]), g.X.Unit,
		g.Y.Name, n(g.Y.Values[0]), n(g.Y.Values[len(g.Y.Values)-1]), g.Y.Unit, o.locale.percent(lo), o.locale.percent(hi))
	if g.Own != nil {
		s += fmt.Sprintf(wordSizeMapOwn, g.pointText(g.Own, o))
	}
	if g.Best != nil {
		s += fmt.Sprintf(wordSizeMapBest, g.bestText(o))
	}
	return s
}

func (g *SizeGrid) bestText(o *options) string { return g.pointText(g.Best, o) }

// pointText is the sizes of a point and its remark.
func (g *SizeGrid) pointText(b *GridPoint, o *options) string {
	x, y := g.X.Values[b.X], g.Y.Values[b.Y]
	s := o.locale.number(x, decimalsOf(x)) + nbsp + g.X.Unit + ", " + o.locale.number(y, decimalsOf(y)) + nbsp + g.Y.Unit
	if b.Remark != "" {
		s += ", " + shorten(b.Remark, alertLetter, 45)
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
		for j, line := range v.g.NotCarried {
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
