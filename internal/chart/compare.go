package chart

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"tripsim/internal/sim"
)

// Comparison is a choice of systems over the same simulated trips.
type Comparison struct {
	Trip       string
	Draws      int
	Target     float64 // accepted share of trips not carried, 0..1; NaN = none
	Currency   string
	Candidates []Candidate
}

// Candidate is one system of a comparison.
type Candidate struct {
	Name        string
	NotCarried  sim.Proportion   // share of draws that are not carried; see sim.Goal
	Reserve     sim.Distribution // lowest state of charge above the cut-off, 0..1
	SourceWh    [4]float64       // mean per trip: solar, alternator, mains, transfer
	Price       float64          // NaN = not given
	Recommended bool
}

// Compare draws one line for each system: its share of trips not carried
// with the interval of the estimate, the spread of its reserve, what charged it, and its price. The
// recommended system has a shaded line, an arrow and the word.
func Compare(c Comparison, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	if err := c.check(); err != nil {
		return nil, err
	}
	p := &Picture{Name: "compare", Title: wordCompare, WidthMM: o.widthMM, HeightMM: 400}
	p.AltText = spoken(c.alt(&o))
	sheet := p.sheet()
	sub := []string{fmt.Sprintf(wordDrawsOf, o.locale.number(float64(c.Draws), 0))}
	if name := nameOr(c.Trip, ""); name != "" {
		sub = append(sub, shorten(name, smallLetter, 70))
	}
	y := p.header(sheet, &o, strings.Join(sub, nbsp+"· ")) + 2
	v := &comparePicture{c: &c, o: &o, p: p, sheet: sheet}
	v.layOut(y)
	v.draw()
	p.HeightMM = math.Ceil(v.bottom + marginMM)
	sheet.settle(p)
	return p, nil
}

func (c *Comparison) check() error {
	if len(c.Candidates) == 0 {
		return errors.New("chart: there is no system to compare")
	}
	if err := checkTarget(c.Target); err != nil {
		return err
	}
	for i, k := range c.Candidates {
		what := fmt.Sprintf("the trips not carried of system %d", i+1)
		if err := checkShare(what, k.NotCarried); err != nil {
			return err
		}
		r := k.Reserve
		if err := finite(fmt.Sprintf("the result of system %d", i+1), r.Q05, r.Q25, r.Q50, r.Q75, r.Q95,
			k.SourceWh[0], k.SourceWh[1], k.SourceWh[2], k.SourceWh[3]); err != nil {
			return err
		}
		if math.IsInf(k.Price, 0) {
			return fmt.Errorf("chart: the price of system %d is infinite", i+1)
		}
	}
	return nil
}

