package sim

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"tripsim/internal/weather"
)

// FixKind names a single change to trip, use or system.
type FixKind string

// The changes that are tried.
const (
	MoreDriving        FixKind = "more driving"
	PoweredNight       FixKind = "powered night"
	PortablePanel      FixKind = "portable panel"
	LargerCharger      FixKind = "larger charger"
	LargerBattery      FixKind = "larger battery"
	WarmerFridge       FixKind = "warmer fridge"
	InverterOffAtNight FixKind = "inverter off at night"
	InverterWhenNeeded FixKind = "inverter when needed"
	WithoutLoad        FixKind = "without appliance"
	FullStart          FixKind = "full start"
	BatteryHeater      FixKind = "battery heater"
)

// Fix is a single change and what it does to the risk.
type Fix struct {
	Kind FixKind
	// Day and Place say where in the trip, for a change to a day; else zero.
	Day   time.Time
	Place string
	// What names the appliance or unit that is changed, "" otherwise.
	What string
	// From and To are the figure before and after: hours of driving, A, Ah, W,
	// degrees Celsius, state of charge.
	From, To float64
	// Each says that From and To are those of the first of several that differ:
	// each is changed by To less From.
	Each bool
	// Adds names equipment that the change needs besides, "" = none.
	Adds string

	Risk *Risk
	// The differences are less the trip as it is, on the same draws: of the share of
	// draws not carried with the goal's reserve, flat risk and unserved energy.
	Missed, Flat, Unserved Difference
	// Cut is what still cuts appliances off in typical weather with the change
	// made, though the battery does not go flat; "" = nothing does.
	Cut EventKind
	// Others are the same change on other days, best first.
	Others []Fix

	trip   *Trip
	loads  []Load
	system *System
}

// Changed returns the trip, appliances and system with the change made.
func (f *Fix) Changed() (*Trip, []Load, *System) { return f.trip, f.loads, f.system }

// Advice is what would fix a trip that goes flat.
type Advice struct {
	System  *System
	Goal    Goal
	Draws   int
	Weather string
	Before  *Risk
	// FlattestDay is the day with the highest flat risk; zero without any.
	FlattestDay time.Time
	Fixes       []Fix // fewest trips not carried first
}

// lookBackDays is how many days up to the worst one are tried for a change.
const lookBackDays = 10

// Advise tries single changes to a system's trip, each on the same draws as the
// trip as it is, and ranks them by the share of draws not carried with the goal's
// reserve, then by flat risk and unserved energy. A trip that is carried in every
// draw needs no fix and gets none.
func (s *Study) Advise(ctx context.Context, sys *System, goal Goal, draws int, progress Progress) (*Advice, error) {
	draws, err := s.drawsFor(draws)
	if err != nil {
		return nil, err
	}
	first, err := s.Ensemble(ctx, []*System{sys}, draws, nil)
	if err != nil {
		return nil, err
	}
	a := &Advice{System: sys, Goal: goal, Draws: draws, Weather: s.source.Describe(), Before: first[0]}
	missed := first[0].NotCarried(goal.Reserve).Share
	if missed == 0 {
		return a, nil
	}
	run, err := s.RunDraw(sys, first[0].WorstDraw)
	if err != nil {
		return nil, err
	}
	worst := -1 // no day to change: appliances are cut off, but the battery holds
	switch {
	case first[0].FlatDraws > 0:
		worst = flattestDay(first[0])
		a.FlattestDay = first[0].ByDay[worst].Date
	case missed > first[0].Short.Share: // for want of reserve
		worst = lowestDay(run)
	}
	fixes := s.candidates(sys, worst, run)
	if len(fixes) == 0 {
		return a, nil
	}
	if err := s.tryFixes(ctx, sys, fixes, goal.Reserve, draws, progress); err != nil {
		return nil, err
	}
	a.Fixes = rankFixes(slices.DeleteFunc(fixes, func(f Fix) bool { return f.idle(a.Before) }), goal.Reserve)
	return a, nil
}

