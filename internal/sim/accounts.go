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
				a.accountFor(l, acc, t, w*a.k.stepH)
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

func (a *accountant) accountFor(l *Load, acc *LoadAccount, t int, wh float64) {
	row := &a.r.Rows[t]
	acc.AskedWh += wh
	ac := &a.out.trace.ac[1][t]
	if l.Supply == AC {
		alone := ac.outW + ac.clipW + ac.noneW
		mean := alone + ac.transferW
		if mean <= 0 {
			return
		}
		acc.NoOutletWh += wh * ac.noneW / mean
		if row.Shed && !l.Essential {
			acc.ShedWh += wh * (ac.outW + ac.clipW) / mean
			return
		}
		acc.UnservedWh += wh * ac.clipW / mean
		wh *= ac.outW / mean
		if row.TripH > 0 {
			acc.UnservedWh += wh
			return
		}
	} else if row.Shed && !l.Essential {
		acc.ShedWh += wh
		return
	}
	acc.UnservedWh += wh * row.FlatH / a.k.stepH
}
