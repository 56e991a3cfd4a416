package chart

import (
	"math"

	"gonum.org/v1/plot/vg"
)

// niceTicks returns about n round values from lo to hi (Heckbert 1990, "Nice
// numbers for graph labels", Graphics Gems: 61-63), and the decimals they need.
func niceTicks(lo, hi float64, n int) (ticks []float64, decimals int) {
	if !(hi > lo) {
		hi = lo + 1
	}
	raw := (hi - lo) / float64(n)
	exp := math.Floor(math.Log10(raw))
	unit := math.Pow(10, exp)
	step := 10 * unit
	for _, m := range []float64{1, 2, 2.5, 5} {
		if raw <= m*unit*(1+1e-9) {
			step = m * unit
			if m == 2.5 && exp <= 0 {
				decimals++
			}
			break
		}
	}
	decimals += int(max(0, -math.Floor(math.Log10(step)+1e-9)))
	if step/math.Pow(10, -float64(decimals)) != math.Trunc(step/math.Pow(10, -float64(decimals))) {
		decimals = min(decimals, 6)
	}
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+step*1e-9; k++ {
		ticks = append(ticks, k*step)
	}
	return ticks, decimals
}

// niceTop is the round value at or above hi at which an axis from 0 ends.
func niceTop(hi float64, n int) float64 {
	if !(hi > 0) {
		return 1
	}
	ticks, _ := niceTicks(0, hi, n)
	step := ticks[1] - ticks[0]
	return math.Ceil(hi/step-1e-9) * step
}

// yAxis draws horizontal grid lines with their values on the left, and the
// axis' title, quantity and unit, above the topmost value.
func (f *frame) yAxis(ticks []float64, label func(float64) string, title string) {
	pl := f.plot
	x0, x1 := pl.X.Min, pl.X.Max
	f.add("grid", func(n *nib) {
		for _, v := range ticks {
			n.line(x0, v, x1, v, gridGrey, hairPt, nil)
		}
	})
	f.yLabels(ticks, label)
	if title != "" {
		f.textShift(smallLetter, x0, pl.Y.Max, 0, 2.2, title, atLeft)
	}
}

func (f *frame) yLabels(ticks []float64, label func(float64) string) {
	for _, v := range ticks {
		f.textShift(smallLetter, f.plot.X.Min, v, -padMM, 0, label(v), midRight)
	}
}

// xAxis draws tick marks below the frame with their values, and the title
// centred under them. It returns the mm it takes below the frame.
func (f *frame) xAxis(ticks []float64, label func(float64) string, title string) float64 {
	y := f.bottom()
	f.add("axis", func(n *nib) {
		n.line(f.plot.X.Min, y, f.plot.X.Max, y, frameGrey, thinPt, nil)
		for _, v := range ticks {
			p := n.at(v, y)
			n.strokePoints([]vg.Point{p, p.Add(mm(0, -1))}, frameGrey, thinPt, nil)
		}
	})
	down := 1.6 + smallLetter.heightMM()
	for _, v := range ticks {
		f.textShift(smallLetter, v, y, 0, -down+descentMM(smallLetter), label(v), atCentre)
	}
	if title == "" {
		return down
	}
	down += 1 + smallLetter.heightMM()
	f.textShift(smallLetter, (f.plot.X.Min+f.plot.X.Max)/2, y, 0, -down+descentMM(smallLetter), title, atCentre)
	return down
}

// bottom is the y value at the lower edge.
func (f *frame) bottom() float64 {
	if f.plot.Y.Norm(f.plot.Y.Min) > 0.5 { // y grows downwards
		return f.plot.Y.Max
	}
	return f.plot.Y.Min
}

// border draws the edge of the frame.
func (f *frame) border() {
	f.add("border", func(n *nib) {
		n.outline(n.rect(f.plot.X.Min, f.plot.Y.Min, f.plot.X.Max, f.plot.Y.Max), frameGrey, thinPt, nil)
	})
}

// sideLabel is a text beside the right edge of a frame for something at height
// y, mm on the page.
type sideLabel struct {
	text   string
	letter letter
	y      float64
	sign   int // of glyph, from 1; 0 = none
}

// sideLabels writes labels to the right of x, one under another without
// overlap, as near as possible to what they name, each with a thin leader.
func sideLabels(sheet *frame, x float64, top, bottom float64, labels []sideLabel) {
	const leader = 3.5
	step := smallLetter.heightMM() + 0.5
	at := make([]float64, len(labels))
	for i := range labels { // insertion sort: few labels, stable
		for j := i; j > 0 && labels[j].y < labels[j-1].y; j-- {
			labels[j], labels[j-1] = labels[j-1], labels[j]
		}
	}
	for i, l := range labels {
		at[i] = max(l.y, top)
		if i > 0 {
			at[i] = max(at[i], at[i-1]+step)
		}
	}
	for i := len(labels) - 1; i >= 0; i-- {
		limit := bottom
		if i < len(labels)-1 {
			limit = at[i+1] - step
		}
		at[i] = min(at[i], limit)
	}
	for i, l := range labels {
		y := at[i]
		sheet.add("leader", func(n *nib) {
			n.stroke([]point{{x + 0.3, l.y}, {x + leader - 0.7, y}}, frameGrey, thinPt, nil)
		})
		left := x + leader
		if l.sign > 0 {
			sheet.add("key", func(n *nib) { n.glyph(l.sign-1, n.at(x+leader+1, y), 1.15) })
			left += 3
		}
		sheet.text(l.letter, left, y, l.text, midLeft)
	}
}
