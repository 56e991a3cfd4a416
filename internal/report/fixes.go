package report

import (
	"slices"
	"strings"

	"tripsim/internal/sim"
)

// FixAdvice is what would fix the trip of some systems.
type FixAdvice struct {
	Basis  *Basis
	Advice []*sim.Advice // one per system
	// Carried are systems that nothing was tried for: they carry the trip.
	Carried []string
}

// Text lays the advice out for a terminal.
func (a *FixAdvice) Text(s Screen) string {
	var b strings.Builder
	b.WriteString(a.Basis.heading(s, aboutFixes))
	if len(a.Carried) > 0 {
		var names []string
		for _, name := range a.Carried {
			names = append(names, sentenceName(name))
		}
		text := textFixCarried
		if len(a.Advice) == 0 {
			text = textFixAllCarried
		}
		b.WriteString(s.Paragraph("", "", s.Format.Text(text, strings.Join(names, ", "))) + "\n")
	}
	for _, adv := range a.Advice {
		b.WriteString(a.system(s, adv) + "\n")
	}
	b.WriteString(a.Basis.foot(s))
	return b.String()
}

func (a *FixAdvice) system(s Screen, adv *sim.Advice) string {
	f := s.Format
	name := Describe(adv.System, f)
	goal := a.Basis.Goal
	if missed(adv.Before, goal.Reserve) == 0 {
		return s.Paragraph("", "", f.Text(textFixNone, name, a.Basis.Recorded.trips(adv.Draws, f)))
	}
	k := adv.Before
	before := f.Text(textFixBeforeShort, name, a.Basis.Recorded.trips(adv.Draws, f), f.With(k.Unserved.Mean, 0, "Wh"))
	columns, brackets := []string{"change", "not_carried_pct", "unserved_wh", "left_over"}, ""
	if k.FlatDraws > 0 {
		brackets = textFixBrackets
		columns = []string{"change", "flat_risk_pct", "flat_risk_difference", "not_carried_pct", "unserved_wh", "left_over"}
		before = f.Text(textFixBefore, name, f.Share(k.Flat.Share), a.Basis.Recorded.many(), ShareInterval(k.Flat, f), f.Day(adv.FlattestDay))
	}
	before += missedText(k, goal, true, f)
	matter, nothing := FixesThatMatter(adv, f)
	helps := *adv
	helps.Fixes = nil
	for _, i := range matter {
		helps.Fixes = append(helps.Fixes, adv.Fixes[i])
	}
	t := a.Table([]*sim.Advice{&helps}, f).pick(columns...)
	t.Title = textFixTitle
	for i := range helps.Fixes { // where it is a share of the trips, its column says so
		if x := helps.Fixes[i].Risk; x.Flat.Share > goal.FlatRisk || x.NotCarried(0).Share <= goal.FlatRisk {
			t.Rows[i].Cells[len(t.Columns)-1] = Cell{}
		}
	}
	t.Notes = []string{f.Text(textFixNote, brackets, f.Share(goal.FlatRisk))}
	if len(adv.Fixes) > 0 && !slices.ContainsFunc(adv.Fixes, func(x sim.Fix) bool { return x.Enough(sim.Goal(a.Basis.Goal)) }) {
		t.Notes = append([]string{textFixNoHelp}, t.Notes...)
	}
	if nothing != "" {
		t.Notes = append(t.Notes, nothing)
	}
	for i := range adv.Fixes {
		if line := othersText(&adv.Fixes[i], goal, f); line != "" {
			t.Notes = append(t.Notes, line)
		}
	}
	return s.Paragraph("", "", before) + "\n" + t.Render(s)
}

// FixesThatMatter are the changes that make a difference, by their place among
// all, and a sentence that names the others; "" without any.
func FixesThatMatter(adv *sim.Advice, f Format) (matter []int, others string) {
	var nothing []string
	for i := range adv.Fixes {
		if x := &adv.Fixes[i]; !x.Matters(adv) {
			nothing = append(nothing, FixText(x, f))
		} else {
			matter = append(matter, i)
		}
	}
	if len(nothing) > 0 {
		others = f.Text(textFixNothing, strings.Join(nothing, "; "))
	}
	return matter, others
}

// othersMost is how many other days are named.
const othersMost = 4