func (c *Comparison) alt(o *options) string {
	var parts []string
	for i, k := range c.Candidates {
		s := fmt.Sprintf(wordCompareAlt, candidateName(k, i), o.locale.percent(k.NotCarried.Share), o.locale.whole(k.Reserve.Q50))
		if k.Recommended {
			s += " (" + wordRecommended + ")"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, "; ") + "."
}

func candidateName(k Candidate, i int) string {
	return nameOr(k.Name, fmt.Sprintf(wordSystemNo, i+1))
}

// comparePicture lays three narrow frames side by side, a line per system.
type comparePicture struct {
	c                    *Comparison
	o                    *options
	p                    *Picture
	sheet                *frame
	top, bottom, rowMM   float64
	nameMM               float64
	risk, reserve, wh    *frame
	priceRight           float64
	priced               bool
	unit                 string
	scale                float64
	riskTicks, wattTicks []float64
	wattDecimals         int
	headings             float64
}

func (v *comparePicture) layOut(y float64) {
	c := v.c
	v.rowMM, v.nameMM = 7.5, 46
	for i, k := range c.Candidates {
		if k.Recommended && len(wrap(candidateName(k, i), boldLetter, v.nameMM-marginMM-5, 2)) > 1 {
			v.rowMM = 10.5 // two lines of name and the word
		}
		v.priced = v.priced || !math.IsNaN(k.Price)
	}
	sources := []keyEntry{}
	for s, part := range sourceParts {
		for _, k := range c.Candidates {
			if k.SourceWh[s] >= 0.5 {
				sources = append(sources, keyEntry{name: part.name, look: part.look})
				break
			}
		}
	}
	if len(sources) > 0 {
		y = key(v.sheet, marginMM, y, v.o.widthMM-2*marginMM, wordChargeBy+":", sources)
	}
	v.headings = y + 1 + smallLetter.heightMM()
	v.top = v.headings + 1.5
	rows := float64(len(c.Candidates))
	bottom := v.top + rows*v.rowMM
	right := v.o.widthMM - marginMM - 2
	if v.priced {
		right -= 17
		v.priceRight = v.o.widthMM - marginMM - 1
	}
	width := right - v.nameMM
	edge := func(a float64) float64 { return v.nameMM + width*a }

	highest, most := 0.0, 0.0
	for _, k := range c.Candidates {
		highest = max(highest, k.NotCarried.High)
		most = max(most, k.SourceWh[0]+k.SourceWh[1]+k.SourceWh[2]+k.SourceWh[3])
	}
	if !math.IsNaN(c.Target) {
		highest = max(highest, c.Target*1.2)
	}
	top := min(1, niceTop(max(highest, 0.02), 3))
	v.riskTicks, _ = niceTicks(0, top, 3)
	v.unit, v.scale = "Wh", 1
	if most > 5000 {
		v.unit, v.scale = "kWh", 1000
	}
	wattTop := niceTop(max(most, 1)/v.scale, 3)
	v.wattTicks, v.wattDecimals = niceTicks(0, wattTop, 3)
	v.risk = v.p.frame(Box{edge(0), v.top, edge(0.33), bottom}, 0, top, rows, 0)
	v.reserve = v.p.frame(Box{edge(0.43), v.top, edge(0.68), bottom}, 0, 1, rows, 0)
	v.wh = v.p.frame(Box{edge(0.78), v.top, edge(0.99), bottom}, 0, wattTop, rows, 0)
	for _, f := range []*frame{v.risk, v.reserve, v.wh} {
		downwards(f, rows)
	}
	v.bottom = bottom
}

func (v *comparePicture) draw() {
	rows := float64(len(v.c.Candidates))
	for i, k := range v.c.Candidates {
		v.name(i, k)
	}
	for _, f := range []struct {
		frame *frame
		title string
		ticks []float64
		label func(float64) string
	}{
		{v.risk, wordNotCarried, v.riskTicks, v.o.locale.percent},
		{v.reserve, wordReserve, []float64{0, 0.5, 1}, v.o.locale.whole},
		{v.wh, v.unit + " " + wordPerTrip, v.wattTicks, func(x float64) string { return v.o.locale.number(x, v.wattDecimals) }},
	} {
		f.frame.add("grid", func(n *nib) {
			for _, x := range f.ticks {
				n.line(x, 0, x, rows, gridGrey, hairPt, nil)
			}
		})
		v.sheet.text(alertLetter, f.frame.box.Left, v.headings, f.title, atLeft)
		v.bottom = max(v.bottom, f.frame.box.Bottom+f.frame.xAxis(f.ticks, f.label, ""))
	}
	if v.priced {
		v.sheet.text(alertLetter, v.priceRight, v.headings, strings.TrimSuffix(wordPrice+", "+shorten(v.c.Currency, alertLetter, 12), ", "), atRight)
	}
	v.bottom += 1 + smallLetter.heightMM()
	base := v.bottom - descentMM(smallLetter)
	if !math.IsNaN(v.c.Target) {
		v.risk.add("accepted risk", func(n *nib) { n.line(v.c.Target, 0, v.c.Target, rows, vermillion, rulePt+0.2, dashed) })
		v.sheet.text(smallLetter, v.risk.box.Left, base, fmt.Sprintf(wordTarget, v.o.locale.percent(v.c.Target)), atLeft)
		x := v.risk.box.Left - 6
		v.sheet.add("key", func(n *nib) { n.line(x, base-1, x+5, base-1, vermillion, rulePt+0.2, dashed) })
	}
	v.sheet.text(smallLetter, v.reserve.box.Left, base, wordSpreadKey, atLeft)
	for i, k := range v.c.Candidates {
		v.row(float64(i)+0.5, k)
	}
}

func (v *comparePicture) name(i int, k Candidate) {
	y0 := v.top + float64(i)*v.rowMM
	letter := textLetter
	if k.Recommended {
		letter = boldLetter
		v.p.frames = append([]*frame{v.shade(y0)}, v.p.frames...)
		v.sheet.add("recommended", func(n *nib) {
			x := marginMM + 0.5
			mid := y0 + v.rowMM/2
			n.polygon(pts(n, x, mid-1.3, x+2.2, mid, x, mid+1.3), ink)
		})
	}
	lines := wrap(candidateName(k, i), letter, v.nameMM-marginMM-5, 2)
	if k.Recommended {
		lines = append(lines, wordRecommended)
	}
	gap := letter.heightMM()
	y := y0 + v.rowMM/2 - gap*float64(len(lines)-1)/2
	for n, s := range lines {
		l := letter
		if k.Recommended && n == len(lines)-1 {
			l = smallLetter
		}
		v.sheet.text(l, marginMM+4, y+gap*float64(n), s, midLeft)
	}
}

// shade is the ground of the recommended line, painted first.
func (v *comparePicture) shade(y0 float64) *frame {
	f := newFrame(Box{marginMM, y0 + 0.2, v.o.widthMM - marginMM, y0 + v.rowMM - 0.2}, 0, 1, 0, 1)
	f.add("recommended", func(n *nib) {
		r := n.rect(0, 0, 1, 1)
		n.fill(r, rgb(0xEFF4F9))
		n.outline(r, ink, thinPt, nil)
	})
	return f
}

func (v *comparePicture) row(y float64, k Candidate) {
	v.risk.add("not carried", func(n *nib) {
		n.whisker(k.NotCarried.Low, min(k.NotCarried.High, v.risk.plot.X.Max), y, true)
		n.circle(n.at(k.NotCarried.Share, y), 1.05, vermillion, ink, thinPt)
	})
	v.riskValue(y, k)
	v.reserve.add("reserve", func(n *nib) {
		q := k.Reserve
		n.line(q.Q05, y, q.Q95, y, ink, rulePt, nil)
		a, b := n.at(q.Q25, y), n.at(q.Q75, y)
		box := n.rect(q.Q25, y, max(q.Q75, q.Q25), y)
		box.Min.Y, box.Max.Y = a.Y-fromMM(1.2), b.Y+fromMM(1.2)
		n.fill(box, softBlue)
		n.outline(box, ink, thinPt, nil)
		m := n.at(q.Q50, y)
		n.strokePoints(line2(m.Sub(mm(0, 1.7)), m.Add(mm(0, 1.7))), ink, strongPt, nil)
	})
	sum := 0.0
	for s, part := range sourceParts {
		from, to := sum/v.scale, (sum+k.SourceWh[s])/v.scale
		sum += k.SourceWh[s]
		if to-from <= 1e-9 {
			continue
		}
		v.wh.add(part.kind, func(n *nib) {
			r := n.rect(from, y, to, y)
			r.Min.Y, r.Max.Y = r.Min.Y-fromMM(2.1), r.Max.Y+fromMM(2.1)
			n.fillLook(part.look, r)
			n.outline(r, ink, hairPt, nil)
		})
	}
	if v.priced && !math.IsNaN(k.Price) {
		v.sheet.text(textLetter, v.priceRight, v.risk.yMM(y), v.o.locale.number(k.Price, 0), midRight)
	}
}

// riskValue writes the risk beside its interval, on the side with more room.
func (v *comparePicture) riskValue(y float64, k Candidate) {
	s := v.o.locale.percent(k.NotCarried.Share)
	f := v.risk
	right := max(f.xMM(min(k.NotCarried.High, f.plot.X.Max)), f.xMM(k.NotCarried.Share)+1.2) + 1
	a := midLeft
	if right+inkLetter.widthMM(s) > f.box.Right+2 {
		right, a = min(f.xMM(k.NotCarried.Low), f.xMM(k.NotCarried.Share)-1.2)-1, midRight
	}
	if target := f.xMM(v.c.Target); a == midLeft && target > right-0.8 && target < right+inkLetter.widthMM(s)+0.8 {
		right = target + 0.9 // beyond the line of the accepted risk
	}
	v.sheet.halo(textBox(inkLetter, right, f.yMM(y), s, a).grow(0.2))
	v.sheet.text(inkLetter, right, f.yMM(y), s, a)
}
