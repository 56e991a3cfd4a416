package chart

import (
	"fmt"
	"math"

	"gonum.org/v1/plot/vg"
)

// Heights of the strips below the curve, mm.
const (
	stripMM     = 2.5
	stripGapMM  = 1.0
	riskStripMM = 4.0
)

// strips draws one line for each thing that happens along the trip, with its
// name at the left, and returns where they end.
func (s *socPicture) strips(y float64) float64 {
	for _, row := range []struct {
		name  string
		kind  string
		fill  look
		spans []span
	}{
		{wordDriving, "driving", lookDriving, s.t.driving()},
		{wordMains, "mains", lookSite, s.t.mains()},
		{wordGenerator, "generator", lookGenerator, s.t.generator()},
	} {
		if len(row.spans) == 0 {
			continue
		}
		f := s.strip(row.name, y, stripMM)
		least := 0.4 * s.t.endH / (f.box.Right - f.box.Left)
		for _, sp := range row.spans {
			f.add(row.kind, func(n *nib) {
				r := n.rect(sp.from, 0, max(sp.to, sp.from+least), 1)
				n.fillLook(row.fill, r)
				n.outline(r, ink, thinPt, nil)
			})
		}
		y += stripMM + stripGapMM
	}
	y = s.refusals(y)
	return s.dayRisks(y)
}

func (s *socPicture) strip(name string, y, height float64) *frame {
	f := s.p.frame(Box{s.main.box.Left, y, s.main.box.Right, y + height}, 0, s.t.endH, 0, 1)
	f.add("strip", func(n *nib) { n.line(0, 0, s.t.endH, 0, gridGrey, hairPt, nil) })
	s.sheet.text(smallLetter, s.main.box.Left-padMM, y+height/2, name, midRight)
	return f
}

// refusals marks when the battery took no charge: frost or heat.
func (s *socPicture) refusals(y float64) float64 {
	spans := s.t.refused()
	if len(spans) == 0 {
		return y
	}
	cold, hot := 0, 0
	for i := range s.t.r.Rows {
		if s.t.r.Rows[i].Refused && s.t.r.Rows[i].BatteryC > 20 {
			hot++
		} else if s.t.r.Rows[i].Refused {
			cold++
		}
	}
	name := wordTooCold
	if hot > cold {
		name = wordTooHot
	}
	f := s.strip(name, y, stripMM)
	starMM := math.Inf(-1) // right edge of the last star
	for _, sp := range spans {
		x0, x1 := f.xMM(sp.from), f.xMM(sp.to)
		star := (x0+x1)/2-1.1 > starMM
		if star {
			starMM = (x0+x1)/2 + 1.1
		}
		f.add("charge refused", func(n *nib) {
			a, b := n.at(sp.from, 0.5), n.at(sp.to, 0.5)
			if b.X-a.X < fromMM(0.6) {
				b.X = a.X + fromMM(0.6)
			}
			n.strokePoints([]vg.Point{a, b}, ink, strongPt, nil)
			if star {
				n.star(vg.Point{X: (a.X + b.X) / 2, Y: a.Y}, 1.15)
			}
		})
	}
	return y + stripMM + stripGapMM
}

// star is the sign for frost: three strokes on a light ground.
func (n *nib) star(at vg.Point, radiusMM float64) {
	n.circle(at, radiusMM+0.1, paper, nil, 0)
	for k := range 3 {
		sin, cos := math.Sincos(math.Pi/2 + float64(k)*math.Pi/3)
		d := mm(radiusMM*cos, radiusMM*sin)
		n.strokePoints([]vg.Point{at.Sub(d), at.Add(d)}, ink, rulePt, nil)
	}
}

// dayRisks writes for each day in how many of 100 draws it was flat.
func (s *socPicture) dayRisks(y float64) float64 {
	if s.risk == nil {
		return y
	}
	highest := 0.0
	for _, d := range s.risk.ByDay {
		highest = max(highest, d.Flat.Share)
	}
	if highest <= 0 {
		return y
	}
	f := s.strip(wordFlatRisk, y, riskStripMM)
	dayMM := s.dayMM()
	unit := dayMM >= inkLetter.widthMM(">99"+nbsp+"%")+0.6
	numbers := dayMM >= inkLetter.widthMM("100")+0.6
	for i, d := range s.risk.ByDay {
		day := s.t.day(i)
		shade := riskRamp.at(d.Flat.Share)
		f.add("flat risk", func(n *nib) {
			r := n.rect(day.from, 0, day.to, 1)
			n.fill(r, shade)
			if numbers {
				n.outline(r, frameGrey, hairPt, nil)
			}
		})
		if !numbers || d.Flat.Share <= 0 {
			continue
		}
		label := cellNumber(s.o, d.Flat.Share)
		if unit {
			label += nbsp + "%"
		}
		f.textShift(inkLetter.in(inkOn(shade)), (day.from+day.to)/2, 0.5, 0, 0, label, midCentre)
	}
	f.border()
	if !numbers || !unit {
		s.sheet.text(smallLetter, f.box.Right+3.5, y+riskStripMM/2, fmt.Sprintf(wordUpTo, s.o.locale.percent(highest)), midLeft)
	}
	return y + riskStripMM + stripGapMM
}
