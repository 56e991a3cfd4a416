package sim

import (
	"math"

	"tripsim/internal/profiles"
)

// demand holds what the appliances ask for by slot: everything that does not
// depend on the weather, and the fridges, whose draw does.
type demand struct {
	it      *itinerary
	loads   []Load
	usage   // as planned
	fridges []fridge
	planned sums // the usage as planned added up, without fridges
}

// usage is what the appliances but the fridges do, as planned or in a draw.
type usage struct {
	meanW   [][]float64  // per load and slot, mean W, standby included
	onShare [][]float64  // per load and slot, share of the slot in which it runs
	spans   [][]interval // per load, when it runs
	factors []float64    // per load, more or less than planned; nil = as planned
}

type fridge struct {
	load  int
	model profiles.FridgeModel
}

func newDemand(it *itinerary, loads []Load) *demand {
	d := &demand{it: it, loads: loads, usage: newUsage(len(loads), len(it.slots)), planned: newSums(len(it.slots))}
	for i := range loads {
		if loads[i].Kind == Fridge {
			d.fridges = append(d.fridges, fridge{i, profiles.NewFridgeModel(loads[i].Fridge.WithDefaults(), it.stepH)})
		}
	}
	d.layUsage(&d.usage, nil)
	d.addUp(&d.planned, &d.usage, nil)
	d.planned.work = runWork{}
	return d
}

func newUsage(loads, slots int) usage {
	u := usage{meanW: make([][]float64, loads), onShare: make([][]float64, loads), spans: make([][]interval, loads)}
	for i := range loads {
		u.meanW[i], u.onShare[i] = make([]float64, slots), make([]float64, slots)
	}
	return u
}

// layUsage fills u. factors[i], if given, is how much more or less than
// planned appliance i is used: uses last longer or shorter, what runs all day
// or in a window draws more or less.
func (d *demand) layUsage(u *usage, factors []float64) {
	u.factors = factors
	for i := range d.loads {
		clear(u.meanW[i])
		clear(u.onShare[i])
		u.spans[i] = u.spans[i][:0]
		if d.loads[i].Kind == Fridge {
			continue
		}
		d.layLoad(u, i)
	}
}

func (d *demand) layLoad(u *usage, i int) {
	it, l := d.it, &d.loads[i]
	hours := 1.0
	if u.factors != nil && l.Kind == Uses {
		hours = u.factors[i]
	}
	on := u.onPowerW(d, i)
	run := func(v interval) {
		it.spread(v, on, u.meanW[i], u.onShare[i])
		if v.to > v.from {
			u.spans[i] = append(u.spans[i], v)
		}
	}
	for n := range it.days {
		day := &it.days[n]
		if !day.applies(l.Days) {
			continue
		}
		it.spread(day.span, l.standbyW(), u.meanW[i], nil)
		zone := it.trip.Stops[day.stop].Zone
		switch l.Kind {
		case Steady:
			run(day.span)
		case Window:
			run(it.spanOf(day.date, l.Window, zone))
		case Uses:
			for _, at := range l.TimesH {
				run(it.spanOf(day.date, Span{at, l.Minutes / 60 * hours}, zone))
			}
		}
	}
}

// standbyW is what the appliance draws all day while it is not on; a fridge's
// model has its own.
func (l *Load) standbyW() float64 {
	if l.Kind == Fridge {
		return 0
	}
	return l.StandbyW
}

// standbyAt is the mean standby of load i in slot t, which may lie in two days.
func (d *demand) standbyAt(i, t int) float64 {
	l := &d.loads[i]
	w := l.standbyW()
	if w == 0 {
		return 0
	}
	from := float64(t) * d.it.stepH
	return w / d.it.stepH * d.it.hoursIn(d.it.slots[t].Day, from, from+d.it.stepH, func(day *localDay) interval {
		if day.applies(l.Days) {
			return day.span
		}
		return interval{}
	})
}

// class is the index of a load's sums: 0 essential, 1 may be shed.
func (l *Load) class() int {
	if l.Essential {
		return 0
	}
	return 1
}

// apparentVA is the apparent power for an active power of an AC appliance.
func (l *Load) apparentVA(activeW float64) float64 {
	if l.PowerFactor > 0 && l.PowerFactor < 1 {
		return activeW / l.PowerFactor
	}
	return activeW
}

// spread adds watts over a span of elapsed time to the slots it touches. What
// reaches beyond the trip is dropped.
func (it *itinerary) spread(v interval, watts float64, meanW, onShare []float64) {
	first := max(0, int(math.Floor(v.from/it.stepH)))
	for t := first; t < len(it.slots) && float64(t)*it.stepH < v.to; t++ {
		share := v.overlap(float64(t)*it.stepH, float64(t+1)*it.stepH) / it.stepH
		meanW[t] += watts * share
		if onShare != nil {
			onShare[t] = math.Min(1, onShare[t]+share)
		}
	}
}

// addFridges runs the fridges through a draw's air temperature and adds them
// to s. On days on which it is not used a box warms, and takes it up again when
// it is switched on. What the battery fails to feed does not come back: the
// demand is that of a fridge that gets all it asks for, so that it is the same
// for every system. onStep, if given, sees every step in use.
func (d *demand) addFridges(s *sums, airC []float64, onStep func(load, t int, w, duty, boxC float64)) {
	d.addFridgesBut(nil, s, airC, onStep)
}

// addFridgesBut is addFridges without the appliances that are marked.
func (d *demand) addFridgesBut(without []bool, s *sums, airC []float64, onStep func(load, t int, w, duty, boxC float64)) {
	for f := range d.fridges {
		fr := &d.fridges[f]
		if without != nil && without[fr.load] {
			continue
		}
		l := &d.loads[fr.load]
		dst, also := s.dcW[l.class()], []float64(nil)
		if l.Supply == AC {
			dst = s.ac[1].baseW
			if l.Essential {
				also = s.ac[0].baseW
			}
		}
		st := fr.model.Start(airC[0])
		if !d.uses(l, 0) {
			st = fr.model.StartOff(airC[0])
		}
		for t := range airC {
			slot := &d.it.slots[t]
			driving := 2*slot.DriveH > d.it.stepH
			if !d.uses(l, t) {
				fr.model.Rest(&st, airC[t], driving)
				continue
			}
			w, duty := fr.model.Step(&st, airC[t], slot.LocalH, driving)
			dst[t] += w
			if also != nil {
				also[t] += w
			}
			if onStep != nil {
				onStep(fr.load, t, w, duty, st.BoxC)
			}
		}
	}
}

// uses reports whether slot t lies in one of the days on which a load is used.
func (d *demand) uses(l *Load, t int) bool {
	return l.Days == AllDays || d.it.days[d.it.dayOf[t]].applies(l.Days)
}

// acVaries reports whether AC demand depends on the draw.
func (d *demand) acVaries() bool {
	for _, f := range d.fridges {
		if d.loads[f.load].Supply == AC {
			return true
		}
	}
	return false
}

// tooBigFor marks the AC appliances, fridges by their compressors, that a
// system's inverter cannot run at all; nil when there are none.
func (d *demand) tooBigFor(sys *System) []bool {
	var marks []bool
	for i := range d.loads {
		l := &d.loads[i]
		if l.Supply == AC && sys.Inverter.RatedW > 0 && l.apparentVA(l.ratedW()) > sys.Inverter.RatedW {
			if marks == nil {
				marks = make([]bool, len(d.loads))
			}
			marks[i] = true
		}
	}
	return marks
}