// othersText names the other days on which a change was tried.
func othersText(x *sim.Fix, goal Goal, f Format) string {
	var days []string
	for i := range x.Others {
		if i == othersMost {
			break
		}
		o := &x.Others[i]
		days = append(days, f.Text(textFixOtherDay, f.Day(o.Day), f.Share(missed(o.Risk, goal.Reserve))))
	}
	if len(days) == 0 {
		return ""
	}
	what := wordPoweredNight
	if x.Kind == sim.MoreDriving {
		what = wordMoreDriving
	}
	return f.Text(textFixOthers, what, strings.Join(days, ", "))
}

// FixEnough reports whether a change alone does: no more trips than accepted are
// not carried. Else left says what is left over,
// as "still flat on 12 % of the trips" or "42 Wh still cut off by the inverter's
// rating".
func FixEnough(x *sim.Fix, goal Goal, f Format) (enough bool, left string) {
	missing := f.With(x.Risk.Unserved.Mean, 0, "Wh")
	by, known := map[sim.EventKind]string{sim.Overload: wordByInverter, sim.OverCurrent: wordByBattery, sim.LowVoltage: wordByVoltage}[x.Cut]
	switch {
	case x.Enough(sim.Goal(goal)):
		return true, ""
	case x.Risk.Flat.Share > goal.FlatRisk:
		return false, f.Text(textLeftFlat, f.Share(x.Risk.Flat.Share))
	case x.Risk.NotCarried(0).Share <= goal.FlatRisk:
		return false, f.Text(textLeftThin, f.Share(x.Risk.NotCarried(goal.Reserve).Share))
	case known:
		return false, f.Text(textLeftCut, missing, by)
	}
	return false, f.Text(textLeftShort, missing)
}

// FixText says a change in plain words.
func FixText(x *sim.Fix, f Format) string {
	hours := func(h float64) string { return f.Hours(h) }
	amps := func(v float64) string { return f.With(v, decimalsOf(v), "A") }
	day, place := f.Day(x.Day), placeName(x.Place)
	var text string
	switch x.Kind {
	case sim.MoreDriving:
		if x.From == 0 {
			text = f.Text(fixFirstDriving, day, place)
		} else {
			text = f.Text(fixMoreDriving, day, place, hours(x.To), hours(x.From))
		}
	case sim.PoweredNight:
		text = f.Text(fixPoweredNight, day, place)
	case sim.PortablePanel:
		text = f.Text(fixPortable, f.With(x.To, 0, "W"))
	case sim.LargerCharger:
		if x.What == "" {
			text = f.Text(fixFirstCharger, amps(x.To))
		} else {
			text = f.Text(fixCharger, sentenceName(x.What), amps(x.To), amps(x.From))
		}
	case sim.LargerBattery:
		text = f.Text(fixBattery, f.With(x.To, 0, "Ah"), f.With(x.From, 0, "Ah"))
	case sim.WarmerFridge:
		text = f.Text(fixFridge, sentenceName(x.What), f.Temperature(x.To), f.Temperature(x.From))
		if x.Each {
			text = f.Text(fixFridgeEach, sentenceName(x.What), f.Warmer(x.To-x.From))
		}
	case sim.InverterOffAtNight:
		text = fixInverterNight
	case sim.InverterWhenNeeded:
		text = fixInverterNeeded
	case sim.WithoutLoad:
		text = f.Text(fixWithout, sentenceName(x.What))
	case sim.FullStart:
		text = f.Text(fixFull, f.Percent(x.From))
	case sim.BatteryHeater:
		text = f.Text(fixHeater, f.With(x.To, 0, "W"))
	}
	if x.Adds != "" {
		text = f.Text(fixAdds, text, lowerFirst(sentenceName(x.Adds)))
	}
	return text
}

// lowerFirst writes a name from the catalogue inside a sentence.
func lowerFirst(s string) string {
	r := []rune(s)
	for i, c := range r {
		if c >= 'A' && c <= 'Z' && (i+1 >= len(r) || r[i+1] < 'A' || r[i+1] > 'Z') {
			r[i] = c + 'a' - 'A'
		}
		if c < 0x2000 { // isolates in front of the word stay
			break
		}
	}
	return string(r)
}

