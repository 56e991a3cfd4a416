package chart

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// SunTable is the sun's mean year at a place.
type SunTable struct {
	Place    string
	Clock    string          // which clock the hours are of, e.g. "UTC+1" or "local standard time"
	GHIWm2   [12][24]float64 // mean irradiance on level ground by month and clock hour
	DailyKWh [12]float64     // mean daily sum, kWh/m²
	Sunrise  []float64       // clock hour on each day of the year (365 or 366); NaN = none
	Sunset   []float64
}

// SunYear draws the mean irradiance by month and hour as shaded cells with the
// lines of sunrise and sunset over the days of the year, and the daily sums
// above the months.
func SunYear(s SunTable, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	if err := s.check(); err != nil {
		return nil, err
	}
	place := nameOr(s.Place, "this place")
	p := &Picture{Name: "sun-year", WidthMM: o.widthMM, HeightMM: 400, AltText: spoken(s.alt(&o, place))}
	p.Title = wordSunYear + ": " + place
	sheet := p.sheet()
	y := p.header(sheet, &o, wordIrradiance+nbsp+"· "+fmt.Sprintf(wordSunHours, nameOr(s.Clock, "local time"))) + 2
	base := y + inkLetter.heightMM()
	f := p.frame(Box{17, base + 1.2, o.widthMM - 22, base + 1.2 + 66}, 0, 12, 0, 24)
	sheet.text(smallLetter, f.box.Right+1.5, base-descentMM(inkLetter), wordDailySum, atLeft)
	v := &sunPicture{s: &s, o: &o, f: f, sheet: sheet}
	v.cells()
	v.horizon()
	v.polar()
	f.border()
	for m := range 12 {
		sheet.text(inkLetter, f.xMM(float64(m)+0.5), base-descentMM(inkLetter), o.locale.number(s.DailyKWh[m], 1), atCentre)
	}
	f.yLabels([]float64{0, 6, 12, 18, 24}, func(h float64) string { return fmt.Sprintf("%02.0f:00", h) })
	f.add("axis", func(n *nib) {
		for h := 0.0; h <= 24; h += 3 {
			q := n.at(0, h)
			n.strokePoints(line2(q, q.Sub(mm(0.8, 0))), frameGrey, thinPt, nil)
		}
	})
	below := f.box.Bottom + 1 + smallLetter.heightMM()
	for m, name := range o.locale.months {
		sheet.text(smallLetter, f.xMM(float64(m)+0.5), below-descentMM(smallLetter), name, atCentre)
	}
	bar := below + 2
	x := f.box.Left
	sheet.text(smallLetter, x, bar+1.2, "W/m²", midLeft)
	ticks, _ := niceTicks(0, v.top, 5)
	shares := make([]float64, len(ticks))
	for i, t := range ticks {
		shares[i] = t / v.top
	}
	h := colourBar(sheet, x+12, bar, 70, sunRamp, shares, func(k float64) string { return o.locale.number(k*v.top, 0) })
	p.HeightMM = math.Ceil(bar + h + marginMM)
	sheet.settle(p)
	return p, nil
}

func (s *SunTable) check() error {
	for m := range 12 {
		if err := finite("the sun of "+time.Month(m+1).String(), append(s.GHIWm2[m][:], s.DailyKWh[m])...); err != nil {
			return err
		}
		if slices.Min(s.GHIWm2[m][:]) < 0 {
			return fmt.Errorf("chart: the sun of %s is negative", time.Month(m+1))
		}
	}
	if len(s.Sunrise) != len(s.Sunset) || (len(s.Sunrise) != 0 && len(s.Sunrise) != 365 && len(s.Sunrise) != 366) {
		return fmt.Errorf("chart: there are %d sunrises and %d sunsets, not one for each day of a year", len(s.Sunrise), len(s.Sunset))
	}
	return nil
}

func (s *SunTable) alt(o *options, place string) string {
	bm, bh, lo, hi := 0, 0, 0, 0
	for m := range 12 {
		for h, v := range s.GHIWm2[m] {
			if v > s.GHIWm2[bm][bh] {
				bm, bh = m, h
			}
		}
		if s.DailyKWh[m] < s.DailyKWh[lo] {
			lo = m
		}
		if s.DailyKWh[m] > s.DailyKWh[hi] {
			hi = m
		}
	}
	month := func(m int) string { return o.locale.months[m] }
	return fmt.Sprintf(wordSunYearAlt, place, o.locale.number(s.GHIWm2[bm][bh], 0), month(bm), clock(float64(bh)),
		o.locale.number(s.DailyKWh[lo], 1), month(lo), o.locale.number(s.DailyKWh[hi], 1), month(hi))
}

type sunPicture struct {
	s        *SunTable
	o        *options
	f, sheet *frame
	top      float64
	polarDay bool // the hour of its label is kept free
}

