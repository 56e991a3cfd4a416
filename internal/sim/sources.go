package sim

import "math"

// siteV is the nominal voltage of mains by which a site's limit is given, V.
const siteV = 230

// fixedSlot is the weather-independent side of a slot.
type fixedSlot struct {
	drv, mns  float64 // shares with the chargers connected
	idle      float64 // the same with the engine idling
	siteShare float64 // share in which a site feeds the AC outlets
	mayRun    float64 // share in which the inverter may run
	siteW     float64 // most that the site gives, W
	docked    float64 // share with the battery on its chargers
}

// laySources fills the weather-independent side of every slot.
func (p *plan) laySources() {
	it, sys := p.study.it, p.sys
	n := len(it.slots)
	p.fixed = make([]fixedSlot, n)
	p.sinceH = make([]float64, n)
	for t := range p.fixed {
		s := &it.slots[t]
		f := &p.fixed[t]
		f.docked = p.docked(t)
		f.drv, f.idle = s.DriveH/it.stepH*f.docked, s.IdleH/it.stepH*f.docked
		site := (s.MainsH + s.GenH) / it.stepH
		f.mns = site * f.docked
		if sys.ACTransfer {
			f.siteShare = site
		}
		f.mayRun = inverterMayRun(sys, it, t)
		f.siteW = it.siteLimitW(t)
		if s.DriveH+s.IdleH > 0 {
			p.sinceH[t] = math.Max(0, (float64(t)+0.5)*it.stepH-it.days[s.Day].engineOn(float64(t+1)*it.stepH))
		}
	}
}

// engineOn is when the engine that runs up to an elapsed hour was started:
// idling right after the drive goes on from it.
func (d *localDay) engineOn(h float64) float64 {
	alone := d.idle.to > d.idle.from && (!d.driving() || math.Abs(d.idle.from-d.drive.to) > 1e-9)
	if alone && h > d.idle.from && (h > d.drive.to || !d.driving()) {
		return d.idle.from
	}
	return d.drive.from
}

// siteLimitW is the most that mains and generator give in slot t, mean W. A
// stay that runs past midnight keeps its own limit, whatever the next day's is.
func (it *itinerary) siteLimitW(t int) float64 {
	s := &it.slots[t]
	mains := it.wattsIn(t, s.MainsH, func(d *localDay) interval { return d.mains }, func(stop *Stop) float64 {
		if stop.MainsA > 0 {
			return stop.MainsA * siteV
		}
		return math.Inf(1)
	})
	return mains + it.wattsIn(t, s.GenH, func(d *localDay) interval { return d.gen }, func(stop *Stop) float64 { return stop.GenW })
}

// wattsIn is the mean power over slot t of a source that is there for so many
// hours of it, in the daily span of, with the watts of the stop whose span it is.
func (it *itinerary) wattsIn(t int, hours float64, of func(*localDay) interval, watts func(*Stop) float64) float64 {
	if hours <= 0 {
		return 0
	}
	day, from := it.slots[t].Day, float64(t)*it.stepH
	sumH, sumWh := 0.0, 0.0
	for i := max(0, day-1); i <= min(len(it.days)-1, day+1); i++ {
		if h := of(&it.days[i]).overlap(from, from+it.stepH); h > 0 {
			sumH += h
			sumWh += h * watts(&it.trip.Stops[it.days[i].stop])
		}
	}
	return sumWh / sumH * (hours / it.stepH)
}

// docked returns the share of slot t in which the battery hangs on its chargers.
func (p *plan) docked(t int) float64 {
	sys, it := p.sys, p.study.it
	if sys.DockedDays == AllDays && (sys.Docked.Hours == 0 || sys.Docked.Hours >= 24) {
		return 1
	}
	from := float64(t) * it.stepH
	return it.hoursIn(it.slots[t].Day, from, from+it.stepH, func(d *localDay) interval {
		if !d.applies(sys.DockedDays) {
			return interval{}
		}
		if sys.Docked.Hours == 0 || sys.Docked.Hours >= 24 {
			return d.span
		}
		return it.spanOf(d.date, sys.Docked, it.trip.Stops[d.stop].Zone)
	}) / it.stepH
}
