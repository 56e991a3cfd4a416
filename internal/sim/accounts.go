package sim

import "math"

// accounts gives every appliance its share of what was asked for and what was
// not served.
func (a *accountant) accounts() {
	r := a.r
	loads := a.plan.study.demand.loads
	r.Loads = make([]LoadAccount, len(loads))
	lost := a.tripLosses()
	for i := range loads {
		l := &loads[i]
		acc := &r.Loads[i]
		*acc = LoadAccount{Name: l.Name, Supply: l.Supply, PeakW: math.Max(l.Watts, l.StandbyW), DutyMean: math.NaN(), WarmestC: math.NaN()}
		for t, w := range r.Traces.LoadW[i] {
			if w > 0 {
				a.accountFor(i, t, acc, w*a.k.stepH, lost[t])
			}
		}
		acc.DailyWh = acc.AskedWh / float64(len(r.Days))
		if f := a.out.fridges[i]; f != nil && f.steps > 0 {
			f.endCooling()
			acc.DutyMean = f.dutySum / float64(f.steps)
			acc.WarmestC = f.warmestC
			acc.CouldNotHold = acc.WarmestC > f.heldC
			acc.HardlyRuns = acc.DutyMean < idleDuty && !l.Fridge.Sheltered
			acc.PeakW = l.Fridge.WithDefaults().CompressorW
		}
	}
}

// warmMarginK is how far above its set point a box may be for a while (door
// openings, warm food) before it counts as not holding it, K.
const warmMarginK = 3

// idleDuty is the share of the time below which a fridge hardly runs: a small
// one at 5 C runs 20-30 % at 20-25 C (trade figures, from memory).
const idleDuty = 0.05

// accountFor books wh of load i in slot t; lost is what a tripped inverter took
// from each load, nil if it did not trip.
func (a *accountant) accountFor(i, t int, acc *LoadAccount, wh float64, lost []float64) {
	l := &a.plan.study.demand.loads[i]
	row := &a.r.Rows[t]
	acc.AskedWh += wh
	if l.Supply == DC {
		if row.Shed && !l.Essential {
			acc.ShedWh += wh
			return
		}
		acc.UnservedWh += wh * row.OffH / a.k.stepH
		return
	}
	noneWh, shedWh, clipWh, mineWh := a.acAsked(i, t, wh)
	acc.NoOutletWh += noneWh
	acc.ShedWh += shedWh
	acc.UnservedWh += clipWh
	if lost != nil {
		acc.UnservedWh += lost[i]
		mineWh -= lost[i]
	}
	acc.UnservedWh += mineWh * row.OffH / a.k.stepH
}

// acAsked splits what AC appliance i asks for in slot t, wh: no outlet for it,
// shed, beyond the inverter's rating, and what the inverter would give it; the
// rest comes straight from the site.
func (a *accountant) acAsked(i, t int, wh float64) (noneWh, shedWh, clipWh, mineWh float64) {
	l, row := &a.plan.study.demand.loads[i], &a.r.Rows[t]
	noneWh, mineWh = a.plan.acShares(i, t, &a.out.trace.ac[1][t], wh)
	if row.Shed && !l.Essential {
		return noneWh, mineWh, 0, 0
	}
	ac := &a.out.trace.ac[1][t]
	if row.Shed { // its standby goes with an inverter that now stays off
		all := ac
		ac = &a.out.trace.ac[0][t]
		shedWh = a.plan.study.demand.standbyAt(i, t) * (a.plan.idleShare(i, t, ac) - a.plan.idleShare(i, t, all)) * a.k.stepH
		mineWh -= shedWh
	}
	if own := ac.outW + ac.clipW; own > 0 {
		clipWh = mineWh * ac.clipW / own
		mineWh *= ac.outW / own
	}
	return noneWh, shedWh, clipWh, mineWh
}

// acShares splits what AC appliance i asks for in slot t, wh, into the part
// for which there is no outlet and the part asked of the system's inverter;
// the rest comes straight from the site.
func (p *plan) acShares(i, t int, ac *acStep, wh float64) (noneWh, mineWh float64) {
	h := p.study.it.stepH
	alone := 1 - p.fixed[t].siteShare
	standby, idle := p.study.demand.standbyAt(i, t), p.idleShare(i, t, ac)
	onWh := math.Max(0, wh-standby*(1-idle)*h) // beyond standby
	if p.sys.Inverter.RatedW <= 0 || (p.tooBig != nil && p.tooBig[i]) {
		return alone * onWh, 0
	}
	may := p.fixed[t].mayRun
	return alone * (1 - may) * onWh, alone*may*onWh + standby*(alone-idle)*h
}

// idleShare is the share of slot t in which the standby of AC appliance i is
// not drawn: neither inverter nor site feeds its outlet.
func (p *plan) idleShare(i, t int, ac *acStep) float64 {
	if p.tooBig != nil && p.tooBig[i] {
		return 1 - p.fixed[t].siteShare
	}
	return ac.idleShare
}

// dropIdleStandby takes the standby that is not drawn out of what AC appliance
// i asks for.
func (p *plan) dropIdleStandby(i int, ac []acStep, askedW []float64) {
	if l := &p.study.demand.loads[i]; l.Supply == DC || l.standbyW() == 0 {
		return
	}
	for t := range askedW {
		askedW[t] = math.Max(0, askedW[t]-p.study.demand.standbyAt(i, t)*p.idleShare(i, t, &ac[t]))
	}
}

// cannotRun marks the appliances that the system's own battery never feeds.
func (a *accountant) cannotRun() []bool {
	loads := a.plan.study.demand.loads
	out := make([]bool, len(loads))
	for i := range loads {
		out[i] = loads[i].Supply == AC && (a.plan.sys.Inverter.RatedW <= 0 || (a.plan.tooBig != nil && a.plan.tooBig[i]))
	}
	return out
}
