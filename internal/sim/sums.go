package sim

import (
	"math"
	"slices"

	"tripsim/internal/profiles"
)

// sums are the appliances of a draw added up by slot.
type sums struct {
	dcW     [2][]float64 // mean W: [0] essential appliances, [1] those that may be shed
	dcPeakW []float64    // highest DC power in the slot
	ac      [2]acTrace   // [0] essential appliances, [1] all
	work    runWork
}

// runWork is what laying out runs needs, kept from draw to draw.
type runWork struct {
	loads [2][]int // per trace
	edges []edge
	on    []int
	brief []bool // by load: what it is on for now is soon over
	count []int32
}

// acTrace is AC power by slot: what runs, stretch by stretch, since inverter
// and battery have to bear the power while it runs and not its mean.
type acTrace struct {
	baseW    []float64 // fridges, mean W; whether the inverter can start and run a compressor is looked at apart
	standbyW []float64 // drawn only while the inverter is on
	runs     []acRun   // in order of time
	first    []int32   // runs of slot t are runs[first[t]:first[t+1]]
	shared   bool      // runs and first belong to other sums
}

// acRun is a stretch of a slot in which the same appliances are on.
type acRun struct {
	from   float64 // elapsed hours
	share  float64 // of the slot
	lowW   float64 // beyond standby; of what draws without a duty cycle
	meanW  float64 // beyond standby; duty cycles averaged
	peakW  float64 // beyond standby; all of them drawing at once
	peakVA float64 // the same as apparent power
	lastVA float64 // the part of it that is on for longer than [profiles.BriefH]
}

func newSums(n int) sums {
	s := sums{dcPeakW: make([]float64, n)}
	for c := range 2 {
		s.dcW[c] = make([]float64, n)
		s.ac[c] = acTrace{baseW: make([]float64, n), standbyW: make([]float64, n), first: make([]int32, n+1)}
	}
	return s
}

// copyFrom makes s equal to o, for fridges to be added; the runs are shared.
func (s *sums) copyFrom(o *sums) {
	copy(s.dcPeakW, o.dcPeakW)
	for c := range 2 {
		copy(s.dcW[c], o.dcW[c])
		copy(s.ac[c].baseW, o.ac[c].baseW)
		copy(s.ac[c].standbyW, o.ac[c].standbyW)
		s.ac[c].runs, s.ac[c].first, s.ac[c].shared = o.ac[c].runs, o.ac[c].first, true
	}
}

// addUp fills s from a usage, without fridges; loads with without[i] are left
// out.
func (d *demand) addUp(s *sums, u *usage, without []bool) {
	clear(s.dcPeakW)
	for c := range 2 {
		clear(s.dcW[c])
		clear(s.ac[c].baseW)
		clear(s.ac[c].standbyW)
	}
	ac := &s.work.loads
	ac[0], ac[1] = ac[0][:0], ac[1][:0]
	for i := range d.loads {
		l := &d.loads[i]
		switch {
		case l.Kind == Fridge || (without != nil && without[i]):
		case l.Supply == DC:
			d.addDC(s, u, i)
		default:
			ac[1] = append(ac[1], i)
			if l.Essential {
				ac[0] = append(ac[0], i)
			}
		}
	}
	for c := range 2 {
		d.layRuns(&s.ac[c], u, ac[c], &s.work)
	}
}

func (d *demand) addDC(s *sums, u *usage, i int) {
	l := &d.loads[i]
	dst := s.dcW[l.class()]
	for t, w := range u.meanW[i] {
		if w == 0 {
			continue
		}
		dst[t] += w
		if u.onShare[i][t] > 0 {
			s.dcPeakW[t] += math.Max(l.Watts, l.StandbyW)
		} else {
			s.dcPeakW[t] += l.StandbyW
		}
	}
}

// edge is the start or the end of a span of an AC appliance.
type edge struct {
	at    float64
	load  int
	on    bool
	brief bool // of a start: over within [profiles.BriefH]
}

