package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"tripsim/internal/sim"
)

// SeasonTable is the share of trips not carried of some systems for some starts of the trip.
type SeasonTable struct {
	Trip       string
	Draws      int
	Target     float64 // NaN = none
	Starts     []time.Time
	Systems    []string
	NotCarried [][]sim.Proportion // share of draws that are not carried, by system, by start
}

// Season draws the trips not carried as a table of shaded cells, starts across and
// systems down, with the number in each cell where it fits; cells above the
// accepted risk carry a corner mark.
func Season(s SeasonTable, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	if err := s.check(); err != nil {
		return nil, err
	}
	p := &Picture{Name: "season", Title: wordSeason, WidthMM: o.widthMM, HeightMM: 400, AltText: spoken(s.alt(&o))}
	sheet := p.sheet()
	sub := []string{fmt.Sprintf(wordSeasonSub, o.locale.number(float64(s.Draws), 0))}
	if name := nameOr(s.Trip, ""); name != "" {
		sub = append([]string{shorten(name, smallLetter, 70)}, sub...)
	}
	cellMM := (o.widthMM - marginMM - 43) / float64(len(s.Starts))
	numbers := cellMM >= s.widestMM(&o)+0.8
	if numbers {
		sub = append(sub, wordPerCent)
	}
	y := p.header(sheet, &o, strings.Join(sub, nbsp+"· ")) + 1.5
	v := &seasonPicture{s: &s, o: &o, sheet: sheet, cellMM: cellMM, numbers: numbers}
	const rowMM = 7.5
	rows, cols := float64(len(s.Systems)), float64(len(s.Starts))
	top := y + smallLetter.heightMM() + 1
	v.f = p.frame(Box{42, top, o.widthMM - marginMM - 1, top + rows*rowMM}, 0, cols, 0, rows)
	downwards(v.f, rows)
	v.starts(top - 1.2)
	v.cells()
	below := v.f.box.Bottom + 2.5
	p.HeightMM = math.Ceil(below + v.key(below) + marginMM)
	sheet.settle(p)
	return p, nil
}

func (s *SeasonTable) check() error {
	if len(s.Systems) == 0 || len(s.Starts) == 0 {
		return errors.New("chart: the season has no system or no start")
	}
	if err := checkTarget(s.Target); err != nil {
		return err
	}
	if len(s.NotCarried) != len(s.Systems) {
		return fmt.Errorf("chart: the season has %d systems but %d lines", len(s.Systems), len(s.NotCarried))
	}
	for i, line := range s.NotCarried {
		if len(line) != len(s.Starts) {
			return fmt.Errorf("chart: line %d of the season has %d starts, not %d", i+1, len(line), len(s.Starts))
		}
		for j, p := range line {
			if err := checkShare(fmt.Sprintf("the trips not carried of system %d, start %d", i+1, j+1), p); err != nil {
				return err
			}
		}
	}
	return nil
}

func (s *SeasonTable) alt(o *options) string {
	var lines []string
	for i, name := range s.Systems {
		lo, hi := 0, 0
		for j, p := range s.NotCarried[i] {
			if p.Share < s.NotCarried[i][lo].Share {
				lo = j
			}
			if p.Share > s.NotCarried[i][hi].Share {
				hi = j
			}
		}
		lines = append(lines, fmt.Sprintf(wordSeasonRow, nameOr(name, fmt.Sprintf(wordSystemNo, i+1)),
			o.locale.percent(s.NotCarried[i][lo].Share), o.locale.day(s.Starts[lo]), o.locale.percent(s.NotCarried[i][hi].Share), o.locale.day(s.Starts[hi])))
	}
	return fmt.Sprintf(wordSeasonAlt, strings.Join(lines, "; "))
}

type seasonPicture struct {
	s       *SeasonTable
	o       *options
	sheet   *frame
	f       *frame
	cellMM  float64
	numbers bool
}

