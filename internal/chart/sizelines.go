package chart

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"
)

// levels are the risks that get a line: round ones, and the accepted one instead of
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

// contour is the line of one risk and where its value is to stand.
type contour struct {
	level float64
	lines [][]point
	text  string
	box   Box
	bare  bool // no room for the value
}

func (c *contour) longest() []point {
	return slices.MaxFunc(c.lines, func(a, b []point) int { return len(a) - len(b) })
}

// lines draws the contours, that of the accepted risk thick and over the others, and what
// stands on them: the system's own point and the cheapest beside their texts,
// then the values. Where the risk falls so steeply that a line finds no room for
// its value, the line is left to the shades.
func (v *sizePicture) lines() {
	var all []*contour
	for _, level := range v.g.levels() {
		if lines := contours(v.g.X.Values, v.g.Y.Values, v.g.NotCarried, level); len(lines) > 0 {
			all = append(all, &contour{level: level, lines: lines, text: v.o.locale.percent(level)})
		}
	}
	v.points(all)
	for _, c := range slices.Backward(all) { // the accepted risk first
		v.value(c, all)
	}
	for _, c := range all {
		if c.bare && c.level != v.g.Target {
			continue
		}
		width := rulePt
		if c.level == v.g.Target {
			width = 2.4
		}
		v.f.add("contour "+c.text, func(n *nib) {
			for _, l := range c.lines {
				n.stroke(l, paper, width+1.6, nil)
				n.stroke(l, ink, width, nil)
			}
		})
	}
	for _, c := range all {
		if !c.bare {
			v.sheet.add("halo", func(n *nib) { n.fill(n.rect(c.box.Left, c.box.Top, c.box.Right, c.box.Bottom), paper) })
			v.sheet.text(inkLetter, (c.box.Left+c.box.Right)/2, (c.box.Top+c.box.Bottom)/2, c.text, midCentre)
		}
	}
}

// value finds the place of a contour's value, near the middle of the line, where
// it hides no other.
func (v *sizePicture) value(c *contour, all []*contour) {
	line := c.longest()
	for _, k := range []float64{0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9} {
		at := line[int(k*float64(len(line)-1))]
		x, y := v.f.xMM(at.x), v.f.yMM(at.y)
		box := textBox(inkLetter, x, y, c.text, midCentre).grow(0.5)
		if !box.grow(0.5).Within(v.f.box) || slices.ContainsFunc(v.taken, func(b Box) bool { return b.Overlaps(box) }) {
			continue
		}
		if c.level != v.g.Target && slices.ContainsFunc(all, func(o *contour) bool {
			return o != c && (!o.bare || o.level == v.g.Target) && v.hidden(o, box) > 0
		}) {
			continue
		}
		c.box = box
		v.taken = append(v.taken, box)
		return
	}
	c.bare = true
}

// hidden is how much of a contour lies under a box, mm.
func (v *sizePicture) hidden(c *contour, box Box) float64 {
	const step = 0.5
	sum := 0.0
	for _, line := range c.lines {
		for i := 1; i < len(line); i++ {
			x0, y0, x1, y1 := v.f.xMM(line[i-1].x), v.f.yMM(line[i-1].y), v.f.xMM(line[i].x), v.f.yMM(line[i].y)
			n := math.Ceil(math.Hypot(x1-x0, y1-y0) / step)
			for k := 0.0; k <= n; k++ {
				q := k / max(n, 1)
				if x, y := x0+q*(x1-x0), y0+q*(y1-y0); x > box.Left && x < box.Right && y > box.Top && y < box.Bottom {
					sum += step
				}
			}
		}
	}
	return sum
}

// points puts the ring of the system's own point, the star of the cheapest, and
// their texts beside them.
func (v *sizePicture) points(all []*contour) {
	for _, m := range v.marks() {
		v.taken = append(v.taken, Box{m.x - 2.5, m.y - 2.5, m.x + 2.5, m.y + 2.5})
	}
	for _, m := range v.marks() {
		letter := alertLetter
		s := shorten(m.text, letter, v.f.box.Right-v.f.box.Left-8)
		box := v.beside(m.x, m.y, letter.widthMM(s), letter, all)
		v.taken = append(v.taken, box)
		v.sheet.add(m.kind, func(n *nib) {
			n.fill(n.rect(box.Left, box.Top, box.Right, box.Bottom), paper)
			n.outline(n.rect(box.Left, box.Top, box.Right, box.Bottom), ink, thinPt, nil)
			m.sign(n, vg.Point{X: n.x(m.x), Y: n.y(m.y)})
		})
		v.sheet.text(letter, box.Left+0.7, (box.Top+box.Bottom)/2, s, midLeft)
	}
}

// sizeMark is a point of the map that is named.
type sizeMark struct {
	kind, text string
	x, y       float64 // mm
	sign       func(*nib, vg.Point)
}

