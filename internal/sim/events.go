package sim

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"
)

// events lists what the adviser must know of, in order of time; slots in a row
// with the same matter are one event.
func (a *accountant) events() []Event {
	r := a.r
	dt := a.k.stepH
	var out []Event
	open := map[EventKind]int{} // kind -> index of the event that may go on
	note := func(t int, kind EventKind, load, detail string) {
		if i, ok := open[kind]; ok && out[i].Load == load && out[i].Start.Add(hours(out[i].Hours)).Equal(r.Slots[t].Start) {
			out[i].Hours += dt
			return
		}
		open[kind] = len(out)
		out = append(out, Event{Kind: kind, Start: r.Slots[t].Start, Hours: dt, Load: load, Detail: detail})
	}
	for t := range r.Rows {
		a.slotEvents(t, note)
	}
	out = append(out, a.surges()...)
	for i := range r.Loads {
		l := &r.Loads[i]
		if l.CouldNotHold {
			out = append(out, Event{Kind: FridgeWarm, Start: r.Slots[0].Start, Hours: float64(len(r.Rows)) * dt, Load: l.Name,
				Detail: fmt.Sprintf("%s cannot hold its set point: up to %.0f C inside.", l.Name, l.WarmestC)})
		}
		if l.NoOutletWh > 0 {
			out = append(out, Event{Kind: NoOutlet, Start: r.Slots[0].Start, Hours: float64(len(r.Rows)) * dt, Load: l.Name,
				Detail: fmt.Sprintf("%s asks for %.0f Wh of AC at times with no inverter on and no mains: not part of this system's load.", l.Name, l.NoOutletWh)})
		}
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Start.Before(out[j].Start) })
	return out
}

func (a *accountant) slotEvents(t int, note func(t int, kind EventKind, load, detail string)) {
	r, sys := a.r, a.plan.sys
	row := &r.Rows[t]
	ac := &a.out.trace.ac[1][t]
	if row.Shed {
		ac = &a.out.trace.ac[0][t]
	}
	rated := sys.Inverter.RatedAtTempW(r.Traces.AirC[t])
	if ac.clipW > 0 {
		names, asked := a.running(t)
		note(t, Overload, names, fmt.Sprintf("%s ask for %.0f W of an inverter rated %.0f W at this temperature: they must take turns.",
			names, math.Max(ac.onW, asked), rated))
	}
	switch {
	case row.TripH > 0 && a.tripBeyond(t):
		names, _ := a.running(t)
		note(t, OverCurrent, names, fmt.Sprintf("%s would draw %.0f A from a battery limited to %.0f A: its protection cuts the inverter off.",
			names, row.PeakA, a.k.pack.MaxDischargeA))
	case row.TripH > 0:
		names, _ := a.running(t)
		note(t, LowVoltage, names, fmt.Sprintf("%s pulls the battery below the inverter's cut-off of %.1f V while it still holds %.0f %%.",
			names, a.k.cutV, 100*row.SoC))
	case -row.BatteryA > a.k.pack.MaxDischargeA*(1+1e-9):
		note(t, OverCurrent, "", fmt.Sprintf("The appliances draw %.0f A from a battery limited to %.0f A.", -row.BatteryA, a.k.pack.MaxDischargeA))
	}
	if row.Refused {
		note(t, ChargeRefused, "", fmt.Sprintf("The battery, at %.0f C, refuses charge.", row.BatteryC))
	}
	if f := &a.plan.fixed[t]; f.mns+f.siteShare > 0 && ac.transferW > f.siteW {
		names, _ := a.running(t)
		note(t, SiteLimit, names, fmt.Sprintf("AC appliances ask for %.0f W of a site that gives %.0f W.", ac.transferW, f.siteW))
	}
}

// tripBeyond tells a trip on current from one on voltage.
func (a *accountant) tripBeyond(t int) bool {
	return a.r.Rows[t].PeakA > a.k.pack.MaxDischargeA
}

// running names the AC appliances on at slot t, largest first, and their watts.
func (a *accountant) running(t int) (string, float64) {
	loads := a.plan.study.demand.loads
	type on struct {
		name string
		w    float64
	}
	var list []on
	sum := 0.0
	for i := range loads {
		if loads[i].Supply != AC || a.r.Traces.LoadW[i][t] <= 0 {
			continue
		}
		w := a.r.Traces.LoadW[i][t]
		if a.plan.study.demand.onShare[i][t] > 0 {
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
	return strings.Join(names, " + "), sum
}

// surges finds the appliances whose start peak is beyond the inverter's.
func (a *accountant) surges() []Event {
	inv := &a.plan.sys.Inverter
	if inv.RatedW <= 0 {
		return nil
	}
	var out []Event
	d := a.plan.study.demand
	for i := range d.loads {
		l := &d.loads[i]
		if l.Supply != AC || l.SurgeW <= inv.SurgeW {
			continue
		}
		first, count, was := time.Time{}, 0, false
		for t, share := range d.onShare[i] {
			on := share > 0 && a.plan.fixed[t].siteShare < 1
			if on && !was {
				if count++; count == 1 {
					first = a.r.Slots[t].Start
				}
			}
			was = on
		}
		if count > 0 {
			out = append(out, Event{Kind: Surge, Start: first, Load: l.Name, Detail: fmt.Sprintf(
				"%s starts with %.0f W, beyond the inverter's surge of %.0f W (%d starts on this trip).", l.Name, l.SurgeW, inv.SurgeW, count)})
		}
	}
	return out
}
