package sim

import (
	"math"

	"tripsim/internal/profiles"
)

// acStep is what the AC outlets do in a slot.
type acStep struct {
	inW       float64 // mean W from the battery into the inverter
	outW      float64 // mean W the appliances get from the inverter
	transferW float64 // mean W the appliances get straight from the site
	clipW     float64 // mean W asked for beyond the inverter's rating
	noneW     float64 // mean W asked for with the inverter off and no site
	idleShare float64 // share of the slot in which standby is not drawn
	onVA      float64 // apparent power asked of the inverter when it comes nearest to its limit, or farthest beyond
	limitVA   float64 // what it gives at that moment
	peakInW   float64 // battery power at the heaviest moment; 0 with little or nothing on
	sitePeakW float64 // highest power asked of the site
}

// acOutlets works out a slot's AC side for the appliances of trace last (0 =
// essential only, 1 = all): all of them where a site feeds the outlets
// (siteShare of the slot), own, those that the inverter can run, elsewhere.
// mayRun is the share of the slot in which the inverter may run.
//
// Within a run, appliances with a duty cycle draw either all at once or not at
// all, in the proportion that gives their mean: so the inverter's loss,
// its rating and the battery's sag are met at the power that really flows.
// Standby is drawn only while the inverter is on, and does not keep an
// inverter on that is switched on when needed.
func acOutlets(all, own *sums, t, last int, stepH, siteShare, mayRun, airC float64, sys *System) acStep {
	var a acStep
	if siteShare > 0 {
		site := &all.ac[1]
		a.transferW = (site.baseW[t] + site.standbyW[t] + site.runW(t)) * siteShare
		a.sitePeakW = site.baseW[t] + site.standbyW[t] + site.peakW(t)
	}
	alone := 1 - siteShare
	if alone <= 0 {
		return a
	}
	wanted := &all.ac[last]
	a.noneW = alone * (wanted.baseW[t] + wanted.runW(t))
	a.idleShare = alone
	if sys.Inverter.RatedW <= 0 {
		return a
	}
	mine := &own.ac[last]
	asked := alone * mayRun * (mine.baseW[t] + mine.runW(t))
	a.noneW -= asked
	a.invert(mine, t, alone*mayRun, sys, limitsAt(&sys.Inverter, airC))
	a.clipW = asked + mine.standbyW[t]*(alone-a.idleShare) - a.outW
	if a.clipW < 1e-9*asked {
		a.clipW = 0
	}
	if a.noneW < 1e-9*asked {
		a.noneW = 0
	}
	return a
}

// invert adds up what flows through the inverter in the share of slot t in
// which it may run.
func (a *acStep) invert(mine *acTrace, t int, may float64, sys *System, limits acLimits) {
	inv := &sys.Inverter
	base := mine.baseW[t] + mine.standbyW[t]
	a.limitVA = limits.lastingW
	low := math.Min(base, limits.lastingW)
	running := 0.0
	for i := mine.first[t]; i < mine.first[t+1]; i++ {
		r := &mine.runs[i]
		if r.peakW <= 0 { // nothing runs: the inverter stays as it is
			continue
		}
		running += r.share
		ratedW := limits.of(r, base)
		out, in, full := r.through(inv, base, ratedW)
		a.outW += may * r.share * out
		a.inW += may * r.share * in
		va := base + r.peakVA
		if va-ratedW > a.onVA-a.limitVA {
			a.onVA, a.limitVA = va, ratedW
		}
		if full > inv.RatedW/4 { // only a heavy load can trip battery or inverter
			a.peakInW = math.Max(a.peakInW, inv.InputW(full))
		}
	}
	quiet := may * (1 - math.Min(1, running))
	if sys.InverterMode == InverterNeeded && mine.baseW[t] == 0 {
		quiet = 0
	}
	a.outW += quiet * low
	a.inW += quiet * inv.InputW(low)
	a.idleShare -= quiet + may*math.Min(1, running)
	if base-limits.lastingW > a.onVA-a.limitVA {
		a.onVA, a.limitVA = base, limits.lastingW
	}
}

// acLimits are what an inverter gives in the air of a slot, W and VA.
type acLimits struct{ lastingW, briefW float64 }

func limitsAt(inv *profiles.Inverter, airC float64) acLimits {
	return acLimits{inv.RatedAtTempW(airC), inv.BriefAtTempW(airC)}
}

// of is the limit while a run lasts, beside what is always on: the brief one where
// it takes an appliance that is soon off again to exceed the lasting one.
func (l acLimits) of(r *acRun, baseVA float64) float64 {
	if r.lastVA < r.peakVA && baseVA+r.lastVA <= l.lastingW {
		return l.briefW
	}
	return l.lastingW
}

// through is what an inverter of that rating gives and takes while a run lasts,
// mean W, and the power it gives at the run's peak; base is there all the time.
func (r *acRun) through(inv *profiles.Inverter, base, ratedW float64) (outW, inW, fullW float64) {
	steady := math.Min(base+r.lowW, ratedW)
	duty := 1.0
	if r.peakW > r.lowW {
		duty = (r.meanW - r.lowW) / (r.peakW - r.lowW)
	}
	fullW = base + r.peakW
	if va := base + r.peakVA; va > ratedW {
		fullW *= ratedW / va
	}
	return duty*fullW + (1-duty)*steady, duty*inv.InputW(fullW) + (1-duty)*inv.InputW(steady), fullW
}

// runW is the mean power of the runs of slot t over the slot, beyond standby.
func (a *acTrace) runW(t int) float64 {
	w := 0.0
	for i := a.first[t]; i < a.first[t+1]; i++ {
		w += a.runs[i].share * a.runs[i].meanW
	}
	return w
}

// peakW is the highest power of the runs of slot t, beyond standby.
func (a *acTrace) peakW(t int) float64 {
	w := 0.0
	for i := a.first[t]; i < a.first[t+1]; i++ {
		w = math.Max(w, a.runs[i].peakW)
	}
	return w
}

// inverterMayRun returns the share of slot t in which the inverter is allowed
// to run: less than one only with a time window.
func inverterMayRun(sys *System, it *itinerary, t int) float64 {
	if sys.InverterMode != InverterWindow {
		return 1
	}
	from := float64(t) * it.stepH
	return it.hoursIn(it.slots[t].Day, from, from+it.stepH, func(d *localDay) interval {
		return it.spanOf(d.date, sys.InverterSpan, it.trip.Stops[d.stop].Zone)
	}) / it.stepH
}
