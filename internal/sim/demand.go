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
	meanW   [][]float64 // per load and slot, mean W; zero for fridges
	onShare [][]float64 // per load and slot, share of the slot in which it runs
	fridges []fridge
	planned sums // as planned, without fridges
}

// sums are the appliances of a draw added up by slot. Index 0 holds essential
// appliances, index 1 those that may be shed.
type sums struct {
	dcW     [2][]float64 // mean W
	dcPeakW []float64    // highest DC power in the slot
	ac      [2]acTrace
}

// acTrace is AC power by slot. Uses are kept apart from the steady base, since
// the inverter's resistive loss needs the power while they run.
type acTrace struct {
	baseW []float64 // steady part, mean W
	useWh []float64 // energy of the uses
	onShr []float64 // share of the slot with a use running (the longest)
}

type fridge struct {
	load  int
	model profiles.FridgeModel
}

func newSums(n int) sums {
	s := sums{dcPeakW: make([]float64, n)}
	for c := range 2 {
		s.dcW[c] = make([]float64, n)
		s.ac[c] = acTrace{make([]float64, n), make([]float64, n), make([]float64, n)}
	}
	return s
}

func (s *sums) copyFrom(o *sums) {
	copy(s.dcPeakW, o.dcPeakW)
	for c := range 2 {
		copy(s.dcW[c], o.dcW[c])
		copy(s.ac[c].baseW, o.ac[c].baseW)
		copy(s.ac[c].useWh, o.ac[c].useWh)
		copy(s.ac[c].onShr, o.ac[c].onShr)
	}
}

func (s *sums) clear() {
	clear(s.dcPeakW)
	for c := range 2 {
		clear(s.dcW[c])
		clear(s.ac[c].baseW)
		clear(s.ac[c].useWh)
		clear(s.ac[c].onShr)
	}
}

func newDemand(it *itinerary, loads []Load) *demand {
	n := len(it.slots)
	d := &demand{it: it, loads: loads, meanW: make([][]float64, len(loads)),
		onShare: make([][]float64, len(loads)), planned: newSums(n)}
	for i := range loads {
		d.meanW[i] = make([]float64, n)
		d.onShare[i] = make([]float64, n)
		if loads[i].Kind == Fridge {
			d.fridges = append(d.fridges, fridge{i, profiles.NewFridgeModel(loads[i].Fridge.WithDefaults(), it.stepH)})
			continue
		}
		it.loadTrace(&loads[i], d.meanW[i], d.onShare[i])
	}
	d.addUp(&d.planned, nil, nil)
	return d
}

// loadTrace fills the mean power and on-share of a weather-independent load.
func (it *itinerary) loadTrace(l *Load, meanW, onShare []float64) {
	on := math.Max(0, l.Watts*l.Duty-l.StandbyW)
	for i := range it.days {
		d := &it.days[i]
		if !d.applies(l.Days) {
			continue
		}
		if l.StandbyW > 0 && l.Kind != Steady {
			it.spread(d.span, l.StandbyW, meanW, nil)
		}
		zone := it.trip.Stops[d.stop].Zone
		switch l.Kind {
		case Steady:
			it.spread(d.span, l.Watts*l.Duty, meanW, onShare)
		case Window:
			it.spread(it.spanOf(d.date, l.Window, zone), on, meanW, onShare)
		case Uses:
			for _, at := range l.TimesH {
				it.spread(it.spanOf(d.date, Span{at, l.Minutes / 60}, zone), on, meanW, onShare)
			}
		}
	}
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

// addUp fills s from the loads without fridges; use[i], if given, scales the
// energy of load i, and loads with without[i] are left out.
func (d *demand) addUp(s *sums, use []float64, without []bool) {
	s.clear()
	for i := range d.loads {
		if d.loads[i].Kind == Fridge || (without != nil && without[i]) {
			continue
		}
		k := 1.0
		if use != nil {
			k = use[i]
		}
		d.addLoad(s, i, k)
	}
}

func (d *demand) addLoad(s *sums, i int, k float64) {
	l := &d.loads[i]
	class := l.class()
	a := &s.ac[class]
	for t, w := range d.meanW[i] {
		if w == 0 {
			continue
		}
		w *= k
		on := d.onShare[i][t]
		switch {
		case l.Supply == DC:
			s.dcW[class][t] += w
			if on > 0 {
				s.dcPeakW[t] += math.Max(l.Watts, l.StandbyW)
			} else {
				s.dcPeakW[t] += l.StandbyW
			}
		case l.Kind == Uses && on > 0:
			standby := math.Min(l.StandbyW*k, w) // none on a day on which it is not used
			a.baseW[t] += standby
			a.useWh[t] += (w - standby) * d.it.stepH
			a.onShr[t] = math.Max(a.onShr[t], on)
		default:
			a.baseW[t] += w
		}
	}
}

// class is the index of a load's sums: 0 essential, 1 may be shed.
func (l *Load) class() int {
	if l.Essential {
		return 0
	}
	return 1
}

// addFridges runs the fridges through a draw's air temperature and adds them
// to s. onStep, if given, sees every step.
func (d *demand) addFridges(s *sums, airC []float64, onStep func(load, t int, w, duty, boxC float64)) {
	for f := range d.fridges {
		fr := &d.fridges[f]
		l := &d.loads[fr.load]
		dst := s.dcW[l.class()]
		if l.Supply == AC {
			dst = s.ac[l.class()].baseW
		}
		st := fr.model.Start(airC[0])
		for t := range airC {
			slot := &d.it.slots[t]
			if l.Days != AllDays && !d.it.days[slot.Day].applies(l.Days) {
				continue
			}
			w, duty := fr.model.Step(&st, airC[t], slot.LocalH, 2*slot.DriveH > d.it.stepH)
			dst[t] += w
			if onStep != nil {
				onStep(fr.load, t, w, duty, st.BoxC)
			}
		}
	}
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