// idle reports whether a change leaves every figure of the trip as it was: it
// touches nothing that this system runs.
func (f *Fix) idle(before *Risk) bool {
	r := f.Risk
	return f.Flat.Mean == 0 && f.Unserved.Mean == 0 &&
		r.Unserved == before.Unserved && r.Reserve == before.Reserve && r.FlatHours == before.FlatHours && r.Spilled == before.Spilled
}

func flattestDay(r *Risk) int {
	best := 0
	for i := range r.ByDay {
		if r.ByDay[i].Flat.Share > r.ByDay[best].Flat.Share {
			best = i
		}
	}
	return best
}

// lowestDay is the day on which the battery comes nearest to its cut-off.
func lowestDay(r *Result) int {
	low := 0
	for t := range r.Rows {
		if row, least := &r.Rows[t], &r.Rows[low]; row.SoC-row.FloorSoC < least.SoC-least.FloorSoC {
			low = t
		}
	}
	return r.Slots[low].Day
}

// tryFixes runs all changes, so many at a time as memory holds.
func (s *Study) tryFixes(ctx context.Context, sys *System, fixes []Fix, reserve float64, draws int, progress Progress) error {
	all := len(fixes)
	for done := 0; done < all; {
		some := fixes[done:min(all, done+s.changesAtOnce())]
		var part Progress
		if progress != nil {
			part = func(n, _ int) { progress((done*draws+n*len(some))/all, draws) }
		}
		if err := s.tryTogether(ctx, sys, some, reserve, draws, part); err != nil {
			return err
		}
		done += len(some)
	}
	return nil
}

// tryTogether runs changes beside the trip as it is.
func (s *Study) tryTogether(ctx context.Context, sys *System, fixes []Fix, reserve float64, draws int, progress Progress) error {
	studies := make([]*Study, len(fixes))
	plans := make([][]*plan, len(fixes))
	for i := range fixes {
		f := &fixes[i]
		var err error
		if studies[i], err = s.changed(f.trip, f.loads); err != nil {
			return err
		}
		if plans[i], err = studies[i].plansFor([]*System{f.system}); err != nil {
			return err
		}
	}
	base, err := s.plansFor([]*System{sys})
	if err != nil {
		return err
	}
	teams := make([]*comparer, s.workersWith(draws, 1+len(fixes)))
	for i := range teams {
		first, err := s.newWorker(base)
		if err != nil {
			return err
		}
		workers := []*worker{first}
		for j, st := range studies {
			w, err := st.newWorker(plans[j])
			if err != nil {
				return err
			}
			w.series = first.series
			workers = append(workers, w)
		}
		teams[i] = newComparer(make([]int, len(workers)), workers...)
		teams[i].reserve = reserve
	}
	sum, err := runComparers(ctx, teams, draws, progress)
	if err != nil {
		return err
	}
	for i := range fixes {
		f := &fixes[i]
		f.Risk = sum.lanes[i+1].tally.risk(s, f.system)
		p := &sum.paired[i+1]
		f.Missed, f.Flat, f.Unserved = p.missed.Difference(), p.flat.Difference(), p.unserved.difference()
		if f.Risk.Unserved.Q50 > missedWh {
			typical, err := studies[i].Typical(f.system)
			if err != nil {
				return err
			}
			f.Cut = typical.cutsOff()
		}
	}
	return nil
}

// cutsOff is the limit that cuts appliances off for most of the time; "" = none.
func (r *Result) cutsOff() EventKind {
	hours := map[EventKind]float64{}
	for i := range r.Events {
		hours[r.Events[i].Kind] += r.Events[i].Hours
	}
	kind := EventKind("")
	for _, k := range []EventKind{Overload, OverCurrent, LowVoltage} {
		if hours[k] > hours[kind] {
			kind = k
		}
	}
	return kind
}

