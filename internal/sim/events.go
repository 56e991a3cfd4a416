package sim

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"
)

// eventLog gathers events: what happens again to the same appliance joins the
// event that is there.
type eventLog struct {
	r    *Result
	list []Event
	at   map[eventKey]int
	last map[eventKey]int // slot of the latest time
	size map[eventKey]float64
}

type eventKey struct {
	kind EventKind
	load string
}

// note books an event that fills slot t. size tells which time was the worst.
func (e *eventLog) note(t int, kind EventKind, load string, size float64, detail func() string) {
	e.noteFor(t, e.r.Step.Hours(), kind, load, size, detail)
}

// noteFor books an event of some hours in slot t.
func (e *eventLog) noteFor(t int, hours float64, kind EventKind, load string, size float64, detail func() string) {
	key := eventKey{kind, load}
	start := e.r.Slots[t].Start
	i, seen := e.at[key]
	if !seen {
		i = len(e.list)
		e.at[key] = i
		e.list = append(e.list, Event{Kind: kind, Start: start, Load: load})
	}
	ev := &e.list[i]
	if !seen || e.last[key] != t-1 {
		ev.Times = append(ev.Times, start)
	}
	if !seen || size > e.size[key] {
		e.size[key], ev.Detail = size, detail()
	}
	ev.Hours += hours
	e.last[key] = t
}

// events lists what the adviser must know of, in order of time.
func (a *accountant) events() []Event {
	r := a.r
	log := eventLog{r: r, at: map[eventKey]int{}, last: map[eventKey]int{}, size: map[eventKey]float64{}}
	for t := range r.Rows {
		a.slotEvents(t, &log)
	}
	out := append(log.list, a.surges()...)
	whole := float64(len(r.Rows)) * a.k.stepH
	first := r.Slots[0].Start
	for i := range r.Loads {
		l := &r.Loads[i]
		if l.CouldNotHold {
			out = append(out, Event{
				Kind: FridgeWarm, Start: first, Times: []time.Time{first}, Hours: whole, Load: l.Name,
				Detail: fmt.Sprintf("%s cannot hold its set point: up to %.0f °C inside.", l.Name, l.WarmestC),
			})
		}
		if l.HardlyRuns {
			out = append(out, Event{
				Kind: FridgeIdle, Start: first, Times: []time.Time{first}, Hours: whole, Load: l.Name,
				Detail: fmt.Sprintf("%s runs %.0f %% of the time: it sees the outside air; in a heated room give ambient_min_c.", l.Name, 100*l.DutyMean),
			})
		}
		if l.NoOutletWh > 0.5 {
			out = append(out, Event{
				Kind: NoOutlet, Start: first, Times: []time.Time{first}, Hours: whole, Load: l.Name,
				Detail: a.noOutletText(i),
			})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Start.Before(out[j].Start) })
	return out
}

func (a *accountant) noOutletText(i int) string {
	l := &a.r.Loads[i]
	why := "while the inverter is off"
	switch {
	case a.plan.sys.Inverter.RatedW <= 0:
		why = "with no inverter fitted"
	case a.plan.tooBig != nil && a.plan.tooBig[i]:
		why = fmt.Sprintf("of an inverter rated %.0f W, too small for its %.0f W", a.plan.sys.Inverter.RatedW, l.PeakW)
	}
	return fmt.Sprintf("%s asks for %.0f Wh of AC away from mains %s: not part of this system's load.", l.Name, l.NoOutletWh, why)
}

