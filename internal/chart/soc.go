package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"

	"tripsim/internal/sim"
)

// StateOfCharge draws the state of charge of the battery over the trip in local
// time, with nights shaded, the cut-off as a line, flat spells hatched and flat
// days flagged; below it strips tell when the vehicle drives, has mains or a
// generator, and when the battery refused charge. With a risk, the spread over
// its simulated trips lies behind the curve and the flat risk of each day below.
func StateOfCharge(r *sim.Result, risk *sim.Risk, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	t, err := newTrail(r)
	if err != nil {
		return nil, err
	}
	if err := checkRisk(risk, t); err != nil {
		return nil, err
	}
	p := &Picture{Name: "state-of-charge", WidthMM: o.widthMM, HeightMM: 200}
	p.Title = wordSoC + ": " + nameOr(r.System.Name, wordSystem)
	p.AltText = spoken(o.trips(socAlt(t, risk, &o)))

	sheet := p.sheet()
	s := &socPicture{t: t, risk: risk, o: &o, p: p, sheet: sheet}
	top := p.header(sheet, &o, socSubtitle(t, risk, &o))
	s.flagMM = top + 1.8
	if flatDays(r) > 0 {
		s.flagMM = top + flagRowMM
	}
	const left, plotMM = 17.0, 50.0
	right := o.widthMM - 30
	s.main = p.frame(Box{left, s.flagMM + 0.8, right, s.flagMM + 0.8 + plotMM}, 0, t.endH, 0, 100)
	s.draw()
	y := s.strips(s.main.box.Bottom + 2.4)
	p.HeightMM = math.Ceil(dayAxis(sheet, s.main, t, &o, y, true) + marginMM)
	sheet.settle(p)
	return p, nil
}

func checkRisk(risk *sim.Risk, t *trail) error {
	if risk == nil {
		return nil
	}
	for i, b := range risk.Bands {
		if err := finite(fmt.Sprintf("hour %d of the risk band", i+1), b.Q05, b.Q25, b.Q50, b.Q75, b.Q95); err != nil {
			return err
		}
	}
	for i, d := range risk.ByDay {
		if err := finite(fmt.Sprintf("the flat risk of day %d", i+1), d.Flat.Share); err != nil {
			return err
		}
	}
	if n := len(risk.ByDay); n > 0 && n != len(t.r.Days) {
		return fmt.Errorf("chart: the risk has %d days but the trip %d", n, len(t.r.Days))
	}
	return nil
}

// socSubtitle is the verdict, the trip and the weather.
func socSubtitle(t *trail, risk *sim.Risk, o *options) string {
	r := t.r
	days := r.Days
	verdict := socVerdict(t, risk, o)
	parts := []string{verdict, o.locale.dates(days[0].Date, days[len(days)-1].Date)}
	if name := o.tripName(r.Trip.Name); name != "" {
		parts = append(parts, shorten(name, smallLetter, 60))
	}
	if r.Weather != "" && !strings.Contains(verdict, wordTypicalRun) { // said already
		parts = append(parts, strings.TrimRight(printable(r.Weather), ". "))
	}
	return strings.Join(parts, nbsp+"· ")
}

// socVerdict is what happens in the weather of the curve and, with a risk, over
// the simulated trips.
func socVerdict(t *trail, risk *sim.Risk, o *options) string {
	r := t.r
	drawn := risk != nil && risk.Draws > 0
	var s string
	switch n := flatDays(r); {
	case n > 0:
		s = fmt.Sprintf(wordFlatOn, n, o.locale.days(len(r.Days)), o.locale.hours(r.FlatH))
	case !drawn:
		s = fmt.Sprintf(wordNeverFlat, o.locale.whole(r.LowSoC))
	case typicalWeather(r):
		s = fmt.Sprintf(wordTypicalLow, o.locale.whole(r.LowSoC))
	default:
		s = fmt.Sprintf(wordThisLow, o.locale.whole(r.LowSoC))
	}
	if r.Total.InWh() <= 0 {
		s += ", " + wordNoSource
	}
	switch {
	case !drawn:
		return s
	case risk.FlatDraws > 0:
		return s + "; " + fmt.Sprintf(wordFlatShare, o.locale.percent(risk.Flat.Share))
	}
	return s + "; " + fmt.Sprintf(wordNoneFlat, o.locale.number(float64(risk.Draws), 0))
}

// typicalWeather reports whether a result is of typical weather; otherwise it is
// of the days of a weather record or of one draw.
func typicalWeather(r *sim.Result) bool {
	return r.Weather == "" || strings.HasPrefix(r.Weather, wordTypicalRun)
}

func flatDays(r *sim.Result) int {
	n := 0
	for i := range r.Days {
		if r.Days[i].Flat() {
			n++
		}
	}
	return n
}

func socAlt(t *trail, risk *sim.Risk, o *options) string {
	r := t.r
	return fmt.Sprintf(wordSoCAlt, nameOr(r.System.Name, wordSystem), o.locale.days(len(r.Days)),
		o.locale.whole(r.StartSoC), o.locale.whole(r.Rows[len(r.Rows)-1].SoC), o.locale.whole(r.MinSoC), socVerdict(t, risk, o))
}