func (v *sunPicture) cells() {
	for m := range 12 {
		v.top = max(v.top, slices.Max(v.s.GHIWm2[m][:]))
	}
	v.top = niceTop(max(v.top, 1), 5)
	for d, h := range v.s.Sunrise {
		v.polarDay = v.polarDay || math.IsNaN(h) && math.IsNaN(v.s.Sunset[d])
	}
	v.f.add("night", func(n *nib) { n.fill(n.rect(0, 0, 12, 24), nightShade) })
	v.f.add("irradiance", func(n *nib) {
		for m := range 12 {
			for h, w := range v.s.GHIWm2[m] {
				if w >= 0.5 {
					n.fill(n.rect(float64(m), float64(h), float64(m+1), float64(h+1)), sunRamp.at(w/v.top))
				}
			}
		}
	})
	// The numbers around noon, so that the picture holds without colour.
	for m := range 12 {
		for h, w := range v.s.GHIWm2[m] {
			if h%2 == 0 && w >= 1 && !(v.polarDay && h == polarHour) && !v.crossed(m, h) {
				ground := sunRamp.at(w / v.top)
				v.f.textShift(inkLetter.in(inkOn(ground)), float64(m)+0.5, float64(h)+0.5, 0, 0, v.o.locale.number(w, 0), midCentre)
			}
		}
	}
}

// crossed reports whether the sun rises or sets through the text in a cell.
func (v *sunPicture) crossed(month, hour int) bool {
	days := len(v.s.Sunrise)
	for d := range days {
		if x := monthPosition(d, days); x < float64(month)+0.1 || x > float64(month)+0.9 {
			continue
		}
		for _, h := range []float64{v.s.Sunrise[d], v.s.Sunset[d]} {
			if h > float64(hour)-0.25 && h < float64(hour)+1.25 {
				return true
			}
		}
	}
	return false
}

// polarHour is where the words for a day without sunset stand.
const polarHour = 22

// polar names the parts of the year in which the sun does not set or rise.
func (v *sunPicture) polar() {
	days := len(v.s.Sunrise)
	for from := 0; from < days; from++ {
		if !math.IsNaN(v.s.Sunrise[from]) || !math.IsNaN(v.s.Sunset[from]) {
			continue
		}
		to := from
		for to+1 < days && math.IsNaN(v.s.Sunrise[to+1]) && math.IsNaN(v.s.Sunset[to+1]) {
			to++
		}
		mid := (monthPosition(from, days) + monthPosition(to, days)) / 2
		word, hour := wordPolarNight, 12.0
		if v.s.DailyKWh[min(11, int(mid))] > 0.3 {
			word, hour = wordPolarDay, polarHour+0.5
		}
		x, y := v.f.xMM(mid), v.f.yMM(hour)
		if inkLetter.widthMM(word)+1 <= v.f.xMM(monthPosition(to, days))-v.f.xMM(monthPosition(from, days)) {
			v.sheet.halo(textBox(inkLetter, x, y, word, midCentre).grow(0.5))
			v.sheet.text(inkLetter, x, y, word, midCentre)
		}
		from = to
	}
}

// horizon draws sunrise and sunset, broken where there is none.
func (v *sunPicture) horizon() {
	days := len(v.s.Sunrise)
	if days == 0 {
		return
	}
	var side []sideLabel
	for _, line := range []struct {
		kind  string
		hours []float64
	}{{wordSunrise, v.s.Sunrise}, {wordSunset, v.s.Sunset}} {
		var run []point
		flush := func() {
			if len(run) > 1 {
				piece := run
				v.f.add(line.kind, func(n *nib) {
					n.stroke(piece, paper, curvePt+1.4, nil)
					n.stroke(piece, ink, curvePt, nil)
				})
			}
			run = nil
		}
		for d, h := range line.hours {
			if math.IsNaN(h) || h < 0 || h > 24 || (len(run) > 0 && math.Abs(h-run[len(run)-1].y) > 12) {
				flush()
			}
			if !math.IsNaN(h) && h >= 0 && h <= 24 {
				run = append(run, point{monthPosition(d, days), h})
			}
		}
		flush()
		if last := line.hours[days-1]; !math.IsNaN(last) {
			side = append(side, sideLabel{text: line.kind, letter: inkLetter, y: v.f.yMM(min(max(last, 0), 24))})
		}
	}
	sideLabels(v.sheet, v.f.box.Right, v.f.box.Top+1.5, v.f.box.Bottom-1.5, side)
}

// monthPosition is where a day of the year lies on an axis of equal months.
func monthPosition(day, days int) float64 {
	year := 2025
	if days == 366 {
		year = 2024
	}
	t := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, day)
	length := time.Date(year, t.Month()+1, 0, 0, 0, 0, 0, time.UTC).Day()
	return float64(t.Month()-1) + (float64(t.Day())-0.5)/float64(length)
}
