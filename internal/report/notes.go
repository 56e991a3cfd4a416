package report

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"tripsim/internal/sim"
)

// FlatSpells lists the flat spells of a result, one line each.
func FlatSpells(r *sim.Result, f Format) []string {
	var lines []string
	end := tripEnd(r)
	for i := range r.Flats {
		s := &r.Flats[i]
		start, stop := localTime(r, s.Start), localTime(r, s.End)
		hours, wh := f.Hours(s.End.Sub(s.Start).Hours()), f.With(s.UnservedWh, 0, "Wh")
		var line string
		switch {
		case !s.End.Before(end):
			line = f.Text(textSpellTo, f.DayClock(start), hours, wh)
		case isoDate(start) == isoDate(stop):
			line = f.Text(textSpell, f.DayClock(start), f.Clock(stop), hours, wh)
		default:
			line = f.Text(textSpell, f.DayClock(start), f.DayClock(stop), hours, wh)
		}
		if cause := tied(Clean(s.Cause)); cause != "" {
			line += " " + cause
		}
		lines = append(lines, line)
	}
	return lines
}

// beforeUnit is the space between a number and its unit.
var beforeUnit = regexp.MustCompile(`([0-9]) (%|(?:Wh|Ah|VA|W|A|V|h|°C)\b)`)

// tied keeps numbers and their units on one line.
func tied(s string) string { return beforeUnit.ReplaceAllString(s, "$1\u00a0$2") }

// Events lists what an adviser must know of: events of the same kind and
// appliance together, with how often and when first.
func Events(r *sim.Result, f Format) []string {
	type key struct {
		kind sim.EventKind
		load string
	}
	type group struct {
		first *sim.Event
		n     int
	}
	var groups []*group
	byKey := map[key]*group{}
	for i := range r.Events {
		e := &r.Events[i]
		k := key{e.Kind, e.Load}
		if g := byKey[k]; g != nil {
			g.n += max(1, len(e.Times))
			continue
		}
		g := &group{e, max(1, len(e.Times))}
		byKey[k] = g
		groups = append(groups, g)
	}
	var lines []string
	for _, g := range groups {
		detail := tied(strings.TrimSuffix(Clean(g.first.Detail), "."))
		when := f.DayClock(localTime(r, g.first.Start))
		switch {
		case g.n == 1 && g.first.Hours >= tripEnd(r).Sub(r.Slots[0].Start).Hours():
			lines = append(lines, f.Text(textEventTrip, string(g.first.Kind), detail))
		case g.n == 1:
			lines = append(lines, f.Text(textEventOnce, string(g.first.Kind), detail, when))
		default:
			lines = append(lines, f.Text(textEventMany, string(g.first.Kind), detail, f.Number(float64(g.n), 0), when))
		}
	}
	return lines
}

// cutOff is the state of charge at which the battery is disconnected, and how far
// it rises in the cold.
func cutOff(r *sim.Result, f Format) string {
	highest := r.MinSoC
	for i := range r.Rows {
		highest = max(highest, r.Rows[i].FloorSoC)
	}
	if highest-r.MinSoC < 0.005 {
		return f.Percent(r.MinSoC)
	}
	return f.Text(textColdCutOff, f.Percent(r.MinSoC), f.Percent(highest))
}

// Fridges says how each fridge fares.
func Fridges(r *sim.Result, f Format) []string {
	var lines []string
	for i := range r.Loads {
		l := &r.Loads[i]
		switch {
		case math.IsNaN(l.DutyMean):
		case l.CouldNotHold:
			lines = append(lines, f.Text(textFridgeHot, sentenceName(l.Name), f.Temperature(l.WarmestC)))
		case l.DutyMean > 0:
			lines = append(lines, f.Text(textFridge, sentenceName(l.Name), f.Percent(l.DutyMean)))
		}
	}
	return lines
}

// Footnotes say what the figures rest on: losses, wear, climate data and how
// far away they are.
func Footnotes(r *sim.Result, f Format) []string {
	t := &r.Total
	wh := func(x float64) string { return f.With(x, 0, "Wh") }
	ends := textEndsSame
	if change := 100 * (r.EndSoC - r.StartSoC); math.Round(change) > 0 {
		ends = f.Text(textEndsHigher, f.With(change, 0, textPoints))
	} else if math.Round(change) < 0 {
		ends = f.Text(textEndsLower, f.With(-change, 0, textPoints))
	}
	notes := []string{f.Text(textLosses, wh(t.ChargerLossWh), wh(t.InverterLossWh),
		wh(t.BatteryLossWh+t.SelfDischargeWh), ends)}
	autonomy := textUnlimited
	if !math.IsInf(r.AutonomyDays, 0) {
		autonomy = f.With(r.AutonomyDays, 1, textDays)
	}
	notes = append(notes, f.Text(textWear, f.Number(r.EquivalentCycles, 1), f.Share(r.WearShare), autonomy))
	return append(notes, climateNotes(r, f)...)
}

// climateNotes names the climate data, once per source, with the range of
// distances, and the places with figures of their own.
func climateNotes(r *sim.Result, f Format) []string {
	var sources, own, notes []string
	near := map[string][2]float64{}
	for i := range r.Climate {
		c := &r.Climate[i]
		if c.Override {
			if place := placeName(c.Place); !slices.Contains(own, place) {
				own = append(own, place)
			}
		}
		if c.Source == "" || math.IsNaN(c.NearestKM) {
			continue
		}
		span, seen := near[c.Source]
		if !seen {
			span = [2]float64{c.NearestKM, c.NearestKM}
			sources = append(sources, c.Source)
		}
		near[c.Source] = [2]float64{min(span[0], c.NearestKM), max(span[1], c.NearestKM)}
	}
	for _, s := range sources {
		text := strings.TrimSuffix(Clean(s), ".") + "."
		notes = append(notes, f.Text(textClimate, text, kilometres(near[s], f)))
	}
	if len(own) > 0 {
		notes = append(notes, f.Text(textOwnFigures, listed(own, 6, f)))
	}
	return notes
}

func kilometres(span [2]float64, f Format) string {
	low, high := f.Number(span[0], 0), f.With(span[1], 0, "km")
	if math.Round(span[0]) == math.Round(span[1]) {
		return high
	}
	return low + " to " + high
}

// listed joins names, at most so many of them.
func listed(names []string, most int, f Format) string {
	if len(names) > most {
		names = append(slices.Clone(names[:most]), f.Text(textAndMore, f.Number(float64(len(names)-most), 0)))
	}
	return strings.Join(names, ", ")
}

// Unmet lists the appliances that missed energy, largest first.
func Unmet(r *sim.Result, f Format) string { return unservedLoads(r, f, 8) }

// stepText writes the length of a step.
func stepText(o sim.Options) string {
	if m := o.Step.Minutes(); m >= 1 {
		return fmt.Sprintf("%g\u00a0min", m)
	}
	return o.Step.String()
}
