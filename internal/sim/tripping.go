package sim

import (
	"math"

	"tripsim/internal/profiles"
)

// An inverter that trips, on low voltage or because the battery's protection
// acts, is switched on again when what was too much has ended: its appliances
// are without power while those runs last that the battery does not bear, and
// have it for the rest of the slot (common practice, no source: units restart by
// themselves or are restarted by whoever waits for the kettle). So the step's
// length hardly matters; in a slot that a drive or mains shares with the run, the
// mean of what they give counts for it.

// cut is what a tripped inverter does not give, means over the slot.
type cut struct {
	inW   float64 // battery power spared
	outW  float64 // appliances without power
	share float64 // of the slot
	mostW float64 // what the inverter could have taken
}

// tripping is where the kernel looks up what runs in a slot whose peak is too
// much.
type tripping struct {
	inv   *profiles.Inverter
	own   *sums // the appliances that may hang on it
	fixed []fixedSlot
	airC  []float64
}

// lost adds up the runs of slot t that take more than mostInW into the inverter
// at their peak; last is the last class of appliances that is on.
func (x *tripping) lost(t, last int, mostInW float64) cut {
	c := cut{mostW: mostInW}
	x.each(t, last, mostInW, func(r *acRun, may, out, in float64) {
		c.inW += may * r.share * in
		c.outW += may * r.share * out
		c.share += may * r.share
	})
	return c
}

// each calls f for those runs with the share of the slot in which the inverter
// may run, and what it would have given and taken, mean W while the run lasts.
func (x *tripping) each(t, last int, mostInW float64, f func(r *acRun, may, out, in float64)) {
	limits := limitsAt(x.inv, x.airC[t])
	mine := &x.own.ac[last]
	base := mine.baseW[t] + mine.standbyW[t]
	may := (1 - x.fixed[t].siteShare) * x.fixed[t].mayRun
	for i := mine.first[t]; i < mine.first[t+1]; i++ {
		r := &mine.runs[i]
		if r.peakW <= 0 {
			continue
		}
		if out, in, full := r.through(x.inv, base, limits.of(r, base)); x.inv.InputW(full) > mostInW {
			f(r, may, out, in)
		}
	}
}

// mostInW is the most that the inverter can take in slot t without tripping,
// beside what else is on, W; the slot's own peak is more by definition.
func (k *kernel) mostInW(d *drive, e, r, ampA, powW float64) float64 {
	mostA := min(k.pack.TripA, (e-k.cutV)/r)
	busW := (e-mostA*r)*(ampA+mostA) + powW
	return min(busW, d.peakW*(1-1e-9)) - (d.loadW - d.acInW)
}

// tripLosses splits what a tripped inverter did not give among its appliances,
// Wh, by slot: nil where nothing tripped.
func (a *accountant) tripLosses() map[int][]float64 {
	out := map[int][]float64{}
	for t := range a.r.Rows {
		if a.r.Rows[t].TripH > 0 {
			out[t] = a.tripLoss(t)
		}
	}
	return out
}

// tripLoss is that of slot t: each appliance loses what it draws in the runs
// that ended, at most what it would have got; what overloads leave unclear is
// split in proportion.
func (a *accountant) tripLoss(t int) []float64 {
	loads := a.plan.study.demand.loads
	lost, got := make([]float64, len(loads)), make([]float64, len(loads))
	sum := 0.0
	for i := range loads {
		if wh := a.r.Traces.LoadW[i][t] * a.k.stepH; wh > 0 && loads[i].Supply == AC {
			_, _, _, got[i] = a.acAsked(i, t, wh)
			lost[i] = math.Min(got[i], a.inTrippedRuns(i, t))
			sum += lost[i]
		}
	}
	total := a.tripped[t].outW * a.k.stepH
	scale := math.Min(1, total/math.Max(sum, 1e-12))
	rest, room := total, 0.0
	for i := range lost {
		lost[i] *= scale
		rest -= lost[i]
		room += got[i] - lost[i]
	}
	if rest > 0 && room > 0 {
		for i := range lost {
			lost[i] += math.Min(1, rest/room) * (got[i] - lost[i])
		}
	}
	return lost
}

// inTrippedRuns is what AC appliance i draws in slot t while the runs last that
// tripped the inverter, Wh.
func (a *accountant) inTrippedRuns(i, t int) float64 {
	x, d := &a.out.trace.trips, a.plan.study.demand
	last := 1
	if a.r.Rows[t].Shed {
		last = 0
	}
	baseW := d.standbyAt(i, t)
	if d.loads[i].Kind == Fridge {
		baseW = a.r.Traces.LoadW[i][t]
	}
	onW, wh := a.out.used.onPowerW(d, i), 0.0
	x.each(t, last, a.tripped[t].mostW, func(r *acRun, may, _, _ float64) {
		run := interval{r.from, r.from + r.share*a.k.stepH}
		for _, v := range a.out.used.spans[i] {
			wh += may * onW * v.overlap(run.from, run.to)
		}
		wh += may * baseW * (run.to - run.from)
	})
	return wh
}
