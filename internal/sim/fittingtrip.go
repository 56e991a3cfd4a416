package sim

import (
	"math"

	"tripsim/internal/solar"
)

// tripCurrents are the largest currents of the typical trip, A.
type tripCurrents struct {
	outA, inA   float64 // battery: out (while uses run), in
	inverterA   float64
	dcA         float64
	chargerA    []float64 // output, per charger
	alternatorA []float64 // input, per charger
	panelA      []float64 // per panel
}

// tripCurrents runs the trip in typical weather and notes the largest current
// of every run.
func (f *fitting) tripCurrents() (tripCurrents, error) {
	s, p, sys := f.study, f.plan, f.System
	c := tripCurrents{
		chargerA: make([]float64, len(sys.Chargers)), alternatorA: make([]float64, len(sys.Chargers)),
		panelA: make([]float64, len(sys.Panels)),
	}
	series := s.sky.NewSeries()
	s.sky.Typical(series)
	sm := newSums(len(s.it.slots))
	sm.copyFrom(&s.demand.planned)
	fridgeW := s.demand.fridgePeaks(series.AirTempC, &sm)
	tr := p.newTrace()
	p.fill(tr, &sm, series.GHIWm2, series.DHIWm2, series.AirTempC, nil)
	k, err := s.newKernel(p, tr)
	if err != nil {
		return c, err
	}
	k.start(sys.StartSoC)
	var fl flow
	for t := range s.it.slots {
		before := k.volt
		k.step(t, &fl)
		c.note(f, k, tr, &fl, t, before)
		if fl.served > 0 {
			c.dcA = math.Max(c.dcA, (sm.dcPeakW[t]+fridgeW[t]+sys.StandbyW)/k.volt)
		}
	}
	c.panels(f, series.GHIWm2, series.DHIWm2, series.AirTempC)
	return c, nil
}

// note looks at a step: the battery, the inverter and the chargers. The
// chargers' shares are those of the kernel at the voltage before the step, cut
// back with their source.
func (c *tripCurrents) note(f *fitting, k *kernel, tr *trace, fl *flow, t int, before float64) {
	d, ac := &k.drives[t], &tr.ac[1][t]
	if fl.shed {
		d, ac = &k.shed[t], &tr.ac[0][t]
	}
	c.inA = math.Max(c.inA, fl.iA)
	out := -fl.iA
	if !fl.tripped {
		out = math.Max(out, fl.peakA)
		if fl.served > 0 {
			volt := fl.voltV
			if fl.peakA > 0 {
				volt = k.pack.InternalV(k.bat) - k.pack.ROhm*k.air[t].RFactor*fl.peakA
			}
			c.inverterA = math.Max(c.inverterA, math.Max(ac.inW, ac.peakInW)/volt)
		}
	}
	c.outA = math.Max(c.outA, out)
	if !d.sourced {
		return
	}
	var used [3]float64
	for s := range 3 {
		if offered := k.offer.ampA[s]*fl.voltV + k.offer.powW[s]; offered > 0 {
			used[s] = fl.busW[s] / offered
		}
	}
	order := chargerOrder(f.System.Chargers)
	for u, one := range k.split(t, d, before) {
		i := order[u]
		c.chargerA[i] = math.Max(c.chargerA[i], used[0]*one[0]+used[1]*one[1]+used[2]*one[2])
		if d.drv > 0 {
			inA := used[altSrc] * one[altSrc] * fl.voltV * k.units[u].invEff / f.UsualAlternatorV()
			c.alternatorA[i] = math.Max(c.alternatorA[i], inA/math.Min(1, d.drv))
		}
	}
}

// split is gather unit by unit: what each gives from each source, A at volt.
func (k *kernel) split(t int, d *drive, volt float64) [][3]float64 {
	out := make([][3]float64, len(k.units))
	all := k.units
	var before offer
	for n := range all { // the first n+1 units less the first n
		k.units = all[:n+1]
		var o offer
		k.gather(t, d, volt, &o)
		for s := range 3 {
			out[n][s] = o.ampA[s] - before.ampA[s] + (o.powW[s]-before.powW[s])/volt
		}
		before = o
	}
	k.units = all
	return out
}

// panels notes the panels' largest currents at their power point.
func (c *tripCurrents) panels(f *fitting, ghi, dhi, airC []float64) {
	iv := f.study.intervals
	for i := range f.plan.panels {
		pn := &f.plan.panels[i]
		for t, light := range pn.light {
			if light == 0 || ghi[t] <= 0 {
				continue
			}
			poa := f.study.opt.Sky.PlaneOfArrayWm2(ghi[t], dhi[t], &iv[t], &pn.factors[t], f.study.opt.Albedo) * light
			c.panelA[i] = math.Max(c.panelA[i], solar.PanelW(pn.ratedW, poa, airC[t], pn.params)/f.Options.PanelV)
		}
	}
}

// fridgePeaks adds the fridges' mean power to s and returns the power of the
// DC compressors that run in each slot.
func (d *demand) fridgePeaks(airC []float64, s *sums) []float64 {
	running := make([]float64, len(airC))
	d.addFridges(s, airC, func(load, t int, _, duty, _ float64) {
		if l := &d.loads[load]; l.Supply == DC && duty > 0 {
			running[t] += l.ratedW()
		}
	})
	return running
}
