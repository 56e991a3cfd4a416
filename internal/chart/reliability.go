package chart

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"tripsim/internal/sim"
)

// Calibration holds forecast risks against what happened in a real year.
type Calibration struct {
	Trip      string
	Weather   string // what real weather it was
	Trips     int
	Brier     float64 // mean squared error of the forecasts
	BrierMean float64 // the same of always forecasting the observed mean
	Classes   []RiskClass
}

// RiskClass is a class of similar forecasts.
type RiskClass struct {
	Forecast float64        // mean forecast, 0..1
	Observed sim.Proportion // share that went flat
	Trips    int
}

// Reliability draws the observed share of flat trips against the forecast,
// class by class with intervals, beside the diagonal on which both agree; bars
// below tell how many trips each class holds (Murphy & Winkler 1977,
// "Reliability of subjective probability forecasts of precipitation and
// temperature", Applied Statistics 26(1): 41-47).
func Reliability(c Calibration, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	if err := c.check(); err != nil {
		return nil, err
	}
	p := &Picture{Name: "reliability", Title: wordReliability, WidthMM: o.widthMM, HeightMM: 400, AltText: spoken(c.alt(&o))}
	sheet := p.sheet()
	sub := []string{fmt.Sprintf(wordReliableSub, o.locale.number(float64(c.Trips), 0), o.locale.number(c.Brier, 3), o.locale.number(c.BrierMean, 3))}
	for _, s := range []string{c.Trip, c.Weather} {
		if s = nameOr(s, ""); s != "" {
			sub = append(sub, shorten(s, smallLetter, 60))
		}
	}
	y := p.header(sheet, &o, strings.Join(sub, nbsp+"· ")) + 2 + smallLetter.heightMM()
	const side = 78.0
	f := p.frame(Box{19, y, 19 + side, y + side}, 0, 1, 0, 1)
	ticks := []float64{0, 0.2, 0.4, 0.6, 0.8, 1}
	f.yAxis(ticks, o.locale.whole, "")
	sheet.text(smallLetter, marginMM, y-1.6, wordObserved, atLeft)
	f.add("diagonal", func(n *nib) { n.line(0, 0, 1, 1, frameGrey, rulePt, dashed) })
	for _, k := range c.Classes {
		f.add("class", func(n *nib) {
			n.whisker(k.Observed.Low, k.Observed.High, k.Forecast, false)
			n.circle(n.at(k.Forecast, k.Observed.Share), 1.25, blue, ink, thinPt)
		})
	}
	f.border()
	down := c.counts(p, sheet, f, &o)
	c.notes(sheet, f, &o)
	p.HeightMM = math.Ceil(down + marginMM)
	sheet.settle(p)
	return p, nil
}

func (c *Calibration) check() error {
	if len(c.Classes) == 0 {
		return errors.New("chart: there is no class of forecasts to draw")
	}
	if err := finite("the calibration", c.Brier, c.BrierMean); err != nil {
		return err
	}
	for i, k := range c.Classes {
		if !(k.Forecast >= 0 && k.Forecast <= 1) {
			return fmt.Errorf("chart: the forecast of class %d is %v, not a share of 0 to 1", i+1, k.Forecast)
		}
		if err := checkShare(fmt.Sprintf("the observed share of class %d", i+1), k.Observed); err != nil {
			return err
		}
		if k.Trips < 0 {
			return fmt.Errorf("chart: class %d holds %d trips", i+1, k.Trips)
		}
	}
	return nil
}

func (c *Calibration) alt(o *options) string {
	var parts []string
	for _, k := range c.Classes {
		parts = append(parts, fmt.Sprintf(wordReliableAt, o.locale.percent(k.Forecast), o.locale.percent(k.Observed.Share), o.locale.number(float64(k.Trips), 0)))
	}
	return fmt.Sprintf(wordReliableAlt, len(c.Classes), strings.Join(parts, "; "))
}

// counts draws the number of trips of each class below the diagram.
func (c *Calibration) counts(p *Picture, sheet, f *frame, o *options) float64 {
	most := 1
	for _, k := range c.Classes {
		most = max(most, k.Trips)
	}
	top := f.box.Bottom + 2
	bars := p.frame(Box{f.box.Left, top, f.box.Right, top + 14}, 0, 1, 0, float64(most)*1.05)
	for _, k := range c.Classes {
		bars.add("trips", func(n *nib) {
			a, b := n.at(k.Forecast, 0), n.at(k.Forecast, float64(k.Trips))
			r := n.rect(k.Forecast, 0, k.Forecast, 0)
			r.Min, r.Max = a.Sub(mm(1.3, 0)), b.Add(mm(1.3, 0))
			n.fillLook(look{paleGrey, ink, rising}, r)
			n.outline(r, ink, thinPt, nil)
		})
	}
	bars.border()
	sheet.text(smallLetter, f.box.Left-padMM, top+5.5, wordTrips, midRight)
	sheet.text(smallLetter, f.box.Left-padMM, top+9.5, "0–"+o.locale.number(float64(most), 0), midRight)
	return bars.box.Bottom + bars.xAxis([]float64{0, 0.2, 0.4, 0.6, 0.8, 1}, o.locale.whole, wordForecastRisk)
}

// notes names the diagonal and lists the classes at the right.
func (c *Calibration) notes(sheet, f *frame, o *options) {
	x := f.box.Right + 8
	top := f.box.Top + 2
	sheet.add("key", func(n *nib) { n.line(x, top, x+6, top, frameGrey, rulePt, dashed) })
	sheet.text(smallLetter, x+8, top, wordPerfect, midLeft)
	y := top + 6
	cols := []float64{x + 15, x + 32, x + 44}
	for i, s := range []string{wordForecast, wordHappened, wordTrips} {
		sheet.text(alertLetter, cols[i], y, s, midRight)
	}
	classes := slices.Clone(c.Classes)
	slices.SortStableFunc(classes, func(a, b RiskClass) int { return int(math.Copysign(1, a.Forecast-b.Forecast)) })
	for i, k := range classes {
		y += 4.2
		if y > f.box.Bottom-4 && i < len(classes)-1 {
			sheet.text(inkLetter, cols[0], y, ellipsis, midRight)
			return
		}
		sheet.text(inkLetter, cols[0], y, o.locale.percent(k.Forecast), midRight)
		sheet.text(inkLetter, cols[1], y, o.locale.percent(k.Observed.Share), midRight)
		sheet.text(inkLetter, cols[2], y, o.locale.number(float64(k.Trips), 0), midRight)
	}
}
