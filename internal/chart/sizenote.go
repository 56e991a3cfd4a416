package chart

import (
	"fmt"
	"math"
)

// classes is how many different answers the cells give, as far as the lines tell
// them apart.
func (v *sizePicture) classes() int {
	levels := v.g.levels()
	seen := map[int]bool{}
	for _, line := range v.g.NotCarried {
		for _, share := range line {
			class := 0
			for _, level := range levels {
				if share >= level {
					class++
				}
			}
			seen[class] = true
		}
	}
	return len(seen)
}

// edge draws the edge between the cells within the accepted risk and the others.
func (v *sizePicture) edge(x0, x1, y0, y1 []float64) {
	const width = 2.4
	round := toMM(width) / 2 // over the corners
	f := v.f
	v.sheet.add("edge", func(n *nib) {
		stroke := func(ax, ay, bx, by float64) {
			b := f.box
			n.line(max(ax, b.Left), max(ay, b.Top), min(bx, b.Right), min(by, b.Bottom), ink, width, nil)
		}
		for j, line := range v.g.NotCarried {
			for i := range line {
				if i > 0 && v.accepted(i, j) != v.accepted(i-1, j) {
					stroke(f.xMM(x0[i]), f.yMM(y1[j])-round, f.xMM(x0[i]), f.yMM(y0[j])+round)
				}
				if j > 0 && v.accepted(i, j) != v.accepted(i, j-1) {
					stroke(f.xMM(x0[i])-round, f.yMM(y0[j]), f.xMM(x1[i])+round, f.yMM(y0[j]))
				}
			}
		}
	})
}

func (v *sizePicture) accepted(i, j int) bool { return v.g.NotCarried[j][i] <= v.g.Target }

// thick says what the thick line or edge is or, without one, why; "" = no risk
// is named as accepted.
func (v *sizePicture) thick(lined bool) string {
	if math.IsNaN(v.g.Target) {
		return ""
	}
	within, beyond := false, false
	for j, line := range v.g.NotCarried {
		for i := range line {
			within, beyond = within || v.accepted(i, j), beyond || !v.accepted(i, j)
		}
	}
	word := wordTargetEdge
	switch {
	case !within:
		word = wordTargetNone
	case !beyond:
		word = wordTargetAll
	case lined:
		word = wordTargetLine
	}
	return fmt.Sprintf(word, v.o.locale.percent(v.g.Target))
}

// note says from where on sizes were tried, and what the lines are worth.
func (v *sizePicture) note(lined bool) string {
	from := func(s *Sizes) string {
		size := s.smallest()
		return v.o.locale.number(size, decimalsOf(size)) + nbsp + shorten(s.Unit, smallLetter, 20)
	}
	s := fmt.Sprintf(wordTried, from(&v.g.Y), from(&v.g.X))
	if lined {
		s += wordBetween
	}
	return s
}