type socPicture struct {
	t      *trail
	risk   *sim.Risk
	o      *options
	p      *Picture
	sheet  *frame
	main   *frame
	flagMM float64 // baseline of the row of flags
}

func (s *socPicture) draw() {
	ticks := []float64{0, 20, 40, 60, 80, 100}
	s.main.yAxis(ticks, func(v float64) string { return s.o.locale.whole(v / 100) }, "")
	s.bands()
	s.nights()
	s.midnights()
	s.flats()
	s.cutoff()
	s.curve()
	s.main.border()
	flags(s.sheet, s.main, s.t, s.o, s.flagMM)
	s.labels()
}

// bucket is how many points across a curve can tell apart.
func (s *socPicture) buckets() int { return int((s.main.box.Right - s.main.box.Left) * 4) }

// ribbonMM is the width of a day under which the curve is drawn as the range of
// each day.
const ribbonMM = 1.2

func (s *socPicture) bands() {
	if s.dayMM() < ribbonMM || s.risk == nil || len(s.risk.Bands) < 2 {
		return
	}
	for _, b := range []struct {
		kind   string
		lo, hi func(b sim.Band) float64
		fill   look
	}{
		{"band 5-95", func(b sim.Band) float64 { return b.Q05 }, func(b sim.Band) float64 { return b.Q95 }, look{fill: paleBlue}},
		{"band 25-75", func(b sim.Band) float64 { return b.Q25 }, func(b sim.Band) float64 { return b.Q75 }, look{fill: softBlue}},
	} {
		var lo, hi []point
		for _, q := range s.risk.Bands {
			x := s.t.hour(q.At)
			if x < 0 || x > s.t.endH+1e-9 {
				continue
			}
			lo = append(lo, point{x, 100 * b.lo(q)})
			hi = append(hi, point{x, 100 * b.hi(q)})
		}
		lo, hi = thin(lo, s.buckets()), thin(hi, s.buckets())
		slices.Reverse(lo)
		ring := append(hi, lo...)
		s.main.add(b.kind, func(n *nib) {
			pts := make([]vg.Point, len(ring))
			for i, q := range ring {
				pts[i] = n.at(q.x, q.y)
			}
			n.polygon(pts, b.fill.fill)
			n.polygonOutline(pts, blue, hairPt)
		})
	}
}

func (s *socPicture) dayMM() float64 {
	return (s.main.box.Right - s.main.box.Left) / float64(len(s.t.r.Days))
}

func (s *socPicture) nights() {
	if s.dayMM() < ribbonMM { // stripes finer than this only grey the picture
		return
	}
	for _, night := range s.t.nights() {
		s.main.add("night", func(n *nib) { n.fill(n.rect(night.from, 0, night.to, 100), nightVeil) })
	}
}

func (s *socPicture) midnights() {
	if s.dayMM() < 4 {
		return
	}
	s.main.add("midnight", func(n *nib) {
		for i := 1; i < len(s.t.r.Days); i++ {
			x := s.t.day(i).from
			n.line(x, 0, x, 100, frameGrey, hairPt, dotted)
		}
	})
}

func (s *socPicture) flats() {
	least := 0.5 * s.t.endH / (s.main.box.Right - s.main.box.Left) // half a millimetre
	for _, f := range s.t.flats() {
		to := max(f.to, f.from+least)
		s.main.add("flat spell", func(n *nib) {
			r := n.rect(f.from, 0, min(to, s.t.endH), 100)
			n.fillLook(lookFlat, r)
			n.outline(r, vermillion, rulePt, nil)
		})
	}
}

// cutoff draws the state of charge at which the battery disconnects: it rises
// in the cold, where less of the charge can be had.
func (s *socPicture) cutoff() {
	pts := []point{{0, 100 * s.cutoffAt(0)}}
	for i := range s.t.r.Rows {
		y := 100 * s.cutoffAt(i)
		if last := pts[len(pts)-1]; math.Abs(last.y-y) > 0.2 {
			pts = append(pts, point{float64(i) * s.t.stepH, y})
		}
	}
	pts = append(pts, point{s.t.endH, pts[len(pts)-1].y})
	s.main.add("cut-off", func(n *nib) { n.stroke(pts, vermillion, rulePt+0.2, dashed) })
}

func (s *socPicture) cutoffAt(row int) float64 {
	return max(s.t.r.MinSoC, s.t.r.Rows[row].FloorSoC)
}

// cutoffLabel names the cut-off, and its range when the cold lifts it.
func (s *socPicture) cutoffLabel() string {
	low, high := 1.0, 0.0
	for i := range s.t.r.Rows {
		low, high = min(low, s.cutoffAt(i)), max(high, s.cutoffAt(i))
	}
	if high < low+0.02 {
		return wordCutoff + " " + s.o.locale.whole(low)
	}
	return wordCutoff + " " + s.o.locale.number(100*low, 0) + "–" + s.o.locale.whole(high)
}

