package weather

import (
	"errors"
	"fmt"
	"math"
	"time"

	"tripsim/internal/solar"
)

// DaySpec is one local day of a trip.
type DaySpec struct {
	Place solar.Place // where the day's weather is taken; elevation NaN = from the climate table
	Date  time.Time   // midnight UTC of the civil date
	// Overrides of the day's mean; NaN = from the climate. Draws vary around them.
	// Of the sun at most 90 % of what reaches the air on the way of that day is
	// taken: the figure is of a stop, the day may be spent far from it.
	GHIKWhM2, TempMinC, TempMaxC float64
}

// MostClearness is the largest share of a day's sun outside the air that is
// taken to reach the ground.
const MostClearness = 0.9

// Grid is the time axis of a trip: equal steps, where each is, and to which
// local day it belongs (a local day may have 23, 24, 25 or any hours).
type Grid struct {
	StartUTC time.Time
	Step     time.Duration
	Places   []solar.Place // per step; elevation NaN = that of its day
	Day      []int32       // per step: index into the days
	// Linke is the turbidity of the clear sky, 1 or more; 0 = by the rule of
	// place and month. It shapes the days and caps their clearness; the mean of
	// a day's sun stays that of the climate.
	Linke float64
}

// A Plan holds everything about a trip's weather that does not vary between
// draws: the sun and clear sky of every step, and the distribution that each
// day is drawn from. It is read-only once made; any number of workers may use
// it, each with its own [Series].
type Plan struct {
	grid      Grid
	days      []planDay
	intervals []solar.Interval
	lit       []int32   // indices of the steps with sun, day after day
	envelope  []float64 // per lit step: highest GHI, W/m2
	shape     []float64 // per lit step: GHI in the shape of the clear sky for a clearness of one, W/m2
	lowSun    []float64 // per lit step: 1 - sin of the sun's height
	noiseLag  float64   // step to step
	noiseSD   float64   // of a step, for a unit spread of the hour
	cycle     []int32   // per step: the temperature cycle it lies in
	weights   [][3]float64
	guessed   []bool // per step: the trip does not give its height; nil = it gives all
}

// A planDay is a day with its steps, sun and distributions.
type planDay struct {
	spec            DaySpec
	normals         *Normals
	first, last     int     // range in lit
	i0, clear       float64 // sums over its steps, W/m2
	envelope        float64
	mean            float64 // clearness index, mean of the draws
	sun             dayClearness
	tempMin         float64
	tempMax         float64
	tempSD          float64 // of (max+min)/2, K
	rangeSD         float64 // sd of the logarithm of max-min
	rangeLag        float64
	diffuse         float64 // share of the typical day's irradiation that is diffuse
	steps           int
	middle          time.Time
	sunsetHourAngle float64
}

// NewPlan prepares a trip. Every step must belong to a day and every day have
// a step; coordinates and overrides are checked; all errors come at once.
func NewPlan(g Grid, days []DaySpec) (*Plan, error) {
	if err := checkPlan(g, days); err != nil {
		return nil, err
	}
	g.Places = append([]solar.Place(nil), g.Places...)
	p := &Plan{grid: g, days: make([]planDay, len(days))}
	p.grid.StartUTC = g.StartUTC.UTC()
	p.noiseLag, p.noiseSD = stepNoise(g.Step.Hours())
	p.lookUp(days)
	p.integrateSun()
	p.sortLit()
	for i := range p.days {
		p.prepareDay(i)
	}
	p.prepareTemperature()
	return p, nil
}

func checkPlan(g Grid, days []DaySpec) error {
	var errs []error
	fail := func(format string, a ...any) { errs = append(errs, fmt.Errorf(format, a...)) }
	if g.Step < time.Second || g.Step > 6*time.Hour {
		fail("step %v is not between one second and six hours", g.Step)
	}
	if !(g.Linke == 0 || g.Linke >= 1 && g.Linke <= 10) {
		fail("a Linke turbidity of %g is not 1 to 10, or 0 for the rule", g.Linke)
	}
	if len(g.Places) == 0 || len(g.Places) != len(g.Day) {
		fail("%d places and %d days for the steps: give one of each per step", len(g.Places), len(g.Day))
	}
	seen := make([]bool, len(days))
	for i, d := range g.Day {
		if int(d) < 0 || int(d) >= len(days) {
			fail("step %d: day %d is not one of the %d days", i, d, len(days))
			break
		}
		seen[d] = true
	}
	var last solar.Place
	for i, p := range g.Places {
		if i > 0 && p == last {
			continue
		}
		if err := checkPlace(p); err != nil {
			fail("step %d: %w", i, err)
		}
		last = p
	}
	for i, d := range days {
		if !seen[i] {
			fail("day %d has no step", i+1)
		}
		if err := checkPlace(d.Place); err != nil {
			fail("day %d: %w", i+1, err)
		}
		if d.GHIKWhM2 < 0 || d.GHIKWhM2 > 20 {
			fail("day %d: %g kWh/m2 of sun is not possible", i+1, d.GHIKWhM2)
		}
		for _, t := range []float64{d.TempMinC, d.TempMaxC} {
			if t < -100 || t > 70 {
				fail("day %d: %g degrees Celsius is not an air temperature", i+1, t)
			}
		}
		if d.TempMinC > d.TempMaxC {
			fail("day %d: lowest temperature %g is above the highest %g", i+1, d.TempMinC, d.TempMaxC)
		}
	}
	return errors.Join(errs...)
}

