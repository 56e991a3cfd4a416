package sim

import (
	"fmt"
	"math"
	"slices"
	"time"

	"tripsim/internal/profiles"
)

// drawSum is what one draw leaves behind.
type drawSum struct {
	low, reserve      float64
	flatH, unservedWh float64
	spilledWh         float64
	busWh             [4]float64 // solar, alternator, mains, transfer
	node, moved       float64    // balance of the bus, see check
}

// add books slot t of a draw.
func (d *drawSum) add(t int, f *flow, l *lane) {
	dt := l.k.stepH
	if l.k.soc < d.low {
		d.low = l.k.soc
	}
	if above := l.k.soc - l.k.floor(t); above < d.reserve {
		d.reserve = above
	}
	drv := &l.k.drives[t]
	if f.shed {
		drv = &l.k.shed[t]
	}
	d.unservedWh += drv.unservedW(f) * dt
	if f.flat > 0 {
		d.flatH += f.flat * dt
		l.tally.flatToday[l.plan.study.it.dayOf[t]] = true
	}
	bus := f.busW[0] + f.busW[1] + f.busW[2]
	d.busWh[0] += f.busW[0] * dt
	d.busWh[1] += f.busW[1] * dt
	d.busWh[2] += f.busW[2] * dt
	d.busWh[3] += drv.siteW * dt
	d.spilledWh += (l.trace.panelW[t] - f.inW[0]) * dt
	vi := f.voltV * f.iA
	d.node += math.Abs(bus - f.loadW - vi)
	d.moved += bus + f.loadW
}

// check asserts that the bus balanced in every slot of the draw.
func (d *drawSum) check(k *kernel) {
	if rel := d.node / (d.moved + 1e-6); rel > maxResidual || math.IsNaN(rel) {
		panic(fmt.Sprintf("sim: energy does not close in a draw: %g relative", rel))
	}
}

// The resolution of the streamed statistics: fixed size, whatever the number
// of draws.
const (
	socBins   = 200  // of the state of charge bands, 0.5 % each
	fineBins  = 2000 // of the reserve, 0.05 % each
	energyLow = 1e-2 // Wh; smaller counts as zero
	energyPer = 100  // bins per e-fold: 1 % each
	energyMax = 2100 // bins, to 1e7 Wh
	unit6     = 1e6  // sums are kept in millionths, as integers
)

// tally streams the draws of one system.
type tally struct {
	draws, flat int
	short       int     // draws that lack anything
	flatDays    []int64 // per local day
	flatToday   []bool  // scratch of the draw
	bandEvery   int     // slots between the points of the bands
	bands       []uint32
	reserve     [fineBins + 1]int64
	kept        [fineBins + 1]int64 // the same of draws that are neither flat nor short
	keptLast    int                 // bin of the latest draw in kept, -1 if it is flat or short
	unserved    energyHist
	spilled     energyHist
	flatH       energyHist
	reserveSum  int64
	reserveMin  float64
	reserveMax  float64
	flatDaySum  int64
	sources     [4]int64
	wear        int64
	wearDraws   int64
	worst       worstDraw
}

type worstDraw struct {
	k          uint64
	unservedWh float64
	low        float64
	any        bool
}

// worse orders draws: most unserved energy, then lowest state of charge, then
// the lower number.
func (w worstDraw) worse(o worstDraw) bool {
	switch {
	case !o.any || !w.any:
		return w.any
	case w.unservedWh != o.unservedWh:
		return w.unservedWh > o.unservedWh
	case w.low != o.low:
		return w.low < o.low
	default:
		return w.k < o.k
	}
}

// energyHist counts non-negative quantities in bins of 1 %.
type energyHist struct {
	zero     int64
	bins     [energyMax]int64
	sum      int64
	min, max float64
	n        int64
}

func (h *energyHist) add(x float64) {
	if h.n == 0 || x < h.min {
		h.min = x
	}
	if h.n == 0 || x > h.max {
		h.max = x
	}
	h.n++
	h.sum += int64(math.Round(x * unit6))
	if x < energyLow {
		h.zero++
		return
	}
	h.bins[min(energyMax-1, int(math.Log(x/energyLow)*energyPer))]++
}

