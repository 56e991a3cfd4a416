package chart

import (
	"fmt"

	"gonum.org/v1/plot/vg"

	"tripsim/internal/sim"
)

// flatRun is an unbroken row of flat days.
type flatRun struct {
	first, last int
	hours       float64
}

func flatRuns(days []sim.Day) []flatRun {
	var runs []flatRun
	for i := range days {
		if !days[i].Flat() {
			continue
		}
		if n := len(runs); n > 0 && runs[n-1].last == i-1 {
			runs[n-1].last, runs[n-1].hours = i, runs[n-1].hours+days[i].FlatH
			continue
		}
		runs = append(runs, flatRun{i, i, days[i].FlatH})
	}
	return runs
}

// flagRowMM is the height of a row of flags.
const flagRowMM = 4.0

// flags puts a flag over each flat day of a frame whose x axis is the trip's
// time and, where there is room, its hours. Base is where the poles stand, mm.
func flags(sheet, f *frame, t *trail, o *options, base float64) {
	days := t.r.Days
	runs := flatRuns(days)
	const flagMM = 2.2
	narrow := (f.box.Right-f.box.Left)/float64(len(days)) < flagMM+0.2
	taken := f.box.Left
	for k, r := range runs {
		left, right := f.xMM(t.day(r.first).from), f.xMM(t.day(r.last).to)
		textLeft := right
		if narrow {
			sheet.add("flat day", func(n *nib) {
				n.fill(n.rect(left, base-0.9, max(right, left+0.4), base-0.1), vermillion)
				n.outline(n.rect(left, base-0.9, max(right, left+0.4), base-0.1), ink, hairPt, nil)
				n.flag(left, base)
			})
			textLeft = max(right, left+flagMM) + 0.6
		} else {
			for d := r.first; d <= r.last; d++ {
				x0, x1 := f.xMM(t.day(d).from), f.xMM(t.day(d).to)
				sheet.add("flat day", func(n *nib) { n.flag((x0+x1-flagMM)/2+0.2, base) })
				textLeft = (x0+x1+flagMM)/2 + 0.6
			}
		}
		label := wordFlat + " " + o.locale.hours(r.hours)
		if r.last > r.first {
			label = fmt.Sprintf(wordFlatDays, o.locale.days(r.last-r.first+1))
		}
		limit := sheet.box.Right - marginMM
		if k+1 < len(runs) {
			limit = f.xMM(t.day(runs[k+1].first).from) - 0.5
		}
		w := alertLetter.widthMM(label)
		flagLeft := left // of the first flag
		if !narrow {
			flagLeft = (left+f.xMM(t.day(r.first).to)-flagMM)/2 - 0.2
		}
		switch {
		case textLeft+w <= limit:
			sheet.text(alertLetter, textLeft, base, label, atLeft)
			taken = textLeft + w
		case flagLeft-0.8-w >= taken+1:
			sheet.text(alertLetter, flagLeft-0.8, base, label, atRight)
			taken = textLeft
		default:
			taken = textLeft
		}
	}
}

// flag draws a pennant, 2.2 mm wide, standing at (x, base) mm on a sheet.
func (n *nib) flag(x, base float64) {
	foot, top := n.at(x, base), n.at(x, base-3)
	n.strokePoints([]vg.Point{foot, top}, ink, rulePt, nil)
	cloth := []vg.Point{top, n.at(x+2, base-2.1), n.at(x, base-1.2)}
	n.polygon(cloth, vermillion)
	n.polygonOutline(cloth, ink, thinPt)
}