func (a *accountant) slotEvents(t int, log *eventLog) {
	r, sys, row := a.r, a.plan.sys, &a.r.Rows[t]
	ac := &a.out.trace.ac[1][t]
	if row.Shed {
		ac = &a.out.trace.ac[0][t]
	}
	limit, tripA := a.k.pack.MaxDischargeA, a.k.pack.TripA
	if ac.clipW > 0 {
		names := a.running(t)
		log.note(t, Overload, names, ac.onVA, func() string {
			return fmt.Sprintf("%s: %.0f VA asked of an inverter that gives %.0f VA at %.0f °C; %s.",
				names, ac.onVA, ac.limitVA, r.Traces.AirC[t], turns(names))
		})
	}
	switch {
	case row.TripH > 0 && row.PeakA > tripA:
		names := a.running(t)
		log.noteFor(t, row.TripH, OverCurrent, names, row.PeakA, func() string {
			return fmt.Sprintf("%s: %.0f A from a battery limited to %.0f A; its protection cuts the inverter off.", names, row.PeakA, limit)
		})
	case row.TripH > 0:
		names := a.running(t)
		log.noteFor(t, row.TripH, LowVoltage, names, 1-row.SoC, func() string {
			return fmt.Sprintf("%s: pulls the battery below the inverter's cut-off of %.1f V while it still holds %.0f %%.", names, a.k.cutV, 100*row.SoC)
		})
	case row.CutH() > 0:
		asked := limit * a.k.stepH / (a.k.stepH - row.OffH)
		log.note(t, OverCurrent, "", asked, func() string {
			return fmt.Sprintf("The appliances ask for %.0f A of a battery limited to %.0f A; its protection cuts them off for a part of the time.", asked, limit)
		})
	}
	if row.PeakA > limit && math.IsInf(tripA, 1) { // lead-acid: nothing cuts it off
		log.note(t, OverCurrent, "", row.PeakA, func() string {
			return fmt.Sprintf("The appliances draw %.0f A of a battery that should give %.0f A at most: more than it should give, and nothing protects it.", row.PeakA, limit)
		})
	}
	if row.FlatH > 0 && (t == 0 || r.Rows[t-1].FlatH == 0) && row.SoC > row.FloorSoC+aboveFloor && sys.Battery.CutoffV > 0 {
		log.note(t, LowVoltage, "", row.SoC, func() string {
			return fmt.Sprintf("The appliances pull the battery below its cut-off of %g V while it still holds %.0f %%: it disconnects.", sys.Battery.CutoffV, 100*row.SoC)
		})
	}
	if row.Refused {
		log.note(t, ChargeRefused, "", math.Abs(row.BatteryC-20), func() string {
			return fmt.Sprintf("The battery refuses charge at %.0f °C.", row.BatteryC)
		})
	}
	if f := &a.plan.fixed[t]; f.siteShare > 0 && ac.sitePeakW > f.siteW/f.siteShare*(1+1e-9) {
		names := a.running(t)
		log.note(t, SiteLimit, names, ac.sitePeakW, func() string {
			return fmt.Sprintf("%s: %.0f W asked of a site that gives %.0f W.", names, ac.sitePeakW, f.siteW/f.siteShare)
		})
	}
}

// aboveFloor is how far above its floor a battery that disconnects must be for
// that to be on its voltage.
const aboveFloor = 0.005

// turns says what an overload means for one appliance, or for several.
func turns(names string) string {
	if strings.Contains(names, " + ") {
		return "they have to take turns"
	}
	return "it does not get all of that"
}

// running names the AC appliances on at slot t that matter, largest first.
func (a *accountant) running(t int) string {
	loads := a.plan.study.demand.loads
	type on struct {
		name string
		w    float64
	}
	var list []on
	sum := 0.0
	for i := range loads {
		w := a.r.Traces.LoadW[i][t]
		if loads[i].Supply != AC || w <= 0 || (a.plan.tooBig != nil && a.plan.tooBig[i] && a.plan.fixed[t].siteShare == 0) {
			continue
		}
		if a.out.used.onShare[i][t] > 0 {
			w = loads[i].Watts
		}
		list = append(list, on{loads[i].Name, w})
		sum += w
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].w > list[j].w })
	var names []string
	for i, o := range list {
		if i == 3 || (i > 0 && o.w < 0.05*sum) {
			break
		}
		names = append(names, o.name)
	}
	return strings.Join(names, " + ")
}

// surges finds the appliances whose start peak is beyond the inverter's, where
// it may run and no site feeds them.
func (a *accountant) surges() []Event {
	inv := &a.plan.sys.Inverter
	if inv.RatedW <= 0 {
		return nil
	}
	var out []Event
	d := a.plan.study.demand
	for i := range d.loads {
		l := &d.loads[i]
		if l.Supply != AC || l.SurgeW <= inv.SurgeW || (a.plan.tooBig != nil && a.plan.tooBig[i]) {
			continue
		}
		if times := a.starts(i); len(times) > 0 {
			out = append(out, Event{Kind: Surge, Start: times[0], Times: times, Load: l.Name, Detail: fmt.Sprintf(
				"%s starts with %.0f W, beyond the inverter's surge of %.0f W.", l.Name, l.SurgeW, inv.SurgeW)})
		}
	}
	return out
}

// starts are the times at which the inverter has to start appliance i. A
// fridge's compressor starts time and again: of each stretch in which it is used
// only the first start is told.
func (a *accountant) starts(i int) (times []time.Time) {
	d := a.plan.study.demand
	l := &d.loads[i]
	was := false
	for t := range a.r.Slots {
		on := a.out.used.onShare[i][t] > 0
		if l.Kind == Fridge {
			on = d.uses(l, t) && (was || a.r.Traces.LoadW[i][t] > l.Fridge.StandbyW)
		}
		if f := &a.plan.fixed[t]; f.siteShare >= 1 || f.mayRun <= 0 {
			on = false
		}
		if on && !was {
			times = append(times, a.r.Slots[t].Start)
		}
		was = on
	}
	return times
}
