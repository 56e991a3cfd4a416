package sim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"tripsim/internal/weather"
)

// Calibration holds the risk that synthetic weather forecasts against what a
// weather record really does: the trip is started on every day of the record,
// once under the record's own weather (flat or not) and many times under
// synthetic weather for the same date.
type Calibration struct {
	Record string // its name and span
	// Place is where all stops are put: the record's place. Trips keep their own
	// places when the record does not say where it is (Moved false).
	Place   string
	Moved   bool
	Own     bool // the forecast's means are the record's, not the climate's
	Typical bool // the record is a year put together of months of several years
	Days    int  // length of the trip
	Draws   int  // synthetic draws per start
	Dropped bool // the trip's own figures of sun and temperature were put aside
	// Climate holds the record's and the climate's means.
	Climate [12]CalibratedClimate
	Systems []CalibratedSystem
}

// CalibratedClimate is a month as the record has it and as it was forecast.
type CalibratedClimate struct {
	Days                             int
	SunKWhM2, ForecastSunKWhM2       float64 // mean daily
	TempMinC, TempMaxC               float64
	ForecastTempMinC, ForecastTempMC float64
}

// CalibratedSystem is one system's forecasts and outcomes.
type CalibratedSystem struct {
	System *System
	Starts []CalibratedStart
	Months []CalibratedMonth // by month of the start, those with a start only
	All    CalibratedMonth   // Month 0
	Bins   []ReliabilityBin  // intervals as in CalibratedMonth.Observed
	Brier  Brier
}

// CalibratedStart is one start of the trip in the record.
type CalibratedStart struct {
	Date                           time.Time
	Forecast                       float64 // share of the synthetic draws that went flat
	Flat                           bool
	UnservedWh, ForecastUnservedWh float64
}

// CalibratedMonth gathers the starts of a month.
type CalibratedMonth struct {
	Month        time.Month
	Starts, Flat int
	// Observed is the share of flat starts. Starts a day apart share most of
	// their weather, so the interval counts one trip per trip length, not one per
	// start (common practice for overlapping periods, no source).
	Observed Proportion
	Forecast float64
	// UnservedWh are means per trip.
	UnservedWh, ForecastUnservedWh float64
}

// Meets reports whether the forecast lies within the interval of what was seen.
func (m *CalibratedMonth) Meets() bool {
	return m.Forecast >= m.Observed.Low && m.Forecast <= m.Observed.High
}

// Calibrate starts the trip on every day of a weather record. own takes the
// record's monthly means of sun and temperature for the forecast, so that only
// the variation from day to day is tested; otherwise the built-in climate is
// tested with it. progress counts starts.
func Calibrate(ctx context.Context, trip *Trip, loads []Load, opt Options, systems []*System, rec *weather.Record, own bool, draws int, progress Progress) (*Calibration, error) {
	if rec == nil {
		return nil, errors.New("no weather record")
	}
	if draws < 1 || draws > MaxDraws {
		return nil, fmt.Errorf("%d draws: use 1 to %d", draws, MaxDraws)
	}
	if len(systems) == 0 {
		return nil, errors.New("no system to run")
	}
	c := &Calibration{Typical: rec.Typical, Own: own, Days: trip.Days(), Draws: draws}
	first, last := rec.Span()
	c.Record = fmt.Sprintf("%s, %s to %s", rec.Name, first.Format(time.DateOnly), last.Format(time.DateOnly))
	moved, dropped := withoutOverrides(trip)
	c.Dropped = dropped
	c.moveTo(moved, rec)
	starts := startsIn(rec, moved.Days())
	if len(starts) == 0 {
		return nil, fmt.Errorf("%s is shorter than the trip of %d days", c.Record, c.Days)
	}
	job := calibrating{trip: moved, loads: loads, opt: opt, systems: systems, rec: rec, draws: draws, starts: starts}
	if err := job.observe(ctx, half(progress, 0)); err != nil {
		return nil, err
	}
	c.Climate = job.climate()
	if own {
		job.means = &c.Climate
	}
	if err := job.forecast(ctx, half(progress, 1)); err != nil {
		return nil, err
	}
	job.forecastClimate(&c.Climate)
	for i, sys := range systems {
		c.Systems = append(c.Systems, job.system(sys, i, c.Days))
	}
	return c, nil
}

// half makes one progress of two passes.
func half(p Progress, pass int) Progress {
	if p == nil {
		return nil
	}
	return func(done, total int) { p(pass*total+done, 2*total) }
}

