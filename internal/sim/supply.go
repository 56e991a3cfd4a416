package sim

import (
	"fmt"
	"math"
	"time"

	"tripsim/internal/profiles"
	"tripsim/internal/solar"
)

// siteV is the nominal voltage of mains by which a site's limit is given, V.
const siteV = 230

// plan is what a system makes of a trip before the weather is known: the plane
// of every panel in every slot, the sources by slot, the AC side.
type plan struct {
	study  *Study
	sys    *System
	units  []unit
	panels []panelPlan
	fixed  []fixedSlot
	ac     [2][]acStep // [1] all appliances, [0] essential only (when shedding)
	tooBig []bool      // per load: asks for more than the inverter's rating; nil = none
	sinceH []float64   // hours since the engine was started, per slot with it running
}

type panelPlan struct {
	unit    int
	ratedW  float64
	params  solar.PanelParams
	factors []solar.PlaneFactors
	light   []float64 // per slot: share of the sun left by shade, 0 = stowed
}

type fixedSlot struct {
	drv, mns  float64 // shares with the chargers connected
	idle      float64 // the same with the engine idling
	siteShare float64 // share in which a site feeds the AC outlets
	mayRun    float64 // share in which the inverter may run
	siteW     float64 // most that the site gives, W
	docked    float64 // share with the battery on its chargers
}

func (s *Study) newPlan(sys *System) (*plan, error) {
	if err := checkSystem(sys); err != nil {
		return nil, err
	}
	p := &plan{study: s, sys: sys}
	order := chargerOrder(sys.Chargers)
	at := make([]int, len(order)) // charger index -> unit index
	for u, c := range order {
		at[c] = u
		p.units = append(p.units, newUnit(&sys.Chargers[c]))
	}
	p.laySources()
	for i := range sys.Panels {
		p.panels = append(p.panels, s.planPanel(&sys.Panels[i], at[sys.Panels[i].Charger], p.fixed))
	}
	p.tooBig = s.demand.tooBigFor(sys)
	if !s.demand.acVaries() && s.opt.UseSpread == 0 {
		own := p.ownSums(&s.demand.planned, &s.demand.usage, nil)
		p.layOutlets(&s.demand.planned, own, p.ac[:], nil)
	}
	return p, nil
}

// ownSums returns the appliances that may hang on the system's own inverter.
func (p *plan) ownSums(all *sums, u *usage, airC []float64) *sums {
	if p.tooBig == nil {
		return all
	}
	d := p.study.demand
	own := newSums(len(p.fixed))
	d.addUp(&own, u, p.tooBig)
	if airC != nil {
		d.addFridges(&own, airC, nil)
	}
	return &own
}

func checkSystem(sys *System) error {
	for _, c := range sys.Chargers {
		if c.Efficiency <= 0 || c.Efficiency > 1 {
			return fmt.Errorf("system %s, charger %s: an efficiency of %g is not above 0 and at most 1", sys.Name, c.Name, c.Efficiency)
		}
	}
	for _, p := range sys.Panels {
		if p.Charger < 0 || p.Charger >= len(sys.Chargers) || sys.Chargers[p.Charger].SolarA <= 0 {
			return fmt.Errorf("system %s, panel %s: has no regulator with a solar input", sys.Name, p.Name)
		}
	}
	return nil
}

