package sim

import "math"

// acStep is what the AC outlets do in a slot.
type acStep struct {
	inW       float64 // mean W from the battery into the inverter
	outW      float64 // mean W the appliances get from the inverter
	transferW float64 // mean W the appliances get straight from the site
	clipW     float64 // mean W asked for beyond the inverter's rating
	noneW     float64 // mean W asked for with the inverter off and no site
	onW       float64 // AC power asked of the inverter while the uses run
	peakInW   float64 // battery power while the uses run; 0 with little or nothing on
}

// acOutlets works out a slot's AC side for the appliances in classes 0..last
// (0 = essential only, 1 = all): all of them where a site feeds the outlets
// (siteShare of the slot), own, those that the inverter can run, elsewhere.
// mayRun is the share of the slot in which the inverter may run.
//
// The uses of a slot are taken to run together for the longest of their
// on-times, so the inverter's loss is met at the power that really flows.
func acOutlets(all, own *sums, t, last int, stepH, siteShare, mayRun, airC float64, sys *System) acStep {
	base, useWh, share := all.acAt(t, 1)
	a := acStep{transferW: (base + useWh/stepH) * siteShare} // a site feeds all of them
	if last < 1 {
		base, useWh, share = all.acAt(t, last)
	}
	wanted := base + useWh/stepH
	alone := 1 - siteShare
	if alone <= 0 {
		return a
	}
	inv := &sys.Inverter
	if inv.RatedW <= 0 {
		a.noneW = alone * wanted
		return a
	}
	if own != all {
		base, useWh, share = own.acAt(t, last)
	}
	mean := base + useWh/stepH
	asked := alone * mean
	onW := base
	if share > 0 {
		onW += useWh / (share * stepH)
	}
	rated := inv.RatedAtTempW(airC)
	servedBase, servedOn := math.Min(base, rated), math.Min(onW, rated)
	run := mayRun * share
	quiet := mayRun * (1 - share)
	if sys.InverterMode == InverterNeeded && base == 0 {
		quiet = 0
	}
	a.outW = alone * (run*servedOn + quiet*servedBase)
	a.inW = alone * (run*inv.InputW(servedOn) + quiet*inv.InputW(servedBase))
	a.noneW = asked*(1-mayRun) + alone*(wanted-mean)
	a.clipW = math.Max(0, asked*mayRun-a.outW)
	if a.clipW < 1e-9*asked {
		a.clipW = 0
	}
	if run > 0 || base > rated/4 { // only a heavy load can trip battery or inverter
		a.onW = onW
		a.peakInW = inv.InputW(servedOn)
	}
	return a
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

// acAt adds up classes 0..last at slot t: steady base W, energy of the uses Wh,
// and the longest share of the slot with a use running.
func (s *sums) acAt(t, last int) (baseW, useWh, onShare float64) {
	for c := 0; c <= last; c++ {
		baseW += s.ac[c].baseW[t]
		useWh += s.ac[c].useWh[t]
		onShare = math.Max(onShare, s.ac[c].onShr[t])
	}
	return baseW, useWh, onShare
}
