package sim

import (
	"fmt"
	"math"

	"tripsim/internal/profiles"
	"tripsim/internal/solar"
)

// plan is what a system makes of a trip before the weather is known: the plane
// of every panel in every slot, the sources by slot, the AC side.
type plan struct {
	study  *Study
	sys    *System
	units  []unit
	panels []panelPlan
	fixed  []fixedSlot
	own    *sums       // what may hang on the inverter, where no draw changes it; else nil
	ac     [2][]acStep // with own: [1] all appliances, [0] essential only (when shedding), without heat
	tooBig []bool      // per load: asks for more than the inverter's rating; nil = none
	sinceH []float64   // hours since the engine was started, per slot with it running
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
	p.planOutlets()
	return p, nil
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
	return unit{c.SolarA, c.AlternatorA, c.MainsA, c.RatingA(), c.Efficiency, 1 / c.Efficiency}
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
	panelW       []float64   // all panels at their power point
	ac           [2][]acStep // the plan's, until the heat changes it
	hot          [2][]int32  // slots of ac that differ from the plan's
	own          sums        // scratch: what may hang on the inverter in this draw
	trips        tripping
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
	p.startOutlets(tr)
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
	p.fillOutlets(tr, s, planned, airC)
	p.fillBus(tr, s, airC, driven, 1)
}

// fillBus works out the battery's air and the drives from the filled panels
// and outlets, with the panels' power times panels: the heater waits for the sun.
func (p *plan) fillBus(tr *trace, s *sums, airC, driven []float64, panels float64) {
	if p.sys.Battery.HeaterW > 0 {
		for t := range tr.source {
			f := &p.fixed[t]
			tr.source[t] = f.drv+f.idle > 0 || f.mns > 0 || panels*tr.panelW[t] > heaterSunShare*p.sys.Battery.HeaterW
		}
	}
	profiles.PackAirs(p.sys.Battery, airC, tr.source, p.study.it.stepH, tr.air, tr.heaterW)
	p.fillDrives(tr.drives, tr, s, tr.ac[1], 1, airC, driven)
	if tr.shed != nil {
		p.fillDrives(tr.shed, tr, s, tr.ac[0], 0, airC, driven)
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
	limited, altV := !math.IsNaN(sys.AlternatorSpareA), sys.AlternatorV()
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
				d.altW = altV * d.drv * spareMeanA(driving, airC[t], p.sinceH[t], p.study.it.stepH)
				if f.idle > 0 {
					d.altW += altV * f.idle * spareMeanA(idling, airC[t], p.sinceH[t], p.study.it.stepH)
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