// chargerOrder lists the chargers in the order in which they are used.
func chargerOrder(cs []Charger) []int {
	order := make([]int, len(cs))
	for i := range order {
		order[i] = i
		for j := i; j > 0 && cs[order[j]].Priority < cs[order[j-1]].Priority; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	return order
}

func newUnit(c *Charger) unit {
	total := c.TotalA
	if !(total > 0) {
		total = c.AlternatorA + c.SolarA + c.MainsA
	}
	return unit{c.SolarA, c.AlternatorA, c.MainsA, total, c.Efficiency, 1 / c.Efficiency}
}

// laySources fills the weather-independent side of every slot.
func (p *plan) laySources() {
	it, sys := p.study.it, p.sys
	n := len(it.slots)
	p.fixed = make([]fixedSlot, n)
	p.sinceH = make([]float64, n)
	for t := range p.fixed {
		s := &it.slots[t]
		stop := &it.trip.Stops[s.Stop]
		f := &p.fixed[t]
		f.docked = p.docked(t)
		f.drv, f.idle = s.DriveH/it.stepH*f.docked, s.IdleH/it.stepH*f.docked
		site := (s.MainsH + s.GenH) / it.stepH
		f.mns = site * f.docked
		if sys.ACTransfer {
			f.siteShare = site
		}
		f.mayRun = inverterMayRun(sys, it, t)
		f.siteW = siteLimitW(stop, s, it.stepH)
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

// siteLimitW is the most that mains and generator give in a slot, mean W.
func siteLimitW(stop *Stop, s *Slot, stepH float64) float64 {
	w := stop.GenW * s.GenH / stepH
	switch {
	case s.MainsH > 0 && stop.MainsA > 0:
		w += stop.MainsA * siteV * s.MainsH / stepH
	case s.MainsH > 0:
		return math.Inf(1)
	}
	return w
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

// layOutlets works out the AC side by slot: all is what a site would feed, own
// what the inverter may. airC may be nil: then the rating at 25 C counts.
func (p *plan) layOutlets(all, own *sums, dst [][]acStep, airC []float64) {
	first := 1
	if p.sys.ShedSoC > 0 {
		first = 0
	}
	n := len(p.fixed)
	for last := first; last <= 1; last++ {
		if cap(dst[last]) < n {
			dst[last] = make([]acStep, n)
		}
		dst[last] = dst[last][:n]
		for t := range n {
			f, air := &p.fixed[t], 25.0
			if airC != nil {
				air = airC[t]
			}
			dst[last][t] = acOutlets(all, own, t, last, p.study.it.stepH, f.siteShare, f.mayRun, air, p.sys)
		}
	}
}

func (s *Study) planPanel(pn *Panel, unit int, fixed []fixedSlot) panelPlan {
	it := s.it
	n := len(it.slots)
	pp := panelPlan{
		unit: unit, ratedW: pn.RatedW, params: panelParams(pn),
		factors: make([]solar.PlaneFactors, n), light: make([]float64, n),
	}
	plane := planeOf(pn)
	step := time.Duration(it.stepH * float64(time.Hour))
	for t := range n {
		slot := &it.slots[t]
		light := (1 - pn.Shade) * (1 - slot.ShadeIn) * fixed[t].docked
		if !pn.onTheRoad() {
			light *= 1 - slot.DriveH/it.stepH
		}
		if s.intervals[t].I0HorizWm2 <= 0 || light <= 0 {
			continue
		}
		pp.light[t] = light
		pp.factors[t] = solar.PlaneFactorsAt(slot.Start, step, it.place[t], plane, s.opt.Linke)
	}
	return pp
}

func planeOf(pn *Panel) solar.Plane {
	pl := solar.Plane{Mount: solar.Fixed, TiltDeg: pn.TiltDeg, AzimuthDeg: pn.AzimuthDeg}
	if math.IsNaN(pn.AzimuthDeg) {
		pl.AzimuthDeg = 0
		if pn.Mount == Roof {
			pl.Mount = solar.HeadingAveraged
		} else {
			pl.Mount, pl.TurnsPerDay = solar.Turned, max(1, pn.TurnsPerDay)
		}
	}
	return pl
}

// heaterSunShare is how much of the heater's power the panels must offer before
// it is switched on, so that it does not drain the battery on a token of sun.
const heaterSunShare = 1.1

// trace is a system on one weather draw: what the kernel runs on. Its buffers
// are reused from draw to draw.
type trace struct {
	drives, shed []drive
	air          []profiles.PackAir
	heaterW      []float64
	source       []bool // what is there can feed the battery's heater
	pvBusW       [][]float64
	panelW       []float64 // all panels at their power point
	ac           [2][]acStep
}

func (p *plan) newTrace() *trace {
	n := len(p.fixed)
	tr := &trace{
		drives: make([]drive, n), air: make([]profiles.PackAir, n), heaterW: make([]float64, n),
		source: make([]bool, n), pvBusW: make([][]float64, len(p.units)), panelW: make([]float64, n),
	}
	if p.sys.ShedSoC > 0 {
		tr.shed = make([]drive, n)
	}
	for i := range p.panels {
		if u := p.panels[i].unit; tr.pvBusW[u] == nil {
			tr.pvBusW[u] = make([]float64, n)
		}
	}
	return tr
}

// fill makes the traces of a draw: s are its appliances with fridges, w its sky
// and air.
func (p *plan) fill(tr *trace, s *sums, ghi, dhi, airC []float64, u *use) {
	planned := &p.study.demand.usage
	var driven []float64
	if u != nil {
		planned, driven = &u.usage, u.driven
	}
	p.fillPanels(tr, ghi, dhi, airC)
	if p.sys.Battery.HeaterW > 0 {
		for t := range tr.source {
			f := &p.fixed[t]
			tr.source[t] = f.drv+f.idle > 0 || f.mns > 0 || tr.panelW[t] > heaterSunShare*p.sys.Battery.HeaterW
		}
	}
	profiles.PackAirs(p.sys.Battery, airC, tr.source, p.study.it.stepH, tr.air, tr.heaterW)
	ac := &p.ac
	if ac[1] == nil {
		p.layOutlets(s, p.ownSums(s, planned, airC), tr.ac[:], airC)
		ac = &tr.ac
	}
	p.fillDrives(tr.drives, tr, s, ac[1], 1, airC, driven)
	if tr.shed != nil {
		p.fillDrives(tr.shed, tr, s, ac[0], 0, airC, driven)
	}
}

func (p *plan) fillPanels(tr *trace, ghi, dhi, airC []float64) {
	clear(tr.panelW)
	for _, w := range tr.pvBusW {
		clear(w)
	}
	sky, albedo, iv := p.study.opt.Sky, p.study.opt.Albedo, p.study.intervals
	for i := range p.panels {
		pn := &p.panels[i]
		bus, eff := tr.pvBusW[pn.unit], p.units[pn.unit].eff
		for t, light := range pn.light {
			if light == 0 || ghi[t] <= 0 {
				continue
			}
			poa := sky.PlaneOfArrayWm2(ghi[t], dhi[t], &iv[t], &pn.factors[t], albedo) * light
			w := solar.PanelW(pn.ratedW, poa, airC[t], pn.params)
			tr.panelW[t] += w
			bus[t] += w * eff
		}
	}
}

// fillDrives fills one set of drives; last is the last class of appliances that
// is on. driven[day], if given, is the share of the planned driving that is done.
func (p *plan) fillDrives(dst []drive, tr *trace, s *sums, ac []acStep, last int, airC, driven []float64) {
	sys := p.sys
	driving := profiles.Alternator{SpareA: sys.AlternatorSpareA}
	idling := driving.Idling()
	limited := !math.IsNaN(sys.AlternatorSpareA)
	for t := range dst {
		f, a := &p.fixed[t], &ac[t]
		app := s.dcW[0][t]
		if last == 1 {
			app += s.dcW[1][t]
		}
		dc := app + sys.StandbyW + tr.heaterW[t]
		d := drive{
			loadW: dc + a.inW, acInW: a.inW, acOutW: a.outW, dcW: app, siteW: a.transferW, clipW: a.clipW, heaterW: tr.heaterW[t], drv: f.drv, mns: f.mns,
			altW: math.Inf(1), mainsW: math.Inf(1), sourced: tr.panelW[t] > 0 || f.drv+f.idle > 0 || f.mns > 0,
		}
		if a.peakInW > 0 {
			d.peakW = dc + a.peakInW
		}
		if f.drv+f.idle > 0 {
			if driven != nil {
				d.drv *= driven[p.study.it.slots[t].Day]
			}
			if limited {
				d.altW = alternatorV * d.drv * spareMeanA(driving, airC[t], p.sinceH[t], p.study.it.stepH)
				if f.idle > 0 {
					d.altW += alternatorV * f.idle * spareMeanA(idling, airC[t], p.sinceH[t], p.study.it.stepH)
				}
			}
			d.drv += f.idle
		}
		if f.mns > 0 {
			d.mainsW = math.Max(0, f.siteW-a.transferW)
		}
		dst[t] = d
	}
}

func panelParams(pn *Panel) solar.PanelParams {
	return solar.PanelParams{TempCoeffPerK: pn.TempCoeffPerK, NOCTC: pn.NOCTC, Soiling: pn.Soiling}
}

// spareMeanA is the alternator's spare current over a slot, A. Soon after a
// start it changes fast, so it is taken at several moments.
func spareMeanA(a profiles.Alternator, airC, sinceH, stepH float64) float64 {
	if sinceH > 1+stepH {
		return a.AvailableA(airC, sinceH)
	}
	const parts = 12
	sum := 0.0
	for i := range parts {
		sum += a.AvailableA(airC, math.Max(0, sinceH+((float64(i)+0.5)/parts-0.5)*stepH))
	}
	return sum / parts
}