// lookUp takes the climate of each day and fills missing elevations.
func (p *Plan) lookUp(days []DaySpec) {
	known := map[[3]float64]*Normals{}
	for i, d := range days {
		key := [3]float64{d.Place.LatDeg, d.Place.LonDeg, d.Place.ElevationM}
		if math.IsNaN(key[2]) {
			key[2] = math.Inf(1)
		}
		n := known[key]
		if n == nil {
			made := normalsFrom(climateCells(), d.Place)
			n = &made
			known[key] = n
		}
		d.Date = d.Date.UTC()
		d.Place.ElevationM = n.ElevationM
		p.days[i] = planDay{spec: d, normals: n}
	}
	for i := range p.grid.Places {
		if math.IsNaN(p.grid.Places[i].ElevationM) {
			if p.guessed == nil {
				p.guessed = make([]bool, len(p.grid.Places))
			}
			p.guessed[i] = true
			p.grid.Places[i].ElevationM = p.days[p.grid.Day[i]].spec.Place.ElevationM
		}
	}
}

func (p *Plan) integrateSun() {
	p.intervals = make([]solar.Interval, len(p.grid.Places))
	for i, place := range p.grid.Places {
		start := p.stepStart(i)
		p.intervals[i] = solar.IntervalAt(start, p.grid.Step, place, p.grid.Linke)
	}
}

func (p *Plan) stepStart(i int) time.Time {
	return p.grid.StartUTC.Add(time.Duration(i) * p.grid.Step)
}

