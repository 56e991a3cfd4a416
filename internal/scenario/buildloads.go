package scenario

import (
	"math"
	"slices"
	"strings"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

// loads converts the rows of loads.csv.
func (k *checker) loads(rows []loadRow) []sim.Load {
	out := make([]sim.Load, 0, len(rows))
	taken := make(map[string]bool, len(rows))
	for i := range rows {
		r := &rows[i]
		l := k.load(r)
		if key := strings.ToLower(l.Name); taken[key] && !r.Name.bad {
			k.report(&r.Name, "%s stands here already; every name once, e.g. %s", quoted(l.Name), quoted(l.Name+" 2"))
		} else {
			taken[key] = true
		}
		out = append(out, l)
	}
	return out
}

// load fills one appliance: a cell that is given, else the preset, else the
// default of the column.
func (k *checker) load(r *loadRow) sim.Load {
	preset, ok := k.appliance(&r.Preset)
	l := sim.Load{
		Row:         r.Name.at.line,
		Name:        k.loadName(r, preset),
		Kind:        k.loadKind(r, preset, ok),
		Watts:       k.numberOr(&r.Watts, preset.Watts, ok),
		StandbyW:    k.numberOr(&r.StandbyW, preset.StandbyW, ok),
		PowerFactor: k.numberOr(&r.PowerFactor, preset.PowerFactor, ok),
		Duty:        k.numberOr(&r.DutyPct, preset.DutyPct, ok) / 100,
		Essential:   k.yesNoOr(&r.Essential, preset.Essential, ok),
		Medical:     k.yesNoOr(&r.Medical, preset.Group == "medical", ok),
	}
	if k.choiceOr(&r.Supply, preset.Supply, ok) == "ac" {
		l.Supply = sim.AC
	}
	if r.Days.given() || !ok {
		l.Days = k.dayMask(&r.Days)
	} else {
		l.Days = maskOf(preset.Days)
	}
	switch {
	case r.Preset.bad:
	case l.Kind == sim.Fridge:
		k.fillFridge(r, preset, &l)
	case math.IsNaN(l.Watts) && !r.Watts.bad:
		k.report(&r.Watts, "is blank; give the power while on, e.g. %s, or a preset", r.Watts.col.Example)
	}
	k.fillTimes(r, preset, ok, &l)
	l.SurgeW = k.surge(r, preset, ok, l.Watts)
	k.checkUnused(r, l.Kind)
	return l
}

func (k *checker) loadName(r *loadRow, preset profiles.Appliance) string {
	if r.Name.given() {
		return k.name(&r.Name)
	}
	if preset.Name == "" && !r.Preset.bad && !r.Name.bad {
		k.report(&r.Name, "is blank; name the appliance, e.g. %s, or give a preset", r.Name.col.Example)
	}
	return preset.Name
}

// numberOr, choiceOr and yesNoOr prefer the cell to the preset and the preset
// to the column's default.
func (k *checker) numberOr(c *cell, preset float64, ok bool) float64 {
	if !c.given() && ok {
		return preset
	}
	return k.number(c)
}

func (k *checker) choiceOr(c *cell, preset string, ok bool) string {
	if !c.given() && ok {
		return preset
	}
	return k.choice(c)
}

func (k *checker) yesNoOr(c *cell, preset, ok bool) bool {
	if !c.given() && ok {
		return preset
	}
	return k.yesNo(c)
}

func (k *checker) loadKind(r *loadRow, preset profiles.Appliance, ok bool) sim.LoadKind {
	c := &r.Kind
	s := k.choiceOr(c, preset.Kind, ok)
	for kind := sim.Steady; kind <= sim.Fridge; kind++ {
		if kind.String() == s {
			return kind
		}
	}
	if !c.given() && !ok && !r.Preset.bad && !c.bad {
		k.report(c, "is blank; write steady, window, uses or fridge, or give a preset")
	}
	return sim.Steady
}

func maskOf(s string) sim.DayMask {
	for m := sim.AllDays; m <= sim.MainsDays; m++ {
		if m.String() == s {
			return m
		}
	}
	return sim.AllDays
}

// fillTimes fills window and uses.
func (k *checker) fillTimes(r *loadRow, preset profiles.Appliance, ok bool, l *sim.Load) {
	start, hours := k.clock(&r.Start), k.numberOr(&r.Hours, preset.Hours, ok)
	times, minutes := k.clockList(&r.Times), k.numberOr(&r.Minutes, preset.Minutes, ok)
	switch {
	case r.Kind.bad || r.Preset.bad:
	case l.Kind == sim.Window:
		if h, given := clockHours(preset.Start); given && !r.Start.given() {
			start = h
		}
		if !(hours > 0) && !r.Hours.bad {
			k.report(&r.Hours, "is blank or 0; a window needs its length, e.g. %s", r.Hours.col.Example)
		}
		l.Window = spanOf(start, orZero(hours))
	case l.Kind == sim.Uses:
		if !r.Times.given() {
			times = k.clockList(&cell{text: preset.Times, col: r.Times.col, at: r.Times.at})
		}
		if len(times) == 0 && !r.Times.bad {
			k.report(&r.Times, "is blank; uses need their starts, e.g. %s", r.Times.col.Example)
		}
		if !(minutes > 0) && !r.Minutes.bad {
			k.report(&r.Minutes, "is blank or 0; uses need their length, e.g. %s", r.Minutes.col.Example)
		}
		l.TimesH, l.Minutes = times, minutes
		k.checkUses(r, l)
	}
}

// checkUses finds uses of one appliance that overlap.
func (k *checker) checkUses(r *loadRow, l *sim.Load) {
	if r.Times.bad || r.Minutes.bad || len(l.TimesH) < 2 {
		return
	}
	sorted := slices.Sorted(slices.Values(l.TimesH))
	for i, h := range sorted {
		next := sorted[(i+1)%len(sorted)]
		if i == len(sorted)-1 {
			next += 24
		}
		if h+l.Minutes/60 > next+1e-9 {
			c := &r.Times
			if !c.given() {
				c = &r.Minutes
			}
			k.report(c, "the use at %s lasts %g minutes and runs into the one at %s; move it or shorten minutes", ClockText(h), l.Minutes, clockOfDay(next))
			return
		}
	}
}

// surge is the start peak; a cell below the running power is a mistake.
func (k *checker) surge(r *loadRow, preset profiles.Appliance, ok bool, watts float64) float64 {
	surge := k.number(&r.SurgeW)
	switch {
	case r.SurgeW.given() && !r.SurgeW.bad && !r.Watts.bad && surge < watts:
		k.report(&r.SurgeW, "%s W is below the %g W while on; give the start peak or leave it blank", r.SurgeW.text, watts)
	case !r.SurgeW.given() && ok && watts > 0 && preset.Watts > 0:
		return preset.SurgeW / preset.Watts * watts // the start peak goes with the size
	}
	return orZero(surge)
}

// Common values for a fridge without a preset: common practice, no source.
const (
	commonSetpointC, commonOpenings, commonWarmKg = 5, 15, 1
	minCompressorW, maxCompressorW                = 5, 2000
)

// fillFridge fills the thermal model.
func (k *checker) fillFridge(r *loadRow, preset profiles.Appliance, l *sim.Load) {
	f := preset.Fridge
	if preset.Kind != "fridge" {
		f = profiles.Fridge{SetpointC: commonSetpointC, OpeningsPerDay: commonOpenings, WarmKgPerDay: commonWarmKg}
	}
	set := func(v *float64, c *cell) {
		if x := k.number(c); c.given() && !c.bad {
			*v = x
		}
	}
	if litres := k.number(&r.Litres); litres > 0 && f.Litres > 0 { // another size of the preset
		f.UAWPerK *= math.Pow(litres/f.Litres, 2.0/3) // by the surface
		f.HeatWhPerK = 0
	}
	set(&f.Litres, &r.Litres)
	set(&f.SetpointC, &r.SetpointC)
	set(&f.UAWPerK, &r.UAWPerK)
	set(&f.OpeningsPerDay, &r.OpeningsPerDay)
	set(&f.WarmKgPerDay, &r.WarmKgPerDay)
	set(&f.AmbientOffsetC, &r.AmbientOffsetC)
	set(&f.DrivingOffsetC, &r.DrivingOffsetC)
	set(&f.AmbientMinC, &r.AmbientMinC)
	f.Sheltered = r.AmbientMinC.given()
	set(&f.NightSetbackC, &r.NightSetbackC)
	set(&f.StandbyW, &r.StandbyW)
	if l.Watts > 0 {
		f.CompressorW = l.Watts
	}
	if r.Watts.given() && !r.Watts.bad && (l.Watts < minCompressorW || l.Watts > maxCompressorW) {
		k.report(&r.Watts, "%s W is not the power of a fridge's compressor, %d to %d W; use e.g. 45 or leave it blank", r.Watts.text, minCompressorW, maxCompressorW)
	}
	f = f.WithDefaults()
	l.Fridge, l.Watts, l.StandbyW, l.Duty = &f, f.CompressorW, f.StandbyW, 1
}

// checkUnused warns of cells that say nothing for this kind of appliance.
func (k *checker) checkUnused(r *loadRow, kind sim.LoadKind) {
	if r.Kind.bad || r.Preset.bad {
		return
	}
	warn := func(wanted sim.LoadKind, cells ...*cell) {
		for _, c := range cells {
			if c.given() && kind != wanted {
				k.warn("%s:%d: %s: means nothing for an appliance of kind %v", c.at.table.File, c.at.line, c.col.Name, kind)
			}
		}
	}
	warn(sim.Window, &r.Start, &r.Hours)
	warn(sim.Uses, &r.Times, &r.Minutes)
	warn(sim.Fridge, &r.Litres, &r.SetpointC, &r.UAWPerK, &r.OpeningsPerDay, &r.WarmKgPerDay, &r.AmbientOffsetC, &r.DrivingOffsetC, &r.AmbientMinC, &r.NightSetbackC)
}
