package weather

import (
	"math"
	"time"

	"tripsim/internal/solar"
)

// Air temperature through the day: Parton & Logan 1981, A model for diurnal
// variation in soil and air temperature, Agricultural Meteorology 23: 205-216,
// with their figures for air at 1.5 m. From the minimum, shortly before
// sunrise, a sine rises to the maximum about 1.7 h after noon and falls to
// sunset; after sunset the temperature decays exponentially to the next day's
// minimum. The decay is scaled to arrive there exactly, where the original
// stops a tenth above it and jumps, so that the curve is continuous from day
// to day.
const (
	partonA = 1.86  // hours that the maximum lags noon
	partonB = 2.20  // decay over the night
	partonC = -0.17 // hours from sunrise to the minimum
	// Days shorter or longer than this keep these lengths: near the poles the
	// formula's night or day would vanish.
	shortestDayH = 7.0
	longestDayH  = 18.0
)

// A sunCycle is a day for the temperature: from its minimum to the next.
type sunCycle struct {
	lowest  time.Time // instant of the minimum
	dayH    float64   // hours of daylight in the formula
	sunsetH float64   // hours from the minimum to sunset
}

func cycleOn(date time.Time, p solar.Place, middle time.Time) sunCycle {
	doy := float64(date.YearDay())
	dayH := clamp(solar.SunsetHourAngleDeg(p.LatDeg, solar.DeclinationSpencerDeg(doy))/7.5, shortestDayH, longestDayH)
	noonMin := 720 - 4*p.LonDeg - solar.EquationOfTimeSpencerMin(doy)
	noon := date.Add(time.Duration(noonMin * float64(time.Minute)))
	// A date that was crossed at the date line: take the noon of the day's steps.
	noon = noon.Add(time.Duration(math.Round(middle.Sub(noon).Hours()/24)) * 24 * time.Hour)
	return sunCycle{
		lowest:  noon.Add(-time.Duration((dayH/2 - partonC) * float64(time.Hour))),
		dayH:    dayH,
		sunsetH: dayH - partonC,
	}
}

// share gives the weights of this cycle's minimum and maximum and of the next
// cycle's minimum at an instant, given when that next minimum comes. The
// weights add up to one.
func (c sunCycle) share(t, next time.Time) (low, high, nextLow float64) {
	sine := func(h float64) float64 { return math.Sin(math.Pi * h / (c.dayH + 2*partonA)) }
	h := t.Sub(c.lowest).Hours()
	if h <= c.sunsetH {
		s := sine(max(h, 0))
		return 1 - s, s, 0
	}
	night := next.Sub(c.lowest).Hours() - c.sunsetH
	x := 1.0
	if night > 0 {
		x = clamp((h-c.sunsetH)/night, 0, 1)
	}
	end := math.Exp(-partonB)
	g := (math.Exp(-partonB*x) - end) / (1 - end)
	s := sine(c.sunsetH)
	return g * (1 - s), g * s, 1 - g
}
