package sim

import "slices"

// planOutlets lays the AC side out where it is the same in every draw, for an
// inverter that the heat leaves alone; derate mends the hot slots of a draw.
func (p *plan) planOutlets() {
	d := p.study.demand
	p.tooBig = d.tooBigFor(p.sys)
	if d.acVaries() || p.study.opt.UseSpread > 0 {
		return
	}
	p.own = &d.planned
	if p.tooBig != nil {
		own := newSums(len(p.fixed))
		d.addUp(&own, &d.usage, p.tooBig)
		own.work = runWork{}
		p.own = &own
	}
	for last := p.firstClass(); last <= 1; last++ {
		p.ac[last] = make([]acStep, len(p.fixed))
		for t := range p.ac[last] {
			p.ac[last][t] = p.outletsAt(t, last, &d.planned, p.own, noDeratingC)
		}
	}
}

// noDeratingC is an air temperature at which every inverter gives its rating, C.
const noDeratingC = 25

// firstClass is the first of the sets of appliances of acStep and drives: 0
// (essential only) when the others may be shed, else 1 (all).
func (p *plan) firstClass() int {
	if p.sys.ShedSoC > 0 {
		return 0
	}
	return 1
}

func (p *plan) outletsAt(t, last int, all, own *sums, airC float64) acStep {
	f := &p.fixed[t]
	return acOutlets(all, own, t, last, p.study.it.stepH, f.siteShare, f.mayRun, airC, p.sys)
}

// fillOutlets works out the AC side of a draw: all is what a site would feed,
// usage what it is made of without fridges.
func (p *plan) fillOutlets(tr *trace, all *sums, u *usage, airC []float64) {
	tr.trips = tripping{inv: &p.sys.Inverter, own: p.own, fixed: p.fixed, airC: airC}
	if p.own != nil {
		for last := p.firstClass(); last <= 1; last++ {
			p.derate(tr, last, airC)
		}
		return
	}
	own := all
	if p.tooBig != nil { // what the inverter may feed
		own = &tr.own
		p.study.demand.addUp(own, u, p.tooBig)
		p.study.demand.addFridgesBut(p.tooBig, own, airC, nil)
	}
	tr.trips.own = own
	for last := p.firstClass(); last <= 1; last++ {
		for t := range tr.ac[last] {
			tr.ac[last][t] = p.outletsAt(t, last, all, own, airC[t])
		}
	}
}

// derate brings the plan's AC side to the draw's air. It only differs where
// more is asked of the inverter than it gives in the heat.
func (p *plan) derate(tr *trace, last int, airC []float64) {
	inv, base := &p.sys.Inverter, p.ac[last]
	for _, t := range tr.hot[last] { // of the draw before
		tr.ac[last][t] = base[t]
	}
	tr.hot[last] = tr.hot[last][:0]
	for t := range base {
		if base[t].onVA <= 0 || airC[t] <= noDeratingC || base[t].onVA <= inv.RatedAtTempW(airC[t]) {
			continue
		}
		if &tr.ac[last][0] == &base[0] { // shared until now
			tr.ac[last] = slices.Clone(base)
		}
		tr.hot[last] = append(tr.hot[last], int32(t))
		tr.ac[last][t] = p.outletsAt(t, last, &p.study.demand.planned, p.own, airC[t])
	}
}

// startOutlets gives a trace the plan's AC side, or room for its own.
func (p *plan) startOutlets(tr *trace) {
	if p.own != nil {
		tr.ac = p.ac
		return
	}
	for last := p.firstClass(); last <= 1; last++ {
		tr.ac[last] = make([]acStep, len(p.fixed))
	}
	if p.tooBig != nil {
		tr.own = newSums(len(p.fixed))
	}
}
