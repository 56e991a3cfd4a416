package chart

import (
	"errors"
	"fmt"
	"math"
	"time"

	"tripsim/internal/sim"
)

// trail reads a result along its time line: hours since the trip's start.
type trail struct {
	r     *sim.Result
	stepH float64
	endH  float64
}

// span is a stretch of time, hours since the trip's start.
type span struct{ from, to float64 }

// newTrail checks that a result can be drawn.
func newTrail(r *sim.Result) (*trail, error) {
	switch {
	case r == nil || r.Trip == nil || r.System == nil:
		return nil, errors.New("chart: there is no result to draw")
	case len(r.Rows) == 0 || len(r.Days) == 0 || r.Step <= 0:
		return nil, errors.New("chart: the result has no steps to draw")
	case len(r.Rows) != len(r.Slots):
		return nil, fmt.Errorf("chart: the result has %d steps but %d slots", len(r.Rows), len(r.Slots))
	}
	next := 0
	for i := range r.Days {
		d := &r.Days[i]
		if d.FirstRow != next || d.EndRow <= d.FirstRow || d.EndRow > len(r.Rows) {
			return nil, fmt.Errorf("chart: day %d of the result does not follow on the day before", i+1)
		}
		next = d.EndRow
		if err := finite(fmt.Sprintf("day %d of the result", i+1), d.FlatH, d.LowSoC, d.EndSoC); err != nil {
			return nil, err
		}
	}
	if next != len(r.Rows) {
		return nil, errors.New("chart: the days of the result do not cover its steps")
	}
	for i := range r.Rows {
		if !(r.Rows[i].SoC >= -1e-6 && r.Rows[i].SoC <= 1+1e-6) { // a NaN fails too
			return nil, fmt.Errorf("chart: the state of charge of step %d is %v, not a share of 0 to 1", i+1, r.Rows[i].SoC)
		}
		if err := finite(fmt.Sprintf("step %d of the result", i+1), r.Rows[i].FlatH, r.Slots[i].Up, r.Slots[i].DriveH,
			r.Slots[i].MainsH, r.Slots[i].GenH, r.Slots[i].LocalH); err != nil {
			return nil, err
		}
	}
	if err := finite("the result", r.StartSoC, r.MinSoC, r.LowSoC, r.FlatH); err != nil {
		return nil, err
	}
	stepH := r.Step.Hours()
	return &trail{r, stepH, stepH * float64(len(r.Rows))}, nil
}

// hour is where an instant lies.
func (t *trail) hour(at time.Time) float64 { return at.Sub(t.r.Slots[0].Start).Hours() }

// day is the span of a local day: 23 or 25 hours where the clocks change.
func (t *trail) day(i int) span {
	return span{float64(t.r.Days[i].FirstRow) * t.stepH, float64(t.r.Days[i].EndRow) * t.stepH}
}

// spans joins the steps in which part hours are active. A step that is active
// in part has its active part next to its active neighbour.
func (t *trail) spans(part func(i int) float64) []span {
	var out []span
	for i := range t.r.Rows {
		h := min(part(i), t.stepH)
		if h <= 1e-9 {
			continue
		}
		from := float64(i) * t.stepH
		if n := len(out); n > 0 && out[n-1].to > from-1e-9 {
			out[n-1].to = from + h
			continue
		}
		to := from + h
		if i+1 < len(t.r.Rows) && part(i+1) > 1e-9 { // it starts inside the step
			from, to = from+t.stepH-h, from+t.stepH
		}
		out = append(out, span{from, to})
	}
	return out
}

func (t *trail) nights() []span {
	return t.spans(func(i int) float64 { return (1 - t.r.Slots[i].Up) * t.stepH })
}

func (t *trail) driving() []span {
	return t.spans(func(i int) float64 { return t.r.Slots[i].DriveH })
}

func (t *trail) mains() []span {
	return t.spans(func(i int) float64 { return t.r.Slots[i].MainsH })
}

func (t *trail) generator() []span {
	return t.spans(func(i int) float64 { return t.r.Slots[i].GenH })
}

func (t *trail) refused() []span {
	return t.spans(func(i int) float64 {
		if t.r.Rows[i].Refused {
			return t.stepH
		}
		return 0
	})
}

// flats are the flat spells; from the list of spells, to the minute.
func (t *trail) flats() []span {
	var out []span
	for _, s := range t.r.Flats {
		out = append(out, span{max(0, t.hour(s.Start)), min(t.endH, t.hour(s.End))})
	}
	return out
}

// localClock is the local clock hour at an instant.
func (t *trail) localClock(hour float64) float64 {
	i := min(len(t.r.Slots)-1, max(0, int(hour/t.stepH)))
	return math.Mod(t.r.Slots[i].LocalH+hour-float64(i)*t.stepH, 24)
}

// dayAt is the index of the local day of an instant; a midnight belongs to the
// day that ends there.
func (t *trail) dayAt(hour float64) int {
	for i := range t.r.Days {
		if hour <= t.day(i).to+1e-9 {
			return i
		}
	}
	return len(t.r.Days) - 1
}

// thin reduces a curve to what can be seen: in each of n equal buckets of x the
// first, lowest, highest and last point, in their order (Jugel et al. 2014).
func thin(pts []point, n int) []point {
	if len(pts) <= 4*n {
		return pts
	}
	x0, width := pts[0].x, (pts[len(pts)-1].x-pts[0].x)/float64(n)
	var out []point
	for i := 0; i < len(pts); {
		edge := x0 + width*math.Floor((pts[i].x-x0)/width+1)
		j, lo, hi := i, i, i
		for ; j < len(pts) && (pts[j].x < edge || j == i); j++ {
			if pts[j].y < pts[lo].y {
				lo = j
			}
			if pts[j].y > pts[hi].y {
				hi = j
			}
		}
		last := -1
		for _, k := range []int{i, min(lo, hi), max(lo, hi), j - 1} {
			if k > last {
				out = append(out, pts[k])
				last = k
			}
		}
		i = j
	}
	return out
}
