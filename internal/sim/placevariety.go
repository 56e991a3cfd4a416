package sim

import (
	"math"
	"slices"
)

// variety counts, over the simulated years, how often a day is dull, and how
// little sun the poor days have.
func (w *yearWork) variety() {
	y := w.y
	typical := w.byDay()
	var dull, grey, counted [12]float64
	var kWh [12][]float64
	for k := range w.opt.Draws {
		w.plan.Draw(w.opt.Seed, uint64(k), w.series)
		for d, got := range w.byDay() {
			m := w.month[d]
			if typical[d] < noSunKWhM2 {
				continue
			}
			counted[m]++
			if got < typical[d]/3 {
				dull[m]++
			}
			if got < typical[d]/2 {
				grey[m]++
			}
			kWh[m] = append(kWh[m], got)
		}
	}
	for m := range 12 {
		p := &y.Months[m]
		p.DullShare, p.GreyShare, p.PoorKWhM2 = math.NaN(), math.NaN(), math.NaN()
		// Of a month that is dark for the most part the rest says little.
		if n := len(kWh[m]); counted[m] > 0 && counted[m] >= p.days*float64(w.opt.Draws)/2 {
			slices.Sort(kWh[m])
			p.DullShare, p.GreyShare, p.PoorKWhM2 = dull[m]/counted[m], grey[m]/counted[m], kWh[m][n/10]
		}
	}
	w.plan.Typical(w.series)
}

// byDay is the series' irradiation of every day, kWh/m2.
func (w *yearWork) byDay() []float64 {
	sums := make([]float64, len(w.month))
	for t, ghi := range w.series.GHIWm2 {
		sums[w.day[t]] += ghi * placeStep.Hours() / 1000
	}
	return sums
}

// sumUp makes the year's means of the months.
func (w *yearWork) sumUp() {
	y, a := w.y, &w.y.Mean
	var dull, grey, sunny, i0 float64
	for m := range 12 {
		p := &y.Months[m]
		share := p.days / float64(len(w.month))
		a.GHIKWhM2 += share * p.GHIKWhM2
		if !math.IsNaN(p.ClearGHIKWhM2) {
			a.ClearGHIKWhM2 += share * p.ClearGHIKWhM2
		} else {
			a.ClearGHIKWhM2 += share * p.GHIKWhM2 // next to nothing
		}
		a.DaylightH += share * p.DaylightH
		a.TempMinC += share * p.TempMinC
		a.TempMaxC += share * p.TempMaxC
		a.FlatWh += share * p.FlatWh
		a.YearTiltWh += share * p.YearTiltWh
		a.BestWh += share * p.BestWh
		if !math.IsNaN(p.DullShare) {
			dull, grey, sunny = dull+share*p.DullShare, grey+share*p.GreyShare, sunny+share
		}
		if p.Clearness > 0 {
			i0 += share * p.GHIKWhM2 / p.Clearness
		}
	}
	a.Best = y.BestTilt
	a.Clearness, a.DullShare, a.GreyShare, a.PoorKWhM2 = a.GHIKWhM2/i0, math.NaN(), math.NaN(), math.NaN()
	if sunny > 0 {
		a.DullShare, a.GreyShare = dull/sunny, grey/sunny
	}
}
