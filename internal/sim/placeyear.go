package sim

import (
	"fmt"
	"math"
	"time"

	"tripsim/internal/solar"
	"tripsim/internal/weather"
)

// PlaceYear is a year of sun and air at a place: what the built-in climate and
// the simulated weather around it say, month by month.
type PlaceYear struct {
	Position  solar.Place // with the elevation that was used
	Zone      *time.Location
	Year      int
	Months    [12]PlaceMonth
	GHIWm2    [12][24]float64 // mean on level ground by month and local clock hour
	Sunrise   []float64       // local clock hour by day of the year; NaN = none
	Sunset    []float64
	Mean      PlaceMonth // over the year
	BestTilt  Tilt       // the one tilt that gives most over the year
	PanelW    float64    // rated power that the yields are for
	Draws     int        // simulated years behind DullShare and PoorKWhM2
	NearestKM float64    // distance to the climate data
	Source    string     // attribution
}

// PlaceMonth is one month. Energies are means per day.
type PlaceMonth struct {
	GHIKWhM2      float64 // global irradiation on level ground
	ClearGHIKWhM2 float64 // the same under a clear sky; NaN where the sun stays too low for the model
	Clearness     float64 // GHI over the extraterrestrial; NaN where the sun hardly rises
	DaylightH     float64 // upper limb above the horizon
	TempMinC      float64
	TempMaxC      float64
	FlatWh        float64 // yield of a level panel
	YearTiltWh    float64 // yield at the year's best tilt
	BestWh        float64 // yield at the month's best tilt
	Best          Tilt
	DullShare     float64 // share of days with less than a third of what the day has on average; NaN = no sun
	GreyShare     float64 // the same for a half
	PoorKWhM2     float64 // one day in ten has less; NaN = no sun
	days          float64
}

// Tilt is how a panel stands that faces north or south.
type Tilt struct {
	Deg   float64 // from the horizontal
	South bool    // which way it faces
}

// PlaceOptions are the choices of a PlaceYear.
type PlaceOptions struct {
	PanelW float64
	Sky    solar.SkyModel // of diffuse light on the panel
	Albedo float64        // ground reflectance, 0..1
	Seed   uint64
	Draws  int // simulated years; 0 = none
	Year   int // whose calendar and clock changes are used
}

// DefaultPlaceOptions are 100 W, a ground reflectance of 0.2 and 100 simulated
// years.
func DefaultPlaceOptions() PlaceOptions {
	return PlaceOptions{PanelW: 100, Albedo: 0.2, Seed: 1, Draws: 100, Year: 2026}
}

const (
	placeStep = 15 * time.Minute
	// noSunKWhM2 is a day's irradiation below which there is no sun to speak of.
	noSunKWhM2 = 0.05
)

// YearAt describes the sun at a place, for a local clock. An elevation of NaN
// takes the climate's own. It fails for coordinates that are none.
func YearAt(at solar.Place, zone *time.Location, opt PlaceOptions) (*PlaceYear, error) {
	n, err := weather.NormalsAt(at)
	if err != nil {
		return nil, err
	}
	if !(opt.PanelW > 0) || math.IsInf(opt.PanelW, 0) {
		return nil, fmt.Errorf("a panel of %g W is not above 0 W; use e.g. 100", opt.PanelW)
	}
	at.ElevationM = n.ElevationM
	y := &PlaceYear{Position: at, Zone: zone, Year: opt.Year, PanelW: opt.PanelW, Draws: opt.Draws, NearestKM: n.NearestKM, Source: n.Source}
	w := &yearWork{y: y, opt: opt, normals: &n}
	if err := w.layOut(); err != nil {
		return nil, err
	}
	w.sun()
	w.horizon()
	w.yields()
	w.variety()
	w.sumUp()
	return y, nil
}

// yearWork is a PlaceYear in the making.
type yearWork struct {
	y       *PlaceYear
	opt     PlaceOptions
	normals *weather.Normals
	plan    *weather.Plan
	series  *weather.Series
	start   time.Time
	day     []int32 // per step
	month   []int8  // per day, 0..11
	hour    []int8  // per step, local clock
}

// layOut makes the steps of the local year.
func (w *yearWork) layOut() error {
	zone, year := w.y.Zone, w.y.Year
	w.start = time.Date(year, 1, 1, 0, 0, 0, 0, zone).UTC()
	end := time.Date(year+1, 1, 1, 0, 0, 0, 0, zone).UTC()
	steps := int(end.Sub(w.start) / placeStep)
	grid := weather.Grid{StartUTC: w.start, Step: placeStep, Places: make([]solar.Place, steps), Day: make([]int32, steps)}
	w.hour = make([]int8, steps)
	var days []weather.DaySpec
	for t := range steps {
		local := w.start.Add(time.Duration(t) * placeStep).In(zone)
		date := time.Date(year, local.Month(), local.Day(), 0, 0, 0, 0, time.UTC)
		if len(days) == 0 || date.After(days[len(days)-1].Date) {
			days = append(days, weather.DaySpec{Place: w.y.Position, Date: date, GHIKWhM2: math.NaN(), TempMinC: math.NaN(), TempMaxC: math.NaN()})
			w.month = append(w.month, int8(local.Month()-1))
		}
		grid.Places[t], grid.Day[t], w.hour[t] = w.y.Position, int32(len(days)-1), int8(local.Hour())
	}
	w.day = grid.Day
	var err error
	if w.plan, err = weather.NewPlan(grid, days); err != nil {
		return err
	}
	w.series = w.plan.NewSeries()
	return nil
}

// sun fills in the means of typical weather and of the clear sky.
func (w *yearWork) sun() {
	y := w.y
	w.plan.Typical(w.series)
	var steps [12][24]float64
	for _, m := range w.month {
		y.Months[m].days++
	}
	h := placeStep.Hours() / 1000
	for t, iv := range w.plan.Intervals() {
		m := w.month[w.day[t]]
		p := &y.Months[m]
		p.GHIKWhM2 += w.series.GHIWm2[t] * h / p.days
		p.ClearGHIKWhM2 += iv.ClearGHIWm2 * h / p.days
		y.GHIWm2[m][w.hour[t]] += w.series.GHIWm2[t]
		steps[m][w.hour[t]]++
	}
	for m := range 12 {
		p, n := &y.Months[m], &w.normals.Months[m]
		for hour := range 24 {
			y.GHIWm2[m][hour] /= math.Max(1, steps[m][hour])
		}
		p.TempMinC, p.TempMaxC = n.TempMinC, n.TempMaxC
		p.Clearness = n.ClearnessIndex
		if p.ClearGHIKWhM2 < p.GHIKWhM2 {
			p.ClearGHIKWhM2 = math.NaN()
		}
		if p.GHIKWhM2 < noSunKWhM2 {
			p.Clearness = math.NaN()
		}
	}
}

// horizon fills in sunrise, sunset and daylight of every day.
func (w *yearWork) horizon() {
	y := w.y
	at := func(t time.Time) float64 {
		if t.IsZero() {
			return math.NaN()
		}
		l := t.In(y.Zone)
		return float64(l.Hour()) + float64(l.Minute())/60 + float64(l.Second())/3600
	}
	for d, m := range w.month {
		noon := time.Date(y.Year, 1, 1+d, 12, 0, 0, 0, y.Zone)
		ev := solar.EventsAround(noon, y.Position)
		y.Sunrise, y.Sunset = append(y.Sunrise, at(ev.Sunrise)), append(y.Sunset, at(ev.Sunset))
		p := &y.Months[m]
		p.DaylightH = math.Min(24, p.DaylightH+ev.DaylightH/p.days) // rounding
	}
}
