package sim

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"

	"tripsim/internal/weather"
)

// MaxDraws is the largest number of weather draws that is accepted.
const MaxDraws = 1_000_000

// wearEvery is the share of draws, one in so many, on which wear is reckoned:
// rainflow counting costs as much as the run itself, and its mean needs few.
const wearEvery = 16

// Ensemble runs systems through weather draws 0..draws-1 on all cores and
// returns one Risk per system. Every system sees the same draws. The result
// does not depend on the number of cores: counts and sums are kept as
// integers, so that their order of addition cannot matter. With a replayed
// record, draws is cut to what the record holds.
//
// progress may be nil. A cancelled ctx stops the work and returns its error.
func (s *Study) Ensemble(ctx context.Context, systems []*System, draws int, progress Progress) ([]*Risk, error) {
	draws, err := s.drawsFor(draws)
	if err != nil {
		return nil, err
	}
	plans, err := s.plansFor(systems)
	if err != nil {
		return nil, err
	}
	teams := make([]*worker, s.workersWith(draws, len(systems)))
	for i := range teams {
		if teams[i], err = s.newWorker(plans); err != nil {
			return nil, err
		}
	}
	err = forEach(ctx, len(teams), draws, chunk, progress, func(w, k int) error {
		teams[w].draw(uint64(k))
		return nil
	})
	if err != nil {
		return nil, err
	}
	out := make([]*Risk, len(systems))
	for i := range systems {
		sum := teams[0].lanes[i].tally
		for _, w := range teams[1:] {
			sum.merge(w.lanes[i].tally)
		}
		out[i] = sum.risk(s, systems[i])
	}
	return out, nil
}

func (s *Study) plansFor(systems []*System) ([]*plan, error) {
	if len(systems) == 0 {
		return nil, errors.New("no system to run")
	}
	plans := make([]*plan, len(systems))
	for i, sys := range systems {
		p, err := s.newPlan(sys)
		if err != nil {
			return nil, err
		}
		plans[i] = p
	}
	return plans, nil
}

// chunk is how many draws a worker takes at a time.
const chunk = 16

// worker runs draws one after the other on its own buffers.
type worker struct {
	study  *Study
	series *weather.Series
	sums   sums
	use    *use
	lanes  []lane
	soc    []float64
}

// lane is one system within a worker.
type lane struct {
	plan  *plan
	trace *trace
	k     *kernel
	tally *tally
}

func (s *Study) newWorker(plans []*plan) (*worker, error) {
	w := &worker{study: s, series: s.sky.NewSeries(), sums: newSums(len(s.it.slots)), soc: make([]float64, len(s.it.slots)+1)}
	for _, p := range plans {
		tr := p.newTrace()
		k, err := s.newKernel(p, tr)
		if err != nil {
			return nil, err
		}
		w.lanes = append(w.lanes, lane{p, tr, k, newTally(s)})
	}
	if s.opt.UseSpread > 0 {
		w.use = s.newUse()
	}
	return w, nil
}

// weatherOf fills the worker's weather and appliances for draw k.
func (w *worker) weatherOf(k uint64) {
	s := w.study
	s.source.Fill(k, w.series)
	if w.use != nil {
		s.fillUse(w.use, k)
		s.demand.addUp(&w.sums, &w.use.usage, nil)
	} else {
		w.sums.copyFrom(&s.demand.planned)
	}
	s.demand.addFridges(&w.sums, w.series.AirTempC, nil)
}

// draw runs draw k on every lane.
func (w *worker) draw(k uint64) {
	w.weatherOf(k)
	for i := range w.lanes {
		l := &w.lanes[i]
		w.fillLane(l)
		w.runLane(l, k)
	}
}

func (w *worker) fillLane(l *lane) {
	l.plan.fill(l.trace, &w.sums, w.series.GHIWm2, w.series.DHIWm2, w.series.AirTempC, w.use)
}

// refillBus brings a filled lane to another power of all panels.
func (w *worker) refillBus(l *lane, panels float64) {
	var driven []float64
	if w.use != nil {
		driven = w.use.driven
	}
	l.plan.fillBus(l.trace, &w.sums, w.series.AirTempC, driven, panels)
}

// runLane runs the kernel over the filled traces of a lane.
func (w *worker) runLane(l *lane, k uint64) {
	s := w.study
	soc := w.soc
	soc[0] = l.plan.sys.StartSoC
	l.k.start(soc[0])
	d := drawSum{low: soc[0], reserve: soc[0] - l.k.floor(0)}
	var f flow
	for t := range s.it.slots {
		l.k.step(t, &f)
		soc[t+1] = l.k.soc
		d.add(t, &f, l)
	}
	d.check(l.k)
	l.tally.add(k, &d, soc, l)
}

// useOf returns the spread in use of draw k, or nil when use is as planned.
func (s *Study) useOf(k uint64) *use {
	if s.opt.UseSpread <= 0 {
		return nil
	}
	u := s.newUse()
	s.fillUse(u, k)
	return u
}

func (s *Study) newUse() *use {
	loads := len(s.demand.loads)
	u := &use{usage: newUsage(loads, len(s.it.slots)), driven: make([]float64, len(s.it.days))}
	u.factors = make([]float64, loads)
	u.rng = rand.New(&u.pcg)
	return u
}

// fillUse fills the spread in use of draw k: every appliance but the fridges is
// used more or less by a factor about one (log-normal, relative spread
// UseSpread): uses last longer or shorter, what runs all day or in a window
// draws more or less. Every day's driving is cut short by a half-normal share of
// the same spread.
func (s *Study) fillUse(u *use, k uint64) {
	sd, rng, factors := s.opt.UseSpread, u.rng, u.factors
	u.pcg.Seed(s.opt.Seed^0x7573655f73707264, k)
	sigma := math.Sqrt(math.Log1p(sd * sd))
	for i := range factors {
		factors[i] = math.Exp(sigma*rng.NormFloat64() - sigma*sigma/2)
	}
	for i := range u.driven {
		u.driven[i] = math.Max(0, 1-sd*math.Abs(rng.NormFloat64()))
	}
	s.demand.layUsage(&u.usage, factors)
}