// moveTo puts all stops at the record's place and its local clock, if it says
// where it is.
func (c *Calibration) moveTo(trip *Trip, rec *weather.Record) {
	p := rec.Place
	if math.IsNaN(p.LatDeg) || math.IsNaN(p.LonDeg) {
		c.Place = "the trip's own places"
		return
	}
	c.Moved = true
	c.Place = fmt.Sprintf("%.2f, %.2f", p.LatDeg, p.LonDeg)
	// The trip's hours are local ones: a record on another clock (UTC, say) is
	// read by the clock of its longitude.
	offsetH := rec.UTCOffset.Hours()
	if solarH := p.LonDeg / 15; math.Abs(offsetH-solarH) > 2 {
		offsetH = math.Round(solarH)
	}
	zone := time.FixedZone("record", int(math.Round(offsetH*3600)))
	for i := range trip.Stops {
		trip.Stops[i].Position, trip.Stops[i].Zone = p, zone
	}
}

// startsIn lists the dates on which a trip of so many days can start in a
// record, each calendar day once. A record of one whole year is run round.
func startsIn(rec *weather.Record, days int) []time.Time {
	first, last := rec.Span()
	seen := map[[2]int]bool{}
	var out []time.Time
	for d := first; !d.After(last); d = d.AddDate(0, 0, 1) {
		key := [2]int{int(d.Month()), d.Day()}
		if seen[key] || key == [2]int{2, 29} || !rec.WholeYear() && d.AddDate(0, 0, days-1).After(last) {
			continue
		}
		seen[key] = true
		out = append(out, d)
	}
	return out
}

// calibrating is the work on the starts.
type calibrating struct {
	trip    *Trip
	loads   []Load
	opt     Options
	systems []*System
	rec     *weather.Record
	draws   int
	starts  []time.Time
	means   *[12]CalibratedClimate // the forecast's means; nil = the climate's
	seen    []observed             // per start
	told    []forecastOf           // per start
}

type observed struct {
	years      int         // stretches of the record on these dates
	flat       [][]bool    // [year][system]
	unservedWh [][]float64 // [year][system]
	// The first day of the start.
	sunKWhM2, tempMinC, tempMaxC float64
}

type forecastOf struct {
	flat                         []float64 // share of the draws, per system
	unservedWh                   []float64
	sunKWhM2, tempMinC, tempMaxC float64
}

func (j *calibrating) studyOn(date time.Time) (*Study, error) {
	moved := j.trip.Shifted(int(math.Round(date.Sub(j.trip.Start()).Hours() / 24)))
	if j.means != nil {
		moved = withMeans(moved, j.means)
	}
	s, err := NewStudy(moved, j.loads, j.opt)
	if err != nil {
		return nil, fmt.Errorf("started on %s: %w", date.Format(time.DateOnly), err)
	}
	return s, nil
}

// withMeans gives every day of the trip the means of its month.
func withMeans(trip *Trip, means *[12]CalibratedClimate) *Trip {
	out := &Trip{Name: trip.Name}
	for _, st := range trip.Stops {
		for k := range st.Days {
			day := st
			day.Date, day.Days = st.Date.AddDate(0, 0, k), 1
			if m := &means[day.Date.Month()-1]; m.Days > 0 {
				day.SunKWhM2, day.TempMinC, day.TempMaxC = m.SunKWhM2, m.TempMinC, m.TempMaxC
			}
			out.Stops = append(out.Stops, day)
		}
	}
	return out
}

// observe runs the record's own weather on every start.
func (j *calibrating) observe(ctx context.Context, progress Progress) error {
	j.seen = make([]observed, len(j.starts))
	return forEach(ctx, workersFor(len(j.starts)), len(j.starts), 1, progress, func(_, i int) error {
		s, err := j.studyOn(j.starts[i])
		if err != nil {
			return err
		}
		if err := s.Replay(j.rec, weather.SameDates); err != nil {
			return err
		}
		run, err := s.newRunner(j.systems)
		if err != nil {
			return err
		}
		o := observed{years: s.Draws()}
		for k := range o.years {
			run.draw(uint64(k))
			o.flat = append(o.flat, append([]bool(nil), run.flat...))
			o.unservedWh = append(o.unservedWh, append([]float64(nil), run.unserved...))
			sun, low, high := s.firstDay(run.workers[0].series)
			o.sunKWhM2 += sun / float64(o.years)
			o.tempMinC += low / float64(o.years)
			o.tempMaxC += high / float64(o.years)
		}
		j.seen[i] = o
		return nil
	})
}

// forecast runs synthetic weather on every start.
func (j *calibrating) forecast(ctx context.Context, progress Progress) error {
	j.told = make([]forecastOf, len(j.starts))
	return forEach(ctx, workersFor(len(j.starts)), len(j.starts), 1, progress, func(_, i int) error {
		s, err := j.studyOn(j.starts[i])
		if err != nil {
			return err
		}
		run, err := s.newRunner(j.systems)
		if err != nil {
			return err
		}
		f := forecastOf{flat: make([]float64, len(j.systems)), unservedWh: make([]float64, len(j.systems))}
		first := uint64(i) * uint64(j.draws) // other weather for every start
		for k := range j.draws {
			if err := ctx.Err(); err != nil {
				return err
			}
			run.draw(first + uint64(k))
			for n := range j.systems {
				if run.flat[n] {
					f.flat[n]++
				}
				f.unservedWh[n] += run.unserved[n] / float64(j.draws)
			}
		}
		for n := range f.flat {
			f.flat[n] /= float64(j.draws)
		}
		series := run.workers[0].series
		s.sky.Typical(series)
		f.sunKWhM2, f.tempMinC, f.tempMaxC = s.firstDay(series)
		j.told[i] = f
		return nil
	})
}