func (s *socPicture) points() []point {
	pts := []point{{0, 100 * s.t.r.StartSoC}}
	for i := range s.t.r.Rows {
		pts = append(pts, point{float64(i+1) * s.t.stepH, 100 * s.t.r.Rows[i].SoC})
	}
	return pts
}

func (s *socPicture) curve() {
	if s.dayMM() < ribbonMM {
		s.ribbon()
		return
	}
	pts := thin(s.points(), s.buckets())
	s.main.add("state of charge", func(n *nib) {
		n.stroke(pts, paper, curvePt+1.4, nil)
		n.stroke(pts, blue, curvePt, nil)
	})
}

// ribbon draws the lowest and the highest state of charge of each day.
func (s *socPicture) ribbon() {
	var lo, hi []point
	for i := range s.t.r.Days {
		d := &s.t.r.Days[i]
		top := 0.0
		for _, row := range s.t.r.Rows[d.FirstRow:d.EndRow] {
			top = max(top, row.SoC)
		}
		span := s.t.day(i)
		lo = append(lo, point{span.from, 100 * d.LowSoC}, point{span.to, 100 * d.LowSoC})
		hi = append(hi, point{span.from, 100 * top}, point{span.to, 100 * top})
	}
	ring := slices.Clone(hi)
	for _, q := range slices.Backward(lo) {
		ring = append(ring, q)
	}
	s.main.add("state of charge", func(n *nib) {
		pts := make([]vg.Point, len(ring))
		for i, q := range ring {
			pts[i] = n.at(q.x, q.y)
		}
		n.polygon(pts, paleBlue)
		n.stroke(hi, blue, thinPt, nil)
		n.stroke(lo, blue, curvePt, nil)
	})
}

// labels names the curve, the cut-off and the bands on the right, and the
// lowest point where it is.
func (s *socPicture) labels() {
	r := s.t.r
	f := s.main
	last := &r.Days[len(r.Days)-1]
	side := []sideLabel{{text: s.cutoffLabel(), letter: inkLetter, y: f.yMM(100 * s.cutoffAt(len(r.Rows)-1))}}
	if s.dayMM() < ribbonMM {
		side = append(side, sideLabel{text: wordDailyLow, letter: alertLetter, y: f.yMM(100 * last.LowSoC)})
	} else {
		word := wordTypicalRun
		if !typicalWeather(r) {
			word = wordThisWeather
		}
		side = append(side, sideLabel{text: word, letter: alertLetter, y: f.yMM(100 * r.Rows[len(r.Rows)-1].SoC)})
	}
	if s.dayMM() >= ribbonMM && s.risk != nil && len(s.risk.Bands) > 1 {
		b := s.risk.Bands[len(s.risk.Bands)-1]
		side = append(side,
			sideLabel{text: wordHalf, letter: smallLetter, y: f.yMM(50 * (b.Q25 + b.Q75))},
			sideLabel{text: wordNineOfTen, letter: smallLetter, y: f.yMM(50 * (b.Q05 + b.Q25))})
	}
	sideLabels(s.sheet, f.box.Right, f.box.Top+1.5, f.box.Bottom-1.5, side)
	if r.FlatH <= 0 {
		s.lowest()
	}
}

// lowest marks the lowest point and writes its value beside it, where the least
// of the curve is hidden.
func (s *socPicture) lowest() {
	pts := s.points()
	low := slices.MinFunc(pts, func(a, b point) int { return cmp.Compare(a.y, b.y) })
	day := s.t.dayAt(low.x)
	label := fmt.Sprintf("%s %s, %s %s", wordLowest, s.o.locale.number(low.y, 0)+nbsp+"%",
		s.o.locale.day(s.t.r.Days[day].Date), clock(s.t.localClock(low.x)))
	f := s.main
	x, y := f.xMM(low.x), f.yMM(low.y)
	w := inkLetter.widthMM(label)
	cut := f.yMM(100 * s.t.r.MinSoC)
	best, bestMid, bestCost := Box{}, 0.0, math.Inf(1)
	for _, c := range [][2]float64{{-w / 2, 5.2}, {-w / 2, -4}, {2, 4}, {-w - 2, 4}, {2, -3}, {-w - 2, -3}, {3, 0}, {-w - 3, 0}, {-w / 2, 9}, {-w / 2, -9}} {
		left := min(max(x+c[0], f.box.Left+1), f.box.Right-w-1)
		box := textBox(inkLetter, left, y+c[1], label, midLeft).grow(0.4)
		cost := math.Hypot(c[0]+w/2, c[1]) / 10
		if !box.Within(f.box) {
			cost += 1000
		}
		if box.Top < cut && cut < box.Bottom {
			cost += 50
		}
		for _, q := range pts {
			if qx, qy := f.xMM(q.x), f.yMM(q.y); qx > box.Left && qx < box.Right && qy > box.Top && qy < box.Bottom {
				cost++
			}
		}
		if cost < bestCost {
			best, bestMid, bestCost = box, y+c[1], cost
		}
	}
	f.add("lowest", func(n *nib) { n.circle(n.at(low.x, low.y), 0.9, paper, blue, curvePt) })
	s.sheet.halo(best)
	s.sheet.text(inkLetter, best.Left+0.4, bestMid, label, midLeft)
}