func (h *energyHist) merge(o *energyHist) {
	if o.n == 0 {
		return
	}
	if h.n == 0 {
		h.min, h.max = o.min, o.max
	}
	h.min, h.max = math.Min(h.min, o.min), math.Max(h.max, o.max)
	h.n += o.n
	h.sum += o.sum
	h.zero += o.zero
	for i, c := range o.bins {
		h.bins[i] += c
	}
}

// quantile returns the value below which a share q of the draws lies, good to
// one bin (1 %).
func (h *energyHist) quantile(q float64) float64 {
	rank := q * float64(h.n)
	seen := float64(h.zero)
	if rank <= seen {
		return h.min
	}
	for i, c := range h.bins {
		if c == 0 {
			continue
		}
		if next := seen + float64(c); rank <= next {
			x := energyLow * math.Exp((float64(i)+(rank-seen)/float64(c))/energyPer)
			return math.Min(math.Max(x, h.min), h.max)
		}
		seen += float64(c)
	}
	return h.max
}

func (h *energyHist) distribution() Distribution {
	if h.n == 0 {
		return Distribution{}
	}
	return Distribution{
		Mean: float64(h.sum) / unit6 / float64(h.n), Min: h.min, Max: h.max,
		Q05: h.quantile(.05), Q25: h.quantile(.25), Q50: h.quantile(.5), Q75: h.quantile(.75), Q95: h.quantile(.95),
	}
}

func newTally(s *Study) *tally {
	perHour := int(time.Hour / s.opt.Step)
	every := perHour
	if len(s.it.days) > 60 {
		every = 6 * perHour // keeps the bands of a year's trip small
	}
	n := len(s.it.slots) / every
	return &tally{
		flatDays: make([]int64, len(s.it.days)), flatToday: make([]bool, len(s.it.days)),
		bandEvery: every, bands: make([]uint32, n*(socBins+1)),
	}
}

// add counts a draw in. soc has one entry more than there are slots.
func (y *tally) add(k uint64, d *drawSum, soc []float64, l *lane) {
	y.draws++
	if d.flatH > 0 {
		y.flat++
	}
	if d.unservedWh > missedWh {
		y.short++
	}
	for i, f := range y.flatToday {
		if f {
			y.flatDays[i]++
			y.flatDaySum++
			y.flatToday[i] = false
		}
	}
	for i, t := 0, y.bandEvery; t < len(soc); i, t = i+1, t+y.bandEvery {
		y.bands[i*(socBins+1)+bin(soc[t], socBins)]++
	}
	reserve := math.Max(0, d.reserve)
	if d.flatH > 0 {
		reserve = 0
	}
	if y.draws == 1 || reserve < y.reserveMin {
		y.reserveMin = reserve
	}
	y.reserveMax = math.Max(y.reserveMax, reserve)
	y.reserve[bin(reserve, fineBins)]++
	y.keptLast = -1
	if carried(d.flatH > 0, d.unservedWh, reserve, 0) {
		y.keptLast = bin(reserve, fineBins)
		y.kept[y.keptLast]++
	}
	y.reserveSum += int64(math.Round(reserve * unit6))
	y.unserved.add(d.unservedWh)
	y.spilled.add(math.Max(0, d.spilledWh))
	y.flatH.add(d.flatH)
	for i := range y.sources {
		y.sources[i] += int64(math.Round(d.busWh[i] * unit6))
	}
	if k%wearEvery == 0 {
		share, _ := profiles.Wear(soc, l.plan.sys.Battery.Chemistry)
		y.wear += int64(math.Round(share * 1e12))
		y.wearDraws++
	}
	if w := (worstDraw{k, d.unservedWh, d.low, true}); w.worse(y.worst) {
		y.worst = w
	}
}

