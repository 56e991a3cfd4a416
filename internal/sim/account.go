package sim

import (
	"fmt"
	"math"
	"slices"

	"tripsim/internal/profiles"
	"tripsim/internal/weather"
)

// maxResidual is the largest imbalance of a step that rounding can explain,
// relative to the energy moved in it.
const maxResidual = 1e-9

// full runs a system on one weather and keeps everything.
func (s *Study) full(sys *System, sky *weather.Series, u *use, what string) (*Result, error) {
	p, err := s.newPlan(sys)
	if err != nil {
		return nil, err
	}
	n := len(s.it.slots)
	r := &Result{
		Trip: s.trip, System: sys, Step: s.opt.Step, Weather: what, Slots: s.it.slots,
		Rows: make([]Row, n), StartSoC: sys.StartSoC, Climate: s.climate,
	}
	r.Traces = Traces{
		AirC: append([]float64(nil), sky.AirTempC...), GHIWm2: append([]float64(nil), sky.GHIWm2...),
		LoadW: make([][]float64, len(s.demand.loads)), DemandW: make([]float64, n),
	}
	k, out, err := s.prepare(p, r, sky, u)
	if err != nil {
		return nil, err
	}
	k.start(sys.StartSoC)
	r.MinSoC = k.pack.MinSoC
	a := accountant{r: r, plan: p, k: k, out: out, tripped: map[int]cut{}}
	var f flow
	for t := range r.Rows {
		ocvV := k.pack.OCV(k.soc)
		k.step(t, &f)
		a.book(t, &f, ocvV)
	}
	a.finish(sky)
	return r, nil
}

// prepare fills the traces of a full run and returns the kernel.
func (s *Study) prepare(p *plan, r *Result, sky *weather.Series, u *use) (*kernel, *outcome, error) {
	sm := newSums(len(s.it.slots))
	used := &s.demand.usage
	if u != nil {
		used = &u.usage
		s.demand.addUp(&sm, used, nil)
	} else {
		sm.copyFrom(&s.demand.planned)
	}
	for i := range r.Traces.LoadW {
		r.Traces.LoadW[i] = used.meanW[i] // shared: nothing writes to it from here on
		if s.demand.loads[i].dependsOnSystem() {
			r.Traces.LoadW[i] = slices.Clone(used.meanW[i])
		}
	}
	out := newOutcome(s.demand, used)
	s.demand.addFridges(&sm, sky.AirTempC, func(load, t int, w, duty, boxC float64) {
		r.Traces.LoadW[load][t] = w
		out.fridges[load].step(t, duty, boxC)
	})
	tr := p.newTrace()
	p.fill(tr, &sm, sky.GHIWm2, sky.DHIWm2, sky.AirTempC, u)
	for i := range r.Traces.LoadW {
		p.dropIdleStandby(i, tr.ac[1], r.Traces.LoadW[i])
		for t, x := range r.Traces.LoadW[i] {
			r.Traces.DemandW[t] += x
		}
	}
	out.trace = tr
	r.Traces.PanelW = tr.panelW
	k, err := s.newKernel(p, tr)
	return k, out, err
}

// accountant turns flows into rows, days and accounts.
type accountant struct {
	r       *Result
	plan    *plan
	k       *kernel
	out     *outcome
	tripped map[int]cut // by slot
}

// book writes the row of slot t; ocvV is the rest voltage at its start.
func (a *accountant) book(t int, f *flow, ocvV float64) {
	dt := a.k.stepH
	row := &a.r.Rows[t]
	d, ac := &a.k.drives[t], &a.out.trace.ac[1][t]
	if f.shed {
		d, ac = &a.k.shed[t], &a.out.trace.ac[0][t]
	}
	heaterW := a.out.trace.heaterW[t]
	acIn, acOut := ac.inW-f.cut.inW, ac.outW-f.cut.outW
	acIn, acOut, heaterW = acIn*f.served, acOut*f.served, heaterW*f.heated
	l := Ledger{
		SolarWh: f.inW[solarSrc] * dt, AlternatorWh: f.inW[altSrc] * dt, MainsWh: f.inW[mainsSrc] * dt,
		SolarBusWh: f.busW[solarSrc] * dt, AlternatorBusWh: f.busW[altSrc] * dt, MainsBusWh: f.busW[mainsSrc] * dt,
		TransferWh: ac.transferW * dt, HeaterWh: heaterW * dt,
		DCLoadWh:       (f.loadW - acIn - heaterW) * dt,
		ACLoadWh:       (acOut + ac.transferW) * dt,
		InverterLossWh: (acIn - acOut) * dt,
	}
	l.ChargerLossWh = l.SolarWh + l.AlternatorWh + l.MainsWh - l.SolarBusWh - l.AlternatorBusWh - l.MainsBusWh
	ah := f.iA * dt
	l.StoreChangeWh = ocvV * (ah - f.coulombAh - f.selfAh)
	l.SelfDischargeWh = ocvV * f.selfAh
	l.BatteryLossWh = (f.voltV-ocvV)*ah + ocvV*f.coulombAh
	if ah > 0 {
		l.ChargedWh = f.voltV * ah
	} else {
		l.DischargedWh = -f.voltV * ah
	}
	l.SpilledWh = math.Max(0, a.out.trace.panelW[t]*dt-l.SolarWh)
	l.UnservedWh = d.unservedW(f) * dt
	all := &a.out.trace.ac[1][t]
	l.NoOutletWh = all.noneW * dt
	if f.shed {
		l.ShedWh = math.Max(0, a.k.drives[t].dcW+all.outW+all.clipW-d.dcW-ac.outW-ac.clipW) * dt
	}
	*row = Row{
		Ledger: l, SoC: a.k.soc, VoltageV: f.voltV, BatteryA: f.iA, Refused: f.refused, Shed: f.shed,
		FlatH: f.flat * dt, OffH: (1 - f.served) * dt, BatteryC: a.k.air[t].TempC, FloorSoC: a.k.floor(t), InputA: f.inW[altSrc] / a.plan.sys.AlternatorV(),
		PeakA: math.Max(f.peakA, -f.iA),
	}
	if f.tripped {
		row.TripH, a.tripped[t] = f.cut.share*dt, f.cut
	}
	if d.drv > 0 && d.drv < 1 {
		row.InputA /= d.drv
	}
	a.check(t, row)
}