// Table is one row per system and change; other days of the same change follow
// the best one.
func (a *FixAdvice) Table(all []*sim.Advice, f Format) *Table {
	notCarried, reserve := "", a.Basis.Goal.Reserve
	for _, adv := range all {
		for i := range adv.Fixes {
			if ShowsNotCarried(reserve, adv.Fixes[i].Risk) {
				notCarried = headNotCarried
			}
		}
	}
	t := &Table{Columns: []Column{
		{Key: "system", Head: headSystem, Doc: "name of the system"},
		{Key: "rank", Doc: "1 = fewest trips not carried; blank for the same change on another day"},
		{Key: "kind", Doc: "kind of change"},
		{Key: "change", Head: headChange, Wrap: true, Doc: "the change in words"},
		{Key: "day", Doc: "local day of the change, if it is about a day"},
		{Key: "flat_risk_before_pct", Doc: "flat risk of the trip as it is, %"},
		{Key: "flat_risk_pct", Head: headRiskAfter, Doc: "flat risk after the change, %"},
		{Key: "flat_risk_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "flat_risk_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "flat_difference_points", Doc: "flat risk less that of the trip as it is, percentage points"},
		{Key: "flat_difference_low_points", Doc: "lower end of its 95 % paired interval"},
		{Key: "flat_difference_high_points", Doc: "upper end of its 95 % paired interval"},
		{Key: "flat_risk_difference", Head: headDiff, Wrap: true},
		{Key: "not_carried_pct", Head: notCarried, Doc: "share of simulated trips that are not carried after the change: flat, with something unserved, or below the wanted reserve, %"},
		{Key: "unserved_wh", Head: headUnserved, Doc: "mean unserved energy per trip after the change, Wh"},
		{Key: "unserved_difference_wh", Doc: "the same less that of the trip as it is, Wh"},
		{Key: "enough", Doc: "yes if no more trips than accepted are not carried"},
		{Key: "left_over", Head: headLeft, Wrap: true, Doc: "what is not enough, in words"},
	}}
	for _, adv := range all {
		for i := range adv.Fixes {
			t.Rows = append(t.Rows, a.row(adv, &adv.Fixes[i], float64(i+1), f))
		}
	}
	return t
}

func (a *FixAdvice) row(adv *sim.Advice, x *sim.Fix, rank float64, f Format) Row {
	k := x.Risk
	day := Cell{}
	if !x.Day.IsZero() {
		day = Text(isoDate(x.Day))
	}
	r := Row{Cells: []Cell{
		Text(adv.System.Name), Number(rank), Text(string(x.Kind)), Text(FixText(x, f)), day,
		Number(100 * adv.Before.Flat.Share), shareCell(k.Flat.Share, f), Number(100 * k.Flat.Low), Number(100 * k.Flat.High),
		Number(100 * x.Flat.Mean), Number(100 * x.Flat.Low), Number(100 * x.Flat.High), Cell{}.Shown(pointsText(x.Flat, f)),
		shareCell(missed(k, a.Basis.Goal.Reserve), f), Number(k.Unserved.Mean), Number(x.Unserved.Mean),
	}}
	enough, left := FixEnough(x, a.Basis.Goal, f)
	if enough {
		r.Mark = GoodMark
	}
	r.Cells = append(r.Cells, Yes(enough), Text(plainSpaces.Replace(left)).Shown(left))
	return r
}

// forFile holds the other days as well.
func (a *FixAdvice) forFile() *Table {
	f := DefaultFormat()
	t := a.Table(nil, f)
	for _, adv := range a.Advice {
		for i := range adv.Fixes {
			x := &adv.Fixes[i]
			t.Rows = append(t.Rows, a.row(adv, x, float64(i+1), f))
			for j := range x.Others {
				r := a.row(adv, &x.Others[j], 0, f)
				r.Cells[1] = Cell{}
				t.Rows = append(t.Rows, r)
			}
		}
	}
	return t.without(terminalOnly...)
}

// CSV writes all changes that were tried.
func (a *FixAdvice) CSV() []byte { return a.forFile().CSV() }

// FixSchema names the layout of fix.json.
const FixSchema = "tripsim-fix/1"

// JSON writes the advice.
func (a *FixAdvice) JSON() ([]byte, error) {
	var systems []any
	for _, adv := range a.Advice {
		systems = append(systems, struct {
			Name    string `json:"name"`
			Flat    num    `json:"flat_risk_pct"`
			Low     num    `json:"flat_risk_low_pct"`
			High    num    `json:"flat_risk_high_pct"`
			Missing num    `json:"unserved_wh"`
		}{adv.System.Name, pct(adv.Before.Flat.Share), pct(adv.Before.Flat.Low), pct(adv.Before.Flat.High), num(adv.Before.Unserved.Mean)})
	}
	return a.Basis.document(FixSchema, part{"systems", systems}, part{"carried_as_is", append([]string{}, a.Carried...)}, part{"changes", a.forFile()})
}