// sortLit lists the steps with sun by day, and adds up each day's sun.
func (p *Plan) sortLit() {
	count := make([]int, len(p.days)+1)
	for i, iv := range p.intervals {
		d := &p.days[p.grid.Day[i]]
		d.steps++
		if d.steps == 1 {
			d.middle = p.stepStart(i)
		}
		if iv.I0HorizWm2 > 0 {
			d.i0 += iv.I0HorizWm2
			d.clear += iv.ClearGHIWm2
			count[p.grid.Day[i]+1]++
		}
	}
	for i := range p.days {
		count[i+1] += count[i]
		d := &p.days[i]
		d.first, d.last = count[i], count[i]
		d.middle = d.middle.Add(time.Duration(d.steps) * p.grid.Step / 2)
	}
	n := count[len(p.days)]
	p.lit, p.envelope, p.shape, p.lowSun = make([]int32, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i, iv := range p.intervals {
		if iv.I0HorizWm2 > 0 {
			d := &p.days[p.grid.Day[i]]
			p.lit[d.last] = int32(i)
			p.lowSun[d.last] = clamp(1-iv.CosZ, 0, 1)
			d.last++
		}
	}
}

// prepareDay sets the mean and distribution of a day's sun and temperature.
func (p *Plan) prepareDay(i int) {
	d := &p.days[i]
	doy, lat := float64(d.spec.Date.YearDay()), d.spec.Place.LatDeg
	normal := d.normals.On(doy)
	d.prepareAir(normal)
	d.sunsetHourAngle = solar.SunsetHourAngleDeg(lat, solar.DeclinationSpencerDeg(doy))
	hours := p.grid.Step.Hours()
	outside := solar.DailyExtraterrestrialKWhM2(doy, lat)
	stepsKWh := d.i0 * hours / 1000
	whole := float64(d.steps)*hours >= 22 && float64(d.steps)*hours <= 26
	d.mean = normal.ClearnessIndex
	if ratio := outside / stepsKWh; whole && outside > minDarkKWhM2 && ratio > 0.85 && ratio < 1.05 {
		d.mean *= ratio // the steps' sun is lifted by refraction, the climate's is not
	}
	if d.last == d.first {
		return // the sun does not rise
	}
	if ghi := d.spec.GHIKWhM2; !math.IsNaN(ghi) {
		reference := stepsKWh
		if !whole {
			reference = outside
		}
		d.mean = clamp(ghi/max(reference, 1e-6), 0.001, MostClearness) // a dark day may have lit steps
	}
	p.prepareSky(d)
}

// prepareSky makes the distribution of the day's clearness and the envelope of
// its irradiance: the clear sky, raised where the climate is brighter than the
// turbidity rule allows, never above 95 % of the light outside the air.
func (p *Plan) prepareSky(d *planDay) {
	bright := 0.0
	for _, s := range p.lit[d.first:d.last] {
		bright += brightSkyWm2(&p.intervals[s])
	}
	clearKT := bright / d.i0
	d.sun = clearnessFor(d.mean, d.spec.Place.LatDeg, 1.05*clearKT)
	best := d.sun.q[zPoints-1]
	raise := max(1, 1.001*best/max(clearKT, 1e-6))
	p.makeEnvelope(d, raise)
	for d.envelope < best*d.i0 && raise < 4 { // the limit at 95 % bites
		raise *= 1.1
		p.makeEnvelope(d, raise)
	}
	if d.envelope < best*d.i0 { // a sun so low that the clear-sky model gives next to nothing
		p.plainEnvelope(d)
	}
	w := normalHats()
	d.diffuse = 0
	for j, k := range d.sun.q {
		d.diffuse += w[j] * k * solar.ErbsDaily(k, d.sunsetHourAngle) / d.mean
	}
}

func (p *Plan) makeEnvelope(d *planDay, raise float64) {
	d.envelope = 0
	for j := d.first; j < d.last; j++ {
		iv := &p.intervals[p.lit[j]]
		p.envelope[j] = min(raise*brightSkyWm2(iv), 0.95*iv.I0HorizWm2)
		p.shape[j] = iv.ClearGHIWm2 * d.i0 / max(d.clear, 1e-9)
		d.envelope += p.envelope[j]
	}
}

// plainEnvelope takes the light outside the air for shape and limit.
func (p *Plan) plainEnvelope(d *planDay) {
	d.envelope = 0.95 * d.i0
	for j := d.first; j < d.last; j++ {
		p.shape[j] = p.intervals[p.lit[j]].I0HorizWm2
		p.envelope[j] = 0.95 * p.shape[j]
	}
}

// brightSkyWm2 is the clear sky with the brightening at low sun that Ineichen
// & Perez 2002 give beside their formula, exp(0.01 AM^1.8), held to an airmass
// of 10: without it winter days at high latitude could not reach the clearness
// that stations have there.
func brightSkyWm2(iv *solar.Interval) float64 {
	if iv.Up <= 0 {
		return 0
	}
	airmass := 1 / clamp(iv.CosZ/iv.Up, 0.1, 1)
	return min(iv.ClearGHIWm2*math.Exp(0.01*math.Pow(airmass, 1.8)), max(iv.ClearGHIWm2, 0.75*iv.I0HorizWm2))
}

func (d *planDay) prepareAir(normal DayNormal) {
	d.tempMin, d.tempMax = normal.TempMinC, normal.TempMaxC
	spread := d.tempMax - d.tempMin
	if !math.IsNaN(d.spec.TempMinC) {
		d.tempMin = d.spec.TempMinC
		d.tempMax = max(d.tempMax, d.tempMin+spread/2)
	}
	if !math.IsNaN(d.spec.TempMaxC) {
		d.tempMax = d.spec.TempMaxC
		if math.IsNaN(d.spec.TempMinC) {
			d.tempMin = min(d.tempMin, d.tempMax-spread/2)
		}
	}
	sd := d.normals.tempSDK(normal)
	d.tempSD = meanShare * sd
	if spread = d.tempMax - d.tempMin; spread > 0 {
		d.rangeSD = math.Sqrt(math.Log1p(math.Pow(clamp(rangeShare*sd/spread, rangeSpreadMin, rangeSpreadMax), 2)))
	}
}

// prepareTemperature finds for every step the temperature cycle it lies in and
// its weights on that cycle's minimum and maximum and the next minimum. Cycle
// 0 is the day before the trip, the last the day after it.
func (p *Plan) prepareTemperature() {
	cycles := make([]sunCycle, 0, len(p.days)+2)
	first, last := &p.days[0], &p.days[len(p.days)-1]
	day := 24 * time.Hour
	cycles = append(cycles, cycleOn(first.spec.Date.Add(-day), first.spec.Place, first.middle.Add(-day)))
	for i := range p.days {
		d := &p.days[i]
		if d.last > d.first {
			d.rangeLag = rangeOwnLag1(d.sun.lag1)
		} else {
			d.rangeLag = rangeOwnLag1(0)
		}
		cycles = append(cycles, cycleOn(d.spec.Date, d.spec.Place, d.middle))
	}
	cycles = append(cycles, cycleOn(last.spec.Date.Add(day), last.spec.Place, last.middle.Add(day)))
	p.cycle = make([]int32, len(p.intervals))
	p.weights = make([][3]float64, len(p.intervals))
	for i := range p.intervals {
		t := p.stepStart(i).Add(p.grid.Step / 2)
		j := int(p.grid.Day[i]) + 1
		for j > 0 && t.Before(cycles[j].lowest) {
			j--
		}
		for j+1 < len(cycles) && !t.Before(cycles[j+1].lowest) {
			j++
		}
		next := cycles[j].lowest.Add(day)
		if j+1 < len(cycles) {
			next = cycles[j+1].lowest
		}
		p.cycle[i] = int32(j)
		low, high, nextLow := cycles[j].share(t, next)
		p.weights[i] = [3]float64{low, high, nextLow}
	}
}

// Places are where each step is, with the elevation that was not given filled
// in from the climate table. Read only.
func (p *Plan) Places() []solar.Place { return p.grid.Places }

// Intervals are the sun and clear sky of each step. Read only.
func (p *Plan) Intervals() []solar.Interval { return p.intervals }