// check asserts that the step's energy closes.
func (a *accountant) check(t int, row *Row) {
	moved := row.InWh() + row.ServedWh() + row.ChargedWh + row.DischargedWh + row.SelfDischargeWh + math.Abs(row.StoreChangeWh) + 1e-6
	rel := math.Abs(row.Residual()) / moved
	if rel > maxResidual || math.IsNaN(rel) {
		panic(fmt.Sprintf("sim: energy does not close in step %d: residual %g Wh of %g Wh: %+v", t, row.Residual(), moved, *row))
	}
	a.r.Residual = math.Max(a.r.Residual, rel)
}

// finish adds up days, loads, spells and events.
func (a *accountant) finish(sky *weather.Series) {
	r := a.r
	it := a.plan.study.it
	r.LowSoC, r.EndSoC = r.StartSoC, r.StartSoC
	r.Days = make([]Day, len(it.days))
	for i := range r.Days {
		d := &it.days[i]
		r.Days[i] = Day{
			Date: d.date, Stop: d.stop, Place: r.Trip.Stops[d.stop].Place, LowSoC: math.Inf(1),
			TempMinC: math.Inf(1), TempMaxC: math.Inf(-1), FirstRow: -1, Clearness: sky.Clearness[i],
		}
	}
	r.LowReserve = r.StartSoC - r.Rows[0].FloorSoC
	for t := range r.Rows {
		a.addToDay(t)
		r.LowReserve = math.Min(r.LowReserve, r.Rows[t].SoC-r.Rows[t].FloorSoC)
	}
	for i := range r.Days {
		d := &r.Days[i]
		r.Total.Add(&d.Ledger)
		r.FlatH += d.FlatH
		r.LowSoC = math.Min(r.LowSoC, d.LowSoC)
		if d.Flat() {
			r.FlatDays++
		}
	}
	r.EndSoC = r.Rows[len(r.Rows)-1].SoC
	a.accounts()
	r.Flats = flatSpells(r, a.plan.study.demand.loads, a.cannotRun())
	r.Events = a.events()
	a.life()
}

func (a *accountant) addToDay(t int) {
	r, dt := a.r, a.k.stepH
	row, slot := &r.Rows[t], &r.Slots[t]
	d := &r.Days[slot.Day]
	if d.FirstRow < 0 {
		d.FirstRow = t
	}
	d.EndRow = t + 1
	d.Ledger.Add(&row.Ledger)
	d.Hours += dt
	d.DriveH += slot.DriveH
	d.IdleH += slot.IdleH
	d.MainsH += slot.MainsH + slot.GenH
	d.FlatH += row.FlatH
	d.TripH += row.TripH
	d.Refused = d.Refused || row.Refused
	d.EndSoC = row.SoC
	if row.SoC < d.LowSoC {
		d.LowSoC, d.LowAt = row.SoC, slot.Start.Add(r.Step)
	}
	d.TempMinC = math.Min(d.TempMinC, r.Traces.AirC[t])
	d.TempMaxC = math.Max(d.TempMaxC, r.Traces.AirC[t])
	d.SunKWhM2 += r.Traces.GHIWm2[t] * dt / 1000
}

// life reckons wear and autonomy.
func (a *accountant) life() {
	r := a.r
	soc := make([]float64, 0, len(r.Rows)+1)
	soc = append(soc, r.StartSoC)
	for t := range r.Rows {
		soc = append(soc, r.Rows[t].SoC)
	}
	r.WearShare, r.EquivalentCycles = profiles.Wear(soc, r.System.Battery.Chemistry)
	r.LifeYears = lifeYears(len(r.Days), r.WearShare)
	usableWh := a.k.pack.CapacityAh * (1 - a.k.pack.MinSoC) * a.k.pack.OCV(0.5)
	daily := 0.0
	for t := range a.k.drives {
		daily += a.k.drives[t].loadW * a.k.stepH
	}
	daily /= float64(len(r.Rows)) * a.k.stepH / 24
	r.AutonomyDays = math.Inf(1)
	if daily > 0 {
		r.AutonomyDays = usableWh / daily
	}
}
