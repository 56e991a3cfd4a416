package sim

import (
	"context"
	"fmt"
	"math"
	"time"

	"tripsim/internal/solar"
)

// Comparison is systems side by side on the same weather draws.
type Comparison struct {
	Draws     int
	Weather   string
	Reference int // index of the system that the others are held against
	Systems   []Compared
}

// Compared is one system of a comparison.
type Compared struct {
	System  *System
	Typical *Result
	Risk    *Risk
	// ChargeH are the hours of the typical trip in which a source gave something
	// to the bus: solar, alternator, mains.
	ChargeH [3]float64
	// Driving20To80H is how long steady driving takes from 20 to 80 % at 25 C,
	// no appliance on; +Inf when it does not get there in DrivingLimitH, NaN
	// without a charger from the alternator.
	Driving20To80H float64
	// Flat and Unserved are this system less the reference, draw by draw: of the
	// flat risk (0..1, Newcombe's paired interval) and of the unserved energy (Wh
	// per trip, normal interval of the paired differences).
	Flat, Unserved Difference
	// PricePerPoint is the price more than the reference for each percentage
	// point of flat risk less; NaN when a price is missing, or the risk is not
	// surely less, or the price not higher.
	PricePerPoint float64
}

// DrivingLimitH bounds the drive by which charging is timed.
const DrivingLimitH = 72

// Compare runs systems through the same draws; reference is the index of the
// one the others are held against.
func (s *Study) Compare(ctx context.Context, systems []*System, reference, draws int, progress Progress) (*Comparison, error) {
	draws, err := s.drawsFor(draws)
	if err != nil {
		return nil, err
	}
	if reference < 0 || reference >= len(systems) {
		return nil, fmt.Errorf("no system number %d to compare with", reference)
	}
	references := make([]int, len(systems))
	for i := range references {
		references[i] = reference
	}
	c := &Comparison{Draws: draws, Weather: s.source.Describe(), Reference: reference}
	c.Systems, err = s.compareWith(ctx, systems, references, draws, progress)
	if err != nil {
		return nil, err
	}
	return c, nil
}

// compareWith runs systems through the same draws, each held against the one
// that references names for it.
func (s *Study) compareWith(ctx context.Context, systems []*System, references []int, draws int, progress Progress) ([]Compared, error) {
	plans, err := s.plansFor(systems)
	if err != nil {
		return nil, err
	}
	teams := make([]*comparer, s.workersWith(draws, len(systems)))
	for i := range teams {
		w, err := s.newWorker(plans)
		if err != nil {
			return nil, err
		}
		teams[i] = newComparer(references, w)
	}
	sum, err := runComparers(ctx, teams, draws, progress)
	if err != nil {
		return nil, err
	}
	rows := make([]Compared, len(systems))
	for i, sys := range systems {
		if rows[i], err = s.compared(sys, sum, i); err != nil {
			return nil, err
		}
	}
	for i := range rows {
		rows[i].PricePerPoint = pricePerPoint(&rows[i], &rows[references[i]])
	}
	return rows, nil
}

// comparer is one worker's share of a comparison: lanes that meet the same
// weather, each held against another draw by draw.
type comparer struct {
	workers    []*worker // the first makes the weather, the others share it
	lanes      []*lane
	references []int // per lane
	paired     []pairing
	reserve    float64 // wanted, for what counts as carried
	flat       []bool  // scratch of a draw, per lane
	missed     []bool
	unserved   []float64
}

// pairing is a lane against the reference.
type pairing struct {
	flat     Pairs // A this lane, B the reference
	missed   Pairs // not carried with the comparer's reserve
	unserved pairSum
}

func newComparer(references []int, workers ...*worker) *comparer {
	c := &comparer{workers: workers, references: references, paired: make([]pairing, len(references))}
	for _, w := range workers {
		for i := range w.lanes {
			c.lanes = append(c.lanes, &w.lanes[i])
		}
	}
	return c
}

// runComparers shares the draws out and adds the workers up.
func runComparers(ctx context.Context, teams []*comparer, draws int, progress Progress) (*comparer, error) {
	err := forEach(ctx, len(teams), draws, chunk, progress, func(w, k int) error {
		teams[w].draw(uint64(k))
		return nil
	})
	if err != nil {
		return nil, err
	}
	return mergeComparers(teams), nil
}