// bin sorts x in 0..1 into n equal bins; what is a rounding below a bin is in it.
func bin(x float64, n int) int {
	return max(0, min(n, int(x*float64(n)+1e-9)))
}

func (y *tally) merge(o *tally) {
	if o.draws == 0 {
		return
	}
	if y.draws == 0 || o.reserveMin < y.reserveMin {
		y.reserveMin = o.reserveMin
	}
	y.reserveMax = math.Max(y.reserveMax, o.reserveMax)
	y.draws += o.draws
	y.flat += o.flat
	y.short += o.short
	for i, c := range o.flatDays {
		y.flatDays[i] += c
	}
	for i, c := range o.bands {
		y.bands[i] += c
	}
	for i, c := range o.reserve {
		y.reserve[i] += c
		y.kept[i] += o.kept[i]
	}
	y.reserveSum += o.reserveSum
	y.flatDaySum += o.flatDaySum
	y.unserved.merge(&o.unserved)
	y.spilled.merge(&o.spilled)
	y.flatH.merge(&o.flatH)
	for i, c := range o.sources {
		y.sources[i] += c
	}
	y.wear += o.wear
	y.wearDraws += o.wearDraws
	if o.worst.worse(y.worst) {
		y.worst = o.worst
	}
}

// risk turns the counts into the answer.
func (y *tally) risk(s *Study, sys *System) *Risk {
	n := float64(y.draws)
	r := &Risk{
		System: sys, Draws: y.draws, Weather: s.source.Describe(), FlatDraws: y.flat, Flat: Wilson(y.flat, y.draws), Short: Wilson(y.short, y.draws),
		Unserved: y.unserved.distribution(), Spilled: y.spilled.distribution(), FlatHours: y.flatH.distribution(),
		FlatDays: float64(y.flatDaySum) / n, WorstDraw: y.worst.k, kept: slices.Clone(y.kept[:]),
	}
	for i, c := range y.flatDays {
		r.ByDay = append(r.ByDay, DayRisk{s.it.days[i].date, Wilson(int(c), y.draws)})
	}
	for i := 0; i*(socBins+1) < len(y.bands); i++ {
		row := y.bands[i*(socBins+1) : (i+1)*(socBins+1)]
		at := s.it.start.Add(time.Duration((i+1)*y.bandEvery) * s.opt.Step)
		q := func(p float64) float64 { return binQuantile(row, p, socBins) }
		r.Bands = append(r.Bands, Band{at, q(.05), q(.25), q(.5), q(.75), q(.95)})
	}
	rq := func(p float64) float64 {
		return math.Min(math.Max(binQuantile(y.reserve[:], p, fineBins), y.reserveMin), y.reserveMax)
	}
	r.Reserve = Distribution{float64(y.reserveSum) / unit6 / n, y.reserveMin, rq(.05), rq(.25), rq(.5), rq(.75), rq(.95), y.reserveMax}
	for i, c := range y.sources {
		r.SourceWh[i] = float64(c) / unit6 / n
	}
	if y.wearDraws > 0 {
		r.Wear = float64(y.wear) / 1e12 / float64(y.wearDraws)
	}
	r.LifeYears = lifeYears(len(s.it.days), r.Wear)
	return r
}

// binQuantile reads a quantile off equal bins of 0..1, linear within a bin.
func binQuantile[T uint32 | int64](bins []T, q float64, n int) float64 {
	total := 0.0
	for _, c := range bins {
		total += float64(c)
	}
	rank, seen := q*total, 0.0
	for i, c := range bins {
		if c == 0 {
			continue
		}
		if next := seen + float64(c); rank <= next {
			return math.Min(1, (float64(i)+(rank-seen)/float64(c))/float64(n))
		}
		seen += float64(c)
	}
	return 1
}

// Wilson returns the share of hits in n with its 95 % score interval (Wilson
// 1927, J. Am. Stat. Assoc. 22: 209-212).
func Wilson(hits, n int) Proportion {
	if n <= 0 {
		return Proportion{0, 0, 1}
	}
	return wilsonShare(float64(hits)/float64(n), float64(n))
}
