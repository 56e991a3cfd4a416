package sim

import (
	"fmt"
	"math/rand/v2"
	"time"

	"tripsim/internal/profiles"
	"tripsim/internal/solar"
	"tripsim/internal/weather"
)

// Study is a trip with its appliances, laid out once: slots, geometry of the
// sun, planned demand. Systems and weather draws are run on it. It is safe for
// concurrent use; only Replay has to come before.
type Study struct {
	trip      *Trip
	opt       Options
	it        *itinerary
	sky       *weather.Plan
	intervals []solar.Interval
	demand    *demand
	climate   []StopClimate
	source    weather.Source
	planes    *planeCache
}

// NewStudy lays out a trip. It fails when the trip has no stop, is longer than
// MaxDays, the step does not divide an hour, a position is off the globe, or
// days, steps and appliances together need more than MaxMemory.
func NewStudy(trip *Trip, loads []Load, opt Options) (*Study, error) {
	it, err := layOut(trip, opt.Step)
	if err != nil {
		return nil, err
	}
	if err := checkDemand(it, len(loads), opt); err != nil {
		return nil, err
	}
	s := &Study{trip: trip, opt: opt, it: it, planes: &planeCache{}}
	days := make([]weather.DaySpec, len(it.days))
	for i := range it.days {
		d := &it.days[i]
		stop := &trip.Stops[d.stop]
		days[i] = weather.DaySpec{
			Place: d.placeAt((d.span.from + d.span.to) / 2), Date: d.date,
			GHIKWhM2: stop.SunKWhM2, TempMinC: stop.TempMinC, TempMaxC: stop.TempMaxC,
		}
	}
	s.sky, err = weather.NewPlan(weather.Grid{StartUTC: it.start, Step: opt.Step, Places: it.place, Day: it.dayOf, Linke: opt.Linke}, days)
	if err != nil {
		return nil, fmt.Errorf("weather: %w", err)
	}
	it.fillHeights(s.sky.Places())
	s.intervals = s.sky.Intervals()
	for t := range it.slots {
		it.slots[t].Up = s.intervals[t].Up
	}
	s.demand = newDemand(it, loads)
	s.source = s.sky.Synthetic(opt.Seed)
	if s.climate, err = climateOf(trip); err != nil {
		return nil, err
	}
	return s, nil
}

// climateOf looks up what the climate table says of every stop.
func climateOf(trip *Trip) ([]StopClimate, error) {
	out := make([]StopClimate, len(trip.Stops))
	for i := range trip.Stops {
		st := &trip.Stops[i]
		n, err := weather.NormalsAt(st.Position)
		if err != nil {
			return nil, fmt.Errorf("stop %d (%s): %w", i+1, st.Place, err)
		}
		doy := float64(st.Date.AddDate(0, 0, st.Days/2).YearDay())
		day := n.On(doy)
		c := StopClimate{
			Place: st.Place, NearestKM: n.NearestKM, ElevationM: n.ElevationM, Source: n.Source,
			GHIKWhM2: day.ClearnessIndex * solar.DailyExtraterrestrialKWhM2(doy, st.Position.LatDeg),
			TempMinC: day.TempMinC, TempMaxC: day.TempMaxC,
		}
		if st.SunKWhM2 == st.SunKWhM2 {
			c.GHIKWhM2, c.Override = st.SunKWhM2, true
		}
		if st.TempMinC == st.TempMinC {
			c.TempMinC, c.Override = st.TempMinC, true
		}
		if st.TempMaxC == st.TempMaxC {
			c.TempMaxC, c.Override = st.TempMaxC, true
		}
		out[i] = c
	}
	return out, nil
}

// Replay makes the study's draws come from a weather record.
func (s *Study) Replay(rec *weather.Record, mode weather.ReplayMode) error {
	src, err := s.sky.Replay(rec, mode)
	if err != nil {
		return err
	}
	s.source = src
	return nil
}

// Draws returns how many weather draws there are; 0 = as many as wanted.
func (s *Study) Draws() int { return s.source.Draws() }

// Trip returns the trip of the study.
func (s *Study) Trip() *Trip { return s.trip }

// Typical runs a system through the mean weather of places and dates.
func (s *Study) Typical(sys *System) (*Result, error) {
	series := s.sky.NewSeries()
	s.sky.Typical(series)
	return s.full(sys, series, nil, "typical weather: the monthly means of these places")
}

// RunDraw runs a system through one weather draw.
func (s *Study) RunDraw(sys *System, k uint64) (*Result, error) {
	series := s.sky.NewSeries()
	s.source.Fill(k, series)
	return s.full(sys, series, s.useOf(k), fmt.Sprintf("%s, draw %d", s.source.Describe(), k))
}

// WorstDraw runs a system through the worst of its draws in an ensemble.
func (s *Study) WorstDraw(r *Risk) (*Result, error) {
	out, err := s.RunDraw(r.System, r.WorstDraw)
	if err == nil {
		out.Weather = fmt.Sprintf("the worst of %d draws, number %d: %s", r.Draws, r.WorstDraw, s.source.Describe())
	}
	return out, err
}

// use is the spread in use of a draw.
type use struct {
	usage            // what the appliances do
	driven []float64 // share of the planned driving that is done, by day
	pcg    rand.PCG
	rng    *rand.Rand
}

func (s *Study) newKernel(p *plan, tr *trace) (*kernel, error) {
	pack, err := profiles.NewPack(p.sys.Battery, s.it.stepH)
	if err != nil {
		return nil, fmt.Errorf("system %s: %w", p.sys.Name, err)
	}
	return &kernel{
		pack: pack, units: p.units, stepH: s.it.stepH, cutV: p.sys.Inverter.CutoffV,
		shedSoC: p.sys.ShedSoC, drives: tr.drives, shed: tr.shed, air: tr.air, pvBusW: tr.pvBusW, trips: &tr.trips,
	}, nil
}

// Step returns the length of a slot.
func (s *Study) Step() time.Duration { return s.opt.Step }
