package sim

import (
	"math"
	"time"

	"tripsim/internal/solar"
)

// Tilts are tried every tiltStepDeg; the search goes in coarse steps first.
const (
	tiltStepDeg   = 5
	tiltCoarseDeg = 20
	// worthwhile is what a tilt must gain over another to be named instead.
	worthwhile = 1.0005
	// tiltEveryDays: tilts are compared on every third day, and the energies
	// brought to the whole month by the level panel's.
	tiltEveryDays = 3
)

func (t Tilt) plane() solar.Plane {
	p := solar.Plane{Mount: solar.Fixed, TiltDeg: t.Deg}
	if t.South {
		p.AzimuthDeg = 180
	}
	return p
}

// signed is the tilt as a number: towards the equator positive.
func signed(deg float64, latDeg float64) Tilt {
	toEquator := latDeg >= 0 // south of a northern place
	if deg < 0 {
		return Tilt{-deg, !toEquator}
	}
	return Tilt{deg, toEquator}
}

// yields finds what the panel gives level and at its best tilts, Wh a day. A
// tilted panel faces the equator; between the tropics and a little beyond also
// the pole, where the noon sun stands in part of the year.
func (w *yearWork) yields() {
	y := w.y
	level := w.monthlyWh(Tilt{South: y.Position.LatDeg >= 0}, 1)
	known := map[float64][12]float64{0: w.monthlyWh(Tilt{}, tiltEveryDays)}
	at := func(deg float64) [12]float64 {
		v, ok := known[deg]
		if !ok {
			v = w.monthlyWh(signed(deg, y.Position.LatDeg), tiltEveryDays)
			known[deg] = v
		}
		return v
	}
	least := 0.0
	if math.Abs(y.Position.LatDeg) < 30 {
		least = -tiltCoarseDeg * 2
	}
	scaled := func(deg float64, m int) float64 {
		if known[0][m] <= 0 {
			return at(deg)[m]
		}
		return at(deg)[m] * level[m] / known[0][m]
	}
	year := func(deg float64) (sum float64) {
		for m := range 12 {
			sum += scaled(deg, m) * y.Months[m].days
		}
		return sum
	}
	for m := range 12 {
		p := &y.Months[m]
		best := bestTilt(least, func(deg float64) float64 { return scaled(deg, m) })
		p.FlatWh, p.BestWh, p.Best = level[m], scaled(best, m), signed(best, y.Position.LatDeg)
	}
	best := bestTilt(least, year)
	y.BestTilt = signed(best, y.Position.LatDeg)
	for m := range 12 {
		p := &y.Months[m]
		if p.YearTiltWh = scaled(best, m); p.YearTiltWh > p.BestWh { // by less than is worthwhile
			p.BestWh, p.Best = p.YearTiltWh, y.BestTilt
		}
	}
}

// bestTilt finds the tilt of the highest yield, which has one maximum over the
// tilts: coarse steps, then fine ones around the best. Level wins ties.
func bestTilt(least float64, yield func(deg float64) float64) float64 {
	best := 0.0
	try := func(deg float64) {
		if deg >= least && deg <= 90 && yield(deg) > yield(best)*worthwhile {
			best = deg
		}
	}
	for deg := least; deg <= 90; deg += tiltCoarseDeg {
		try(deg)
	}
	for around, deg := best, best-tiltCoarseDeg+tiltStepDeg; deg < around+tiltCoarseDeg; deg += tiltStepDeg {
		try(deg)
	}
	return best
}

// monthlyWh is the mean daily yield of the panel by month, from every so-many
// days of typical weather.
func (w *yearWork) monthlyWh(tilt Tilt, everyDays int) (wh [12]float64) {
	y, plane := w.y, tilt.plane()
	var days [12]float64
	for d, m := range w.month {
		if d%everyDays == 0 {
			days[m]++
		}
	}
	for t, iv := range w.plan.Intervals() {
		if int(w.day[t])%everyDays != 0 || iv.I0HorizWm2 <= 0 || w.series.GHIWm2[t] <= 0 {
			continue
		}
		factors := solar.PlaneFactorsAt(w.start.Add(time.Duration(t)*placeStep), placeStep, y.Position, plane, 0)
		poa := w.opt.Sky.PlaneOfArrayWm2(w.series.GHIWm2[t], w.series.DHIWm2[t], &iv, &factors, w.opt.Albedo)
		m := w.month[w.day[t]]
		wh[m] += solar.PanelW(y.PanelW, poa, w.series.AirTempC[t], solar.DefaultPanel) * placeStep.Hours() / days[m]
	}
	return wh
}
