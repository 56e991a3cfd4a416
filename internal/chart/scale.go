package chart

import (
	"fmt"
	"math"

	"tripsim/internal/sim"
)

// colourBar draws a ramp from left to right with ticks, shares of the ramp,
// and their labels below; returns its height, mm.
func colourBar(sheet *frame, left, top, widthMM float64, r ramp, ticks []float64, label func(float64) string) float64 {
	const steps, height = 48, 2.4
	sheet.add("colour bar", func(n *nib) {
		for i := range steps {
			x := left + widthMM*float64(i)/steps
			n.fill(n.rect(x, top, min(x+widthMM/steps+0.1, left+widthMM), top+height), r.at((float64(i)+0.5)/steps))
		}
		n.outline(n.rect(left, top, left+widthMM, top+height), frameGrey, thinPt, nil)
		for _, v := range ticks {
			n.line(left+v*widthMM, top+height, left+v*widthMM, top+height+0.8, frameGrey, thinPt, nil)
		}
	})
	for _, v := range ticks {
		sheet.text(smallLetter, left+v*widthMM, top+height+1.2+smallLetter.heightMM()-descentMM(smallLetter), label(v), atCentre)
	}
	return height + 1.2 + smallLetter.heightMM()
}

// riskShade colours a share: the square root, so that 1, 5 and 20 % look
// different.
func riskShade(share float64) float64 { return math.Sqrt(min(max(share, 0), 1)) }

// riskBar is the colour bar of risks, with a name at the left.
func riskBar(sheet *frame, o *options, left, top float64, name string) float64 {
	sheet.text(smallLetter, left, top+1.2, name, midLeft)
	left += smallLetter.widthMM(name) + 4
	var ticks []float64
	for _, p := range []float64{0, 0.01, 0.05, 0.20, 0.50, 1} {
		ticks = append(ticks, riskShade(p))
	}
	return colourBar(sheet, left, top, 62, riskRamp, ticks, func(v float64) string { return o.locale.whole(v * v) })
}

// checkShare refuses what is not a share of 0 to 1 with its interval.
func checkShare(what string, p sim.Proportion) error {
	if err := finite(what, p.Share, p.Low, p.High); err != nil {
		return err
	}
	if p.Share < 0 || p.Share > 1 || p.Low > p.Share+1e-9 || p.High < p.Share-1e-9 {
		return fmt.Errorf("chart: %s is %v (%v to %v), not a share of 0 to 1 within its interval", what, p.Share, p.Low, p.High)
	}
	return nil
}

// checkTarget allows a target of 0 to 1, or NaN for none.
func checkTarget(target float64) error {
	if !math.IsNaN(target) && (target < 0 || target > 1) {
		return fmt.Errorf("chart: an accepted risk of %v is not a share of 0 to 1", target)
	}
	return nil
}

// whisker draws an interval along x at height y with caps.
func (n *nib) whisker(lo, hi, y float64, horizontal bool) {
	a, b, cap := n.at(lo, y), n.at(hi, y), mm(0, 0.8)
	if !horizontal {
		a, b, cap = n.at(y, lo), n.at(y, hi), mm(0.8, 0)
	}
	n.strokePoints(line2(a, b), ink, rulePt, nil)
	n.strokePoints(line2(a.Sub(cap), a.Add(cap)), ink, rulePt, nil)
	n.strokePoints(line2(b.Sub(cap), b.Add(cap)), ink, rulePt, nil)
}
