package sim

import (
	"context"
	"fmt"
	"math"
	"time"
)

// Season is the same trip started on different dates.
type Season struct {
	Systems []*System
	Draws   int
	Starts  []SeasonStart // in order of time
	// Dropped says that the trip's own figures of sun and temperature were put
	// aside: they belong to its own dates.
	Dropped bool
}

// SeasonStart is one start: a Risk per system.
type SeasonStart struct {
	Date  time.Time // first local day
	Risks []*Risk
	// Mean climate of the trip when started then.
	SunKWhM2, TempMinC, TempMaxC float64
}

// MonthlyStarts are twelve starts on the trip's day of the month, from January of
// its own year on; the last day of a month that has no such day.
func MonthlyStarts(trip *Trip) []time.Time {
	y, _, d := trip.Start().Date()
	out := make([]time.Time, 12)
	for m := range out {
		first := time.Date(y, time.Month(m+1), 1, 0, 0, 0, 0, time.UTC)
		last := first.AddDate(0, 1, -1).Day()
		out[m] = first.AddDate(0, 0, min(d, last)-1)
	}
	return out
}

// WeeklyStarts are 52 starts a week apart, from the trip's weekday in the first
// week of January of its own year on.
func WeeklyStarts(trip *Trip) []time.Time {
	first := time.Date(trip.Start().Year(), 1, 1, 0, 0, 0, 0, time.UTC)
	ahead := (int(trip.Start().Weekday()) - int(first.Weekday()) + 7) % 7
	out := make([]time.Time, 52)
	for w := range out {
		out[w] = first.AddDate(0, 0, ahead+7*w)
	}
	return out
}

// RunSeason runs systems on the trip started at each date, with draws weather
// draws for each. Itinerary, clock hours and appliances stay; sun, air and with
// them the fridges follow the date.
func RunSeason(ctx context.Context, trip *Trip, loads []Load, opt Options, systems []*System, starts []time.Time, draws int, progress Progress) (*Season, error) {
	if len(starts) == 0 {
		return nil, fmt.Errorf("no date to start on")
	}
	se := &Season{Systems: systems, Draws: draws}
	plain, dropped := withoutOverrides(trip)
	se.Dropped = dropped
	for i, start := range starts {
		moved := plain.Shifted(int(math.Round(start.Sub(trip.Start()).Hours() / 24)))
		s, err := NewStudy(moved, loads, opt)
		if err != nil {
			return nil, fmt.Errorf("started on %s: %w", start.Format(time.DateOnly), err)
		}
		var part Progress
		if progress != nil {
			part = func(done, total int) { progress(i*total+done, len(starts)*total) }
		}
		risks, err := s.Ensemble(ctx, systems, draws, part)
		if err != nil {
			return nil, err
		}
		st := SeasonStart{Date: start, Risks: risks}
		st.SunKWhM2, st.TempMinC, st.TempMaxC = s.meanClimate()
		se.Starts = append(se.Starts, st)
	}
	return se, nil
}

// withoutOverrides puts the trip's own figures of sun and temperature aside.
func withoutOverrides(trip *Trip) (*Trip, bool) {
	plain := &Trip{Name: trip.Name, Stops: append([]Stop(nil), trip.Stops...)}
	dropped := false
	for i := range plain.Stops {
		st := &plain.Stops[i]
		for _, v := range []*float64{&st.SunKWhM2, &st.TempMinC, &st.TempMaxC} {
			dropped = dropped || !math.IsNaN(*v)
			*v = math.NaN()
		}
	}
	return plain, dropped
}

// meanClimate is the mean of the stops' climate, weighted by days.
func (s *Study) meanClimate() (sunKWhM2, tempMinC, tempMaxC float64) {
	days := 0.0
	for i, c := range s.climate {
		n := float64(s.trip.Stops[i].Days)
		days += n
		sunKWhM2 += n * c.GHIKWhM2
		tempMinC += n * c.TempMinC
		tempMaxC += n * c.TempMaxC
	}
	return sunKWhM2 / days, tempMinC / days, tempMaxC / days
}