func (v *sizePicture) marks() []sizeMark {
	star := func(n *nib, at vg.Point) { n.fiveStar(at, 2.3) }
	ring := func(n *nib, at vg.Point) {
		n.circle(at, 1.7, nil, paper, 3.2)
		n.circle(at, 1.7, nil, blue, strongPt)
	}
	var out []sizeMark
	add := func(kind, word string, b *GridPoint, sign func(*nib, vg.Point)) {
		if b != nil {
			out = append(out, sizeMark{kind, word + v.g.pointText(b, v.o), v.f.xMM(v.g.X.Values[b.X]), v.f.yMM(v.g.Y.Values[b.Y]), sign})
		}
	}
	best, own, word := v.g.Best, v.g.Own, cmp.Or(printable(v.g.OwnWord), wordOwnSizes)
	if best != nil && own != nil && best.X == own.X && best.Y == own.Y {
		add("cheapest", strings.TrimRight(word, ": ")+wordAndCheapest, best, star)
		return out
	}
	add("cheapest", wordCheapest, best, star)
	add("own sizes", strings.TrimRight(word, " ")+" ", own, ring)
	return out
}

// beside finds the box for a text of some width near a point, where it hides the
// least of the accepted risk's line and of the other contours, and nothing else.
func (v *sizePicture) beside(x, y, wide float64, l letter, all []*contour) Box {
	high := textBox(l, 0, 0, "0", midLeft).grow(0.7)
	h, w := high.Bottom-high.Top, wide+1.4
	best, least := Box{}, math.Inf(1)
	for k := range 80 { // outwards, sides first
		out := 3.2 + 1.6*float64(k/8)
		var left, top float64
		switch k % 8 {
		case 0:
			left, top = x+out, y-h/2
		case 1:
			left, top = x-out-w, y-h/2
		case 2:
			left, top = x-w/2, y-out-h
		case 3:
			left, top = x-w/2, y+out
		case 4:
			left, top = x+1.5, y-out-h
		case 5:
			left, top = x-1.5-w, y-out-h
		case 6:
			left, top = x+1.5, y+out
		default:
			left, top = x-1.5-w, y+out
		}
		left = min(max(left, v.f.box.Left+0.8), v.f.box.Right-0.8-w)
		box := Box{left, top, left + w, top + h}
		cost := out
		if !box.Within(v.f.box.grow(-0.5)) {
			cost += 1000
		}
		for _, t := range v.taken {
			if t.Overlaps(box) {
				cost += 300
			}
		}
		for _, c := range all {
			weight := 0.3
			if c.level == v.g.Target {
				weight = 20
			}
			cost += weight * v.hidden(c, box.grow(0.6))
		}
		if cost < least {
			best, least = box, cost
		}
	}
	return best
}

// Cropped leaves out the sizes at the ends beyond which nothing changes. The
// marked points stay with one size on each side of them, and three sizes at least.
func (g SizeGrid) Cropped() SizeGrid {
	same := func(a, b float64) bool { return math.Abs(a-b) <= 0.005 }
	var ofX, ofY []int
	for _, b := range []*GridPoint{g.Best, g.Own} {
		if b != nil {
			ofX, ofY = append(ofX, b.X), append(ofY, b.Y)
		}
	}
	x0, x1 := happening(len(g.X.Values), ofX, func(i, j int) bool {
		return !slices.ContainsFunc(g.NotCarried, func(line []float64) bool { return !same(line[i], line[j]) })
	})
	y0, y1 := happening(len(g.Y.Values), ofY, func(i, j int) bool {
		return slices.EqualFunc(g.NotCarried[i][x0:x1], g.NotCarried[j][x0:x1], same)
	})
	moved := func(b *GridPoint) *GridPoint {
		if b == nil {
			return nil
		}
		return &GridPoint{b.X - x0, b.Y - y0, b.Remark}
	}
	flat := make([][]float64, 0, y1-y0)
	for _, line := range g.NotCarried[y0:y1] {
		flat = append(flat, line[x0:x1])
	}
	g.X.below = slices.Concat(g.X.below, g.X.Values[:x0])
	g.Y.below = slices.Concat(g.Y.below, g.Y.Values[:y0])
	g.X.Values, g.Y.Values, g.NotCarried = g.X.Values[x0:x1], g.Y.Values[y0:y1], flat
	g.Best, g.Own = moved(g.Best), moved(g.Own)
	return g
}

// happening is the part [from, to) of n sizes that is left when those at the ends
// that are like their neighbours go.
func happening(n int, marked []int, like func(i, j int) bool) (from, to int) {
	first, last := n-1, 0
	for _, i := range marked {
		first, last = min(first, max(i-1, 0)), max(last, min(i+1, n-1))
	}
	to = n
	for to-from > 3 && to-1 > last && like(to-1, to-2) {
		to--
	}
	for to-from > 3 && from < first && like(from, from+1) {
		from++
	}
	return from, to
}
