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
		lines = append(lines, line+" "+Cause(s, f))
	}
	return lines
}

// beforeUnit is the space between a number and its unit.
var beforeUnit = regexp.MustCompile(`([0-9]) (%|°[CF]|(?:[kM]?Wh|Ah|VA|A|V|W|h|km|m|min|days?|points|years?)\b)`)

// beforeMonth and behindMonth are the spaces of a day and its month.
var beforeMonth, behindMonth = monthSpaces()

func monthSpaces() (before, behind *regexp.Regexp) {
	var names []string
	for _, forms := range languages {
		for _, m := range slices.Concat(forms.months[:], forms.longMonths[:]) {
			names = append(names, regexp.QuoteMeta(m))
		}
	}
	slices.Sort(names)
	slices.Reverse(names) // the longer of two that begin alike first
	any := "(" + strings.Join(slices.Compact(names), "|") + ")"
	return regexp.MustCompile(`\b([0-9]{1,2}\.?) ` + any + `($|[^\pL])`), regexp.MustCompile(`\b` + any + ` ([0-9]{1,2})\b`)
}

// Tied keeps numbers and their units, days and their months on one line.
func Tied(s string) string {
	s = beforeUnit.ReplaceAllString(s, "$1\u00a0$2")
	return behindMonth.ReplaceAllString(beforeMonth.ReplaceAllString(s, "$1\u00a0$2$3"), "$1\u00a0$2")
}

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
		detail, kind := detailText(g.first, f), kindText(r, g.first)
		when := f.DayClock(localTime(r, g.first.Start))
		switch {
		case g.n == 1 && g.first.Hours >= tripEnd(r).Sub(r.Slots[0].Start).Hours():
			lines = append(lines, f.Text(textEventTrip, kind, detail))
		case g.n == 1:
			lines = append(lines, f.Text(textEventOnce, kind, detail, when))
		default:
			lines = append(lines, f.Text(textEventMany, kind, detail, f.Number(float64(g.n), 0), when))
		}
	}
	return lines
}

// kindText names the kind of an event.
func kindText(r *sim.Result, e *sim.Event) string {
	if e.Kind == sim.NoOutlet {
		for i := range r.Loads {
			if l := &r.Loads[i]; l.Name == e.Load && LackOf(r, l) == SmallInverter {
				return wordSmallInverter
			}
		}
	}
	return string(e.Kind)
}

// CutOff is the state of charge at which the battery is disconnected, and where
// it is higher in the cold of this trip: "10 % (14 to 23 % in the cold of this
// trip)". In the cold a battery cannot be emptied as far.
func CutOff(r *sim.Result, f Format) string {
	lowest, highest := coldCutOff(r)
	low, high := f.Percent(lowest), f.Percent(highest)
	switch own := f.Percent(r.MinSoC); {
	case math.IsNaN(highest) || high == own:
		return own
	case low == high:
		return f.Text(textColdCutOff, own, high)
	case low == own:
		return f.Text(textColdCutOff, own, f.Text(textUpTo, high))
	default:
		return f.Text(textColdCutOff, own, f.Text(textInterval, f.Number(100*lowest, 0), high))
	}
}

// coldCutOff is the range of the cut-off, 0..1, at the times when the cold raises
// it; NaN where it never does.
func coldCutOff(r *sim.Result) (lowest, highest float64) {
	lowest, highest = math.NaN(), math.NaN()
	for i := range r.Rows {
		if floor := r.Rows[i].FloorSoC; floor > r.MinSoC+1e-9 {
			if !(lowest <= floor) {
				lowest = floor
			}
			if !(highest >= floor) {
				highest = floor
			}
		}
	}
	return lowest, highest
}

// Fridges says how each fridge fares.
func Fridges(r *sim.Result, f Format) []string {
	var lines []string
	for i := range r.Loads {
		l := &r.Loads[i]
		switch {
		case math.IsNaN(l.DutyMean):
			continue
		case l.CouldNotHold:
			lines = append(lines, f.Text(textFridgeHot, sentenceName(l.Name), f.Temperature(l.WarmestC), f.With(l.DailyWh, 0, "Wh")))
		case l.DutyMean > 0:
			lines = append(lines, f.Text(textFridge, sentenceName(l.Name), f.Percent(l.DutyMean), f.With(l.DailyWh, 0, "Wh")))
		default:
			continue
		}
		if l.NotFedWh() > 0.5 {
			lines[len(lines)-1] += " " + textFridgeOff
		}
	}
	return lines
}

// Footnotes say what the figures rest on: losses, wear, climate data and how
// far away they are.
func Footnotes(r *sim.Result, f Format) []string {
	return append(accountNotes(r, f), climateNotes(r, f)...)
}

// accountNotes are the footnotes of losses and wear.
func accountNotes(r *sim.Result, f Format) []string {
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
	return append(notes, f.Text(textWear, f.Number(r.EquivalentCycles, 1), f.Share(r.WearShare), lifeText(r.LifeYears, f), autonomyText(r.AutonomyDays, f)))
}

// autonomyText says how long a battery alone lasts.
func autonomyText(days float64, f Format) string {
	if math.IsInf(days, 0) {
		return textUnlimited
	}
	return f.With(days, 1, textDays)
}

// ageYears is a life by cycles from which on age ends a battery first. Common
// practice, no source.
const ageYears = 15

// lifeText says how long the battery's cycles last at the trip's use, a clause
// with its comma.
func lifeText(years float64, f Format) string {
	switch {
	case !(years > 0):
		return ""
	case years >= sim.MostLifeYears:
		return f.Text(textLifeLong, f.With(sim.MostLifeYears, 0, textYears))
	case years >= ageYears:
		return f.Text(textLifeAge, f.With(years, 0, textYears))
	case years >= 10:
		return f.Text(textLife, f.With(years, 0, textYears))
	}
	return f.Text(textLife, f.With(years, 1, textYears))
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
		notes = append(notes, f.Text(textClimate, text, kilometres(near[s], f), ClimateAccuracy))
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

// Unmet names the appliances that missed energy, largest first; "" where none did.
func Unmet(r *sim.Result, f Format) string {
	missed := unservedLoads(r, f, 8)
	if missed == "" {
		return ""
	}
	return f.Text(textUnmet, missed)
}

// stepText writes the length of a step.
func stepText(o sim.Options) string {
	if m := o.Step.Minutes(); m >= 1 {
		return fmt.Sprintf("%g\u00a0min", m)
	}
	return o.Step.String()
}
