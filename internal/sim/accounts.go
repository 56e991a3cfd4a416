package sim

import "math"

// accounts gives every appliance its share of what was asked for and what was
// not served.
func (a *accountant) accounts() {
	r := a.r
	loads := a.plan.study.demand.loads
	r.Loads = make([]LoadAccount, len(loads))
	for i := range loads {
		l := &loads[i]
		acc := &r.Loads[i]
		*acc = LoadAccount{Name: l.Name, Supply: l.Supply, PeakW: math.Max(l.Watts, l.StandbyW), DutyMean: math.NaN(), WarmestC: math.NaN()}
		for t, w := range r.Traces.LoadW[i] {
			if w > 0 {
				a.accountFor(l, acc, a.plan.tooBig != nil && a.plan.tooBig[i], t, w*a.k.stepH)
			}
		}
		if n := a.out.fridgeSteps[i]; n > 0 {
			acc.DutyMean = a.out.dutySum[i] / float64(n)
			acc.WarmestC = a.out.warmest[i]
			acc.CouldNotHold = acc.WarmestC > l.Fridge.SetpointC+warmMarginK
			acc.PeakW = l.Fridge.WithDefaults().CompressorW
		}
	}
}

// warmMarginK is how far above its set point a box may be for a while (door
// openings, warm food) before it counts as not holding it, K.
const warmMarginK = 3

func (a *accountant) accountFor(l *Load, acc *LoadAccount, tooBig bool, t int, wh float64) {
	row := &a.r.Rows[t]
	acc.AskedWh += wh
	ac := &a.out.trace.ac[1][t]
	if l.Supply == AC {
		fx := &a.plan.fixed[t]
		wh *= 1 - fx.siteShare
		if tooBig || a.plan.sys.Inverter.RatedW <= 0 {
			acc.NoOutletWh += wh
			return
		}
		acc.NoOutletWh += wh * (1 - fx.mayRun)
		wh *= fx.mayRun
		if row.Shed && !l.Essential {
			acc.ShedWh += wh
			return
		}
		if own := ac.outW + ac.clipW; own > 0 {
			acc.UnservedWh += wh * ac.clipW / own
			wh *= ac.outW / own
		}
		if row.TripH > 0 {
			acc.UnservedWh += wh
			return
		}
	} else if row.Shed && !l.Essential {
		acc.ShedWh += wh
		return
	}
	acc.UnservedWh += wh * row.OffH / a.k.stepH
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