// Matters reports whether a change makes a difference beyond the chance of the
// draws: the interval of its trips not carried, its flat risk or its unserved
// energy leaves zero out. Unserved energy that no one misses does not count, and in
// a single draw there is no chance.
func (f *Fix) Matters(a *Advice) bool {
	for _, d := range []Difference{f.Missed, f.Flat} {
		if d.Certain() || a.Draws == 1 && d.Mean != 0 {
			return true
		}
	}
	return math.Abs(f.Unserved.Mean) >= missedWh && (f.Unserved.Certain() || a.Draws == 1)
}

// Enough reports whether a change alone does: no more trips than accepted are
// not carried.
func (f *Fix) Enough(goal Goal) bool { return f.Risk.NotCarried(goal.Reserve).Share <= goal.FlatRisk }

// changed is the study with another itinerary (of the same days and zones) or
// other appliances under the very same sky: its draws are filled by s.
func (s *Study) changed(trip *Trip, loads []Load) (*Study, error) {
	v := *s
	if trip != s.trip {
		it, err := layOut(trip, s.opt.Step)
		if err != nil {
			return nil, err
		}
		if len(it.slots) != len(s.it.slots) {
			return nil, fmt.Errorf("a change of the trip must keep its length: %d steps, not %d", len(s.it.slots), len(it.slots))
		}
		for t := range it.slots {
			it.slots[t].Up = s.it.slots[t].Up
		}
		it.fillHeights(s.it.place)
		if !slices.Equal(it.place, s.it.place) {
			v.planes = &planeCache{}
		}
		v.trip, v.it = trip, it
	}
	if trip != s.trip || !sameLoads(loads, s.demand.loads) {
		v.demand = newDemand(v.it, loads)
	}
	v.source = sameSky{s.source}
	return &v, nil
}

// sameLoads tells whether two lists of appliances are one.
func sameLoads(a, b []Load) bool {
	return len(a) == len(b) && (len(a) == 0 || &a[0] == &b[0])
}

// sameSky leaves a series as another study has filled it.
type sameSky struct{ weather.Source }

func (sameSky) Fill(uint64, *weather.Series) {}

// rankFixes puts the best change first and gathers changes of a day under the
// best one of their kind.
func rankFixes(fixes []Fix, reserve float64) []Fix {
	sort.SliceStable(fixes, func(i, j int) bool {
		a, b := fixes[i].Risk, fixes[j].Risk
		if x, y := a.NotCarried(reserve).Share, b.NotCarried(reserve).Share; x != y {
			return x < y
		}
		if a.FlatDraws != b.FlatDraws {
			return a.FlatDraws < b.FlatDraws
		}
		return a.Unserved.Mean < b.Unserved.Mean
	})
	var out []Fix
	for _, f := range fixes {
		if !f.Day.IsZero() {
			if i := slices.IndexFunc(out, func(o Fix) bool { return o.Kind == f.Kind }); i >= 0 {
				out[i].Others = append(out[i].Others, f)
				continue
			}
		}
		out = append(out, f)
	}
	return out
}

// withDay returns the trip with one of its days (counted from 0) changed.
func (t *Trip) withDay(index int, change func(*Stop)) *Trip {
	out := &Trip{Name: t.Name}
	at := 0
	for _, stop := range t.Stops {
		if index < at || index >= at+stop.Days {
			out.Stops = append(out.Stops, stop)
			at += stop.Days
			continue
		}
		before, after := index-at, at+stop.Days-index-1
		part := func(from, days int) *Stop {
			if days == 0 {
				return nil
			}
			p := stop
			p.Date, p.Days = stop.Date.AddDate(0, 0, from), days
			out.Stops = append(out.Stops, p)
			return &out.Stops[len(out.Stops)-1]
		}
		part(0, before)
		change(part(before, 1))
		part(before+1, after)
		at += stop.Days
	}
	return out
}