// layRuns cuts the time in which any of the loads is on into stretches with
// the same loads on, and those at the slots' borders.
func (d *demand) layRuns(a *acTrace, u *usage, loads []int, work *runWork) {
	edges := work.edges[:0]
	for _, i := range loads {
		l := &d.loads[i]
		for n := range d.it.days {
			if day := &d.it.days[n]; l.standbyW() > 0 && day.applies(l.Days) {
				d.it.spread(day.span, l.standbyW(), a.standbyW, nil)
			}
		}
		edges = appendEdges(edges, i, u.spans[i])
	}
	slices.SortFunc(edges, edge.compare)
	if a.shared {
		a.runs, a.first, a.shared = nil, make([]int32, len(d.it.slots)+1), false
	}
	a.runs = a.runs[:0]
	if work.count == nil {
		work.count, work.brief = make([]int32, len(d.it.slots)), make([]bool, len(d.loads))
	}
	count, on := work.count, work.on[:0]
	clear(count)
	for e := range edges {
		on = toggle(on, edges[e])
		if edges[e].on {
			work.brief[edges[e].load] = edges[e].brief
		}
		if e+1 == len(edges) || edges[e+1].at == edges[e].at {
			continue // the rest of this instant first: many appliances start together
		}
		if len(on) > 0 {
			d.cutRun(a, u, work, on, interval{edges[e].at, edges[e+1].at})
		}
	}
	for t, n := range count {
		a.first[t+1] = a.first[t] + n
	}
	work.edges, work.on = edges, on
}

// appendEdges appends the starts and ends of the spans of a load. Spans that touch
// are one stretch of time for an inverter.
func appendEdges(edges []edge, load int, spans []interval) []edge {
	for from := 0; from < len(spans); {
		to := from + 1
		for to < len(spans) && spans[to].from <= spans[to-1].to+1e-9 {
			to++
		}
		brief := spans[to-1].to-spans[from].from <= profiles.BriefH+1e-9
		for _, v := range spans[from:to] {
			edges = append(edges, edge{v.from, load, true, brief}, edge{v.to, load, false, false})
		}
		from = to
	}
	return edges
}

// compare puts edges in order of time, an end before a start at the same time.
func (x edge) compare(y edge) int {
	switch {
	case x.at < y.at:
		return -1
	case x.at > y.at:
		return 1
	case x.on == y.on:
		return x.load - y.load
	case y.on:
		return -1
	default:
		return 1
	}
}

// toggle adds a load to those that are on, or takes it away once.
func toggle(on []int, e edge) []int {
	if e.on {
		return append(on, e.load)
	}
	if i := slices.Index(on, e.load); i >= 0 {
		return slices.Delete(on, i, i+1)
	}
	return on
}

// cutRun appends the pieces of a stretch, slot by slot.
func (d *demand) cutRun(a *acTrace, u *usage, work *runWork, on []int, v interval) {
	var r acRun
	for _, i := range on {
		l := &d.loads[i]
		standby := l.standbyW()
		mean := u.onPowerW(d, i)
		r.meanW += mean
		if l.Duty >= 1 {
			r.lowW += mean
		}
		r.peakW += math.Max(0, l.Watts-standby)
		va := l.apparentVA(math.Max(0, l.Watts-standby))
		r.peakVA += va
		if !work.brief[i] {
			r.lastVA += va
		}
	}
	r.peakW = math.Max(r.peakW, r.meanW) // used more than planned
	r.peakVA = math.Max(r.peakVA, r.peakW)
	h, count := d.it.stepH, work.count
	for t := max(0, int(math.Floor(v.from/h))); t < len(count) && float64(t)*h < v.to; t++ {
		if r.share = v.overlap(float64(t)*h, float64(t+1)*h) / h; r.share > 0 {
			r.from = math.Max(v.from, float64(t)*h)
			a.runs = append(a.runs, r)
			count[t]++
		}
	}
}

// onPowerW is the mean power beyond standby of load i while it is on: the power
// in the share of the time of its duty, standby in the rest.
func (u *usage) onPowerW(d *demand, i int) float64 {
	l := &d.loads[i]
	k := 1.0
	if u.factors != nil && l.Kind != Uses {
		k = u.factors[i]
	}
	return l.Duty * math.Max(0, l.Watts-l.standbyW()) * k
}