// draw runs draw k on all lanes and pairs what came of it. What a lane's draw
// was is read off its tally, as the change that the draw made.
func (c *comparer) draw(k uint64) {
	c.flat, c.missed, c.unserved = c.flat[:0], c.missed[:0], c.unserved[:0]
	for _, w := range c.workers {
		w.weatherOf(k)
		for i := range w.lanes {
			l := &w.lanes[i]
			flat, unserved := l.tally.flat, l.tally.unserved.sum
			w.fillLane(l)
			w.runLane(l, k)
			c.flat = append(c.flat, l.tally.flat > flat)
			c.missed = append(c.missed, l.tally.missedLast(c.reserve))
			c.unserved = append(c.unserved, float64(l.tally.unserved.sum-unserved)/unit6)
		}
	}
	for i := range c.paired {
		p := &c.paired[i]
		p.flat.add(c.flat[i], c.flat[c.references[i]])
		p.missed.add(c.missed[i], c.missed[c.references[i]])
		p.unserved.add(c.unserved[i] - c.unserved[c.references[i]])
	}
}

func (p *Pairs) add(a, b bool) {
	switch {
	case a && b:
		p.Both++
	case a:
		p.OnlyA++
	case b:
		p.OnlyB++
	default:
		p.Neither++
	}
}

func (p *Pairs) merge(o *Pairs) {
	p.Both += o.Both
	p.OnlyA += o.OnlyA
	p.OnlyB += o.OnlyB
	p.Neither += o.Neither
}

// mergeComparers adds the workers up into the first.
func mergeComparers(teams []*comparer) *comparer {
	sum := teams[0]
	for _, t := range teams[1:] {
		for i := range sum.lanes {
			sum.lanes[i].tally.merge(t.lanes[i].tally)
			sum.paired[i].flat.merge(&t.paired[i].flat)
			sum.paired[i].missed.merge(&t.paired[i].missed)
			sum.paired[i].unserved.merge(&t.paired[i].unserved)
		}
	}
	return sum
}

// compared makes the row of a system.
func (s *Study) compared(sys *System, sum *comparer, i int) (Compared, error) {
	row := Compared{
		System: sys, Risk: sum.lanes[i].tally.risk(s, sys),
		Flat: sum.paired[i].flat.Difference(), Unserved: sum.paired[i].unserved.difference(),
	}
	if i == sum.references[i] {
		row.Flat, row.Unserved = Difference{}, Difference{}
	}
	var err error
	if row.Typical, err = s.Typical(sys); err != nil {
		return row, err
	}
	for t := range row.Typical.Rows {
		r := &row.Typical.Rows[t]
		for src, wh := range [3]float64{r.SolarBusWh, r.AlternatorBusWh, r.MainsBusWh} {
			if wh > leastSourceW*s.it.stepH {
				row.ChargeH[src] += hoursOf(src, &row.Typical.Slots[t], s.it.stepH)
			}
		}
	}
	row.Driving20To80H, err = DrivingTime(sys, 0.2, 0.8)
	return row, err
}

// leastSourceW is power that does not count as charging, W.
const leastSourceW = 1

// hoursOf is the part of a slot in which a source can have given.
func hoursOf(source int, slot *Slot, stepH float64) float64 {
	switch source {
	case altSrc:
		return slot.DriveH + slot.IdleH
	case mainsSrc:
		return slot.MainsH + slot.GenH
	default:
		return slot.Up * stepH
	}
}

func pricePerPoint(row, ref *Compared) float64 {
	more := row.System.Price - ref.System.Price
	if !(more > 0) || row.Flat.High >= 0 {
		return math.NaN()
	}
	return more / (-100 * row.Flat.Mean)
}

// DrivingTime is how many hours of steady driving bring a system's battery from
// one state of charge to another (0..1): at 25 C, with the alternator's limits
// and the battery's taper, panels covered and nothing switched on. +Inf when it
// does not get there in DrivingLimitH; NaN without a charger from the
// alternator. The error is that of a system that cannot be run.
func DrivingTime(sys *System, from, to float64) (float64, error) {
	if !sys.has(func(c *Charger) bool { return c.AlternatorA > 0 }) {
		return math.NaN(), nil
	}
	test := sys.clone()
	test.Panels = nil
	test.Inverter.RatedW, test.StandbyW, test.Battery.HeaterW = 0, 0, 0
	test.DockedDays, test.Docked = AllDays, Span{}
	test.StartSoC = from
	stop := Stop{
		Date: time.Date(2026, 3, 21, 0, 0, 0, 0, time.UTC), Days: DrivingLimitH / 24, Place: "road", Zone: time.UTC,
		Position: solar.Place{}, Drive: Span{0, 24}, SunKWhM2: math.NaN(), TempMinC: 25, TempMaxC: 25,
	}
	opt := DefaultOptions()
	opt.Step = 5 * time.Minute
	s, err := NewStudy(&Trip{Stops: []Stop{stop}}, nil, opt)
	if err != nil {
		return 0, err
	}
	r, err := s.Typical(test)
	if err != nil {
		return 0, err
	}
	before := from
	for i := range r.Rows {
		if now := r.Rows[i].SoC; now >= to {
			return (float64(i) + (to-before)/(now-before)) * opt.Step.Hours(), nil
		}
		before = r.Rows[i].SoC
	}
	return math.Inf(1), nil
}