// newRunner is a comparer for one worker that only tells each draw's outcome.
func (s *Study) newRunner(systems []*System) (*comparer, error) {
	plans, err := s.plansFor(systems)
	if err != nil {
		return nil, err
	}
	w, err := s.newWorker(plans)
	if err != nil {
		return nil, err
	}
	return newComparer(make([]int, len(systems)), w), nil
}

// firstDay is the sun and the air's range on the first day of a series.
func (s *Study) firstDay(series *weather.Series) (sunKWhM2, minC, maxC float64) {
	minC, maxC = math.Inf(1), math.Inf(-1)
	for t := range s.it.slots {
		if s.it.dayOf[t] != 0 {
			break
		}
		sunKWhM2 += series.GHIWm2[t] * s.it.stepH / 1000
		minC, maxC = min(minC, series.AirTempC[t]), max(maxC, series.AirTempC[t])
	}
	return sunKWhM2, minC, maxC
}

// climate is the mean of the record by month, from the first day of each start.
func (j *calibrating) climate() (out [12]CalibratedClimate) {
	for i, d := range j.starts {
		m, o := &out[d.Month()-1], &j.seen[i]
		m.Days++
		m.SunKWhM2 += o.sunKWhM2
		m.TempMinC += o.tempMinC
		m.TempMaxC += o.tempMaxC
	}
	for i := range out {
		if m := &out[i]; m.Days > 0 {
			n := float64(m.Days)
			m.SunKWhM2, m.TempMinC, m.TempMaxC = m.SunKWhM2/n, m.TempMinC/n, m.TempMaxC/n
		}
	}
	return out
}

func (j *calibrating) forecastClimate(out *[12]CalibratedClimate) {
	for i, d := range j.starts {
		m, f := &out[d.Month()-1], &j.told[i]
		n := float64(m.Days)
		m.ForecastSunKWhM2 += f.sunKWhM2 / n
		m.ForecastTempMinC += f.tempMinC / n
		m.ForecastTempMC += f.tempMaxC / n
	}
}

// system gathers the starts of one system.
func (j *calibrating) system(sys *System, n, days int) CalibratedSystem {
	c := CalibratedSystem{System: sys}
	for i, d := range j.starts {
		o, f := &j.seen[i], &j.told[i]
		for y := range o.years {
			c.Starts = append(c.Starts, CalibratedStart{
				Date: d, Forecast: f.flat[n], Flat: o.flat[y][n],
				UnservedWh: o.unservedWh[y][n], ForecastUnservedWh: f.unservedWh[n],
			})
		}
	}
	for m := time.January; m <= time.December; m++ {
		if g := gather(c.Starts, m, days); g.Starts > 0 {
			c.Months = append(c.Months, g)
		}
	}
	c.All = gather(c.Starts, 0, days)
	forecasts, outcomes := make([]float64, len(c.Starts)), make([]bool, len(c.Starts))
	for i := range c.Starts {
		forecasts[i], outcomes[i] = c.Starts[i].Forecast, c.Starts[i].Flat
	}
	c.Bins = Reliability(forecasts, outcomes)
	for i := range c.Bins {
		b := &c.Bins[i]
		b.Observed = wilsonShare(b.Observed.Share, max(1, float64(b.N)/float64(days)))
	}
	c.Brier = BrierOf(forecasts, outcomes)
	return c
}

// gather adds up the starts of a month; 0 = of all months.
func gather(starts []CalibratedStart, month time.Month, days int) CalibratedMonth {
	m := CalibratedMonth{Month: month}
	for i := range starts {
		st := &starts[i]
		if month != 0 && st.Date.Month() != month {
			continue
		}
		m.Starts++
		if st.Flat {
			m.Flat++
		}
		m.Forecast += st.Forecast
		m.UnservedWh += st.UnservedWh
		m.ForecastUnservedWh += st.ForecastUnservedWh
	}
	if m.Starts == 0 {
		return m
	}
	n := float64(m.Starts)
	m.Forecast, m.UnservedWh, m.ForecastUnservedWh = m.Forecast/n, m.UnservedWh/n, m.ForecastUnservedWh/n
	m.Observed = wilsonShare(float64(m.Flat)/n, max(1, n/float64(days)))
	return m
}