// starts writes the months over the columns, or the days where they fit and
// the starts are not the same day of each month.
func (v *seasonPicture) starts(base float64) {
	starts := v.s.Starts
	sameDay := true
	widest := 0.0
	for _, t := range starts {
		sameDay = sameDay && t.Day() == starts[0].Day()
		widest = max(widest, smallLetter.widthMM(v.o.locale.day(t)))
	}
	daily := !sameDay && widest+1 <= v.cellMM
	free := 0.0
	for i, t := range starts {
		s := v.o.locale.month(t)
		if daily {
			s = v.o.locale.day(t)
		} else if i > 0 && t.Month() == starts[i-1].Month() {
			continue
		}
		x := v.f.xMM(float64(i) + 0.5)
		if sameDay || daily {
			v.sheet.text(smallLetter, x, base, s, atCentre)
			continue
		}
		x = v.f.xMM(float64(i))
		if x >= free && x+smallLetter.widthMM(s) <= v.f.box.Right+1 {
			v.sheet.text(smallLetter, x, base, s, atLeft)
			free = x + smallLetter.widthMM(s) + 1
		}
	}
}

func (v *seasonPicture) cells() {
	for i, name := range v.s.Systems {
		for k, line := range seasonName(name, i) {
			n := len(seasonName(name, i))
			v.sheet.text(textLetter, v.f.box.Left-1.5, v.f.yMM(float64(i)+0.5)+(float64(k)-float64(n-1)/2)*textLetter.heightMM(), line, midRight)
		}
		for j, p := range v.s.NotCarried[i] {
			v.cell(float64(j), float64(i), p.Share)
		}
	}
	v.f.border()
}

func seasonName(name string, i int) []string {
	return wrap(nameOr(name, fmt.Sprintf(wordSystemNo, i+1)), textLetter, 38, 2)
}

func (v *seasonPicture) cell(x, y, share float64) {
	shade := riskRamp.at(riskShade(share))
	above := !math.IsNaN(v.s.Target) && share > v.s.Target
	v.f.add("cell", func(n *nib) {
		r := n.rect(x, y, x+1, y+1)
		n.fill(r, shade)
		n.outline(r, paper, hairPt, nil)
	})
	if above {
		v.f.add("above accepted risk", func(n *nib) { n.corner(n.rect(x, y, x+1, y+1).Max, min(2, v.cellMM/2), inkOn(shade)) })
	}
	if v.numbers {
		v.f.textShift(inkLetter.in(inkOn(shade)), x+0.5, y+0.5, 0, 0, v.s.number(v.o, share), midCentre)
	}
}

// number is a share as its cell tells it: with a decimal where it is within half a
// point of the accepted risk, so that number and corner mark do not contradict each
// other.
func (s *SeasonTable) number(o *options, share float64) string {
	const near, least = 0.005, 0.0005
	if math.Abs(share-s.Target) <= near && share != s.Target && share >= least && share <= 1-least {
		return o.locale.number(100*share, 1)
	}
	return cellNumber(o, share)
}

// widestMM is the width of the widest number.
func (s *SeasonTable) widestMM(o *options) float64 {
	widest := inkLetter.widthMM("100")
	for _, line := range s.NotCarried {
		for _, p := range line {
			widest = max(widest, inkLetter.widthMM(s.number(o, p.Share)))
		}
	}
	return widest
}

// cellNumber is a risk in whole per cent, without the sign.
func cellNumber(o *options, share float64) string {
	switch {
	case share > 0 && share < 0.01:
		return "<1"
	case share > 0.99 && share < 1:
		return ">99"
	}
	return o.locale.number(100*share, 0)
}

// key explains shade and corner, side by side where there is room.
func (v *seasonPicture) key(y float64) float64 {
	h := riskBar(v.sheet, v.o, v.f.box.Left, y, wordNotCarriedKey)
	if math.IsNaN(v.s.Target) {
		return h
	}
	word := fmt.Sprintf(wordAboveTarget, v.o.locale.percent(v.s.Target))
	x := v.f.box.Left + smallLetter.widthMM(wordNotCarriedKey) + 4 + 62 + 8
	if x+4.8+smallLetter.widthMM(word)+marginMM >= v.o.widthMM {
		x, y, h = v.f.box.Left, y+h+1.5, h+1.5+3.6
	}
	v.sheet.add("key", func(n *nib) {
		r := n.rect(x, y-0.4, x+3.6, y+3.2)
		n.outline(r, frameGrey, thinPt, nil)
		n.corner(r.Max, 2, ink)
	})
	v.sheet.text(smallLetter, x+4.8, y+1.4, word, midLeft)
	return h
}
