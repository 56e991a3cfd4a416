package report

import (
	"slices"
	"strings"
	"time"

	"tripsim/internal/sim"
)

// Run is everything that is said about one scenario: what went in and what came
// out of it.
type Run struct {
	Scenario string // name of the scenario
	Title    string // of the job, if it has one
	Customer string
	Hash     string // of the input files
	Program  string // name and version of the program
	Options  sim.Options
	Draws    int // simulated trips per system; 0 = typical weather only
	Goal     Goal
	Currency string
	Warnings []string      // about the input
	Sources  []string      // attributions of data used beside the climate's
	Medical  []string      // appliances that somebody's health depends on
	Results  []*sim.Result // one per system
	Risks    []*sim.Risk   // in step with Results; nil without simulated trips
	Shown    []int         // systems to show in detail; see ChooseShown
	Recorded *Recorded     // the weather file that took the place of simulated weather, if any
	Worst    []Draw        // the worst simulated trip of systems, in step with Results; may be shorter or blank
	Instead  []Draw        // simulated trips to show in place of Results, in step with them; may be shorter or blank
}

// ChooseShown sets the systems to show in detail: the recommended one, or the
// one that comes nearest.
func (run *Run) ChooseShown() {
	if _, nearest := Recommend(run.Results, run.Risks, run.Goal); nearest >= 0 {
		run.Shown = []int{nearest}
	}
}

// Risk is the risk of system i; nil without simulated trips.
func (run *Run) Risk(i int) *sim.Risk { return riskOf(run.Risks, i) }

// Text lays the whole answer out for a terminal.
func (run *Run) Text(s Screen) string {
	var b strings.Builder
	b.WriteString(run.heading(s))
	if len(run.Results) > 1 {
		b.WriteString(s.Paragraph("", "", run.Recommendation(s.Format)) + "\n")
		t := run.Systems(s.Format)
		t.Title = textSystemsTitle
		b.WriteString(t.Render(s) + "\n" + run.verdicts(s))
	}
	for _, i := range run.Shown {
		b.WriteString(run.detail(s, i) + "\n")
	}
	b.WriteString(run.assumptions(s))
	return b.String()
}

func (run *Run) heading(s Screen) string {
	f := s.Format
	text := s.Heading(titleOf(run.Title, run.Scenario, run.Customer))
	if len(run.Results) == 0 || len(run.Results[0].Days) == 0 {
		return text + "\n"
	}
	r := run.Results[0]
	text += s.Paragraph("", "", datesText(r.Days[0].Date, len(r.Days), f))
	if run.Recorded.replaces() {
		text += s.Paragraph("", "", run.Recorded.sentence(f))
	} else if w := Clean(r.Weather); w != "" {
		text += s.Paragraph("", "", upperFirst(w)+".")
	}
	if trips := run.TripsText(f); trips != "" {
		text += s.Paragraph("", "", trips)
	}
	return text + "\n"
}

// TripsText says how many trips were simulated and on what weather; "" without.
func (run *Run) TripsText(f Format) string {
	if run.Draws == 0 || len(run.Risks) == 0 || run.Risks[0] == nil {
		return ""
	}
	return f.Text(textDraws, run.Recorded.trips(run.Draws, f), Clean(run.Risks[0].Weather))
}

// Recommendation is the answer over all systems, a sentence; "" for a single one,
// whose verdict is the answer.
func (run *Run) Recommendation(f Format) string {
	if len(run.Results) < 2 {
		return ""
	}
	best, nearest := Recommend(run.Results, run.Risks, run.Goal)
	systems := f.Count(len(run.Results), textSystem, textSystems)
	switch {
	case best >= 0:
		text := textRecommended
		if Judge(run.Results[best], run.Risk(best), run.Goal) == InPart {
			text = textRecommendedPart
		}
		return f.Text(text, systems, Describe(run.Results[best].System, f))
	case nearest >= 0:
		return f.Text(textNoneHolds, systems, Describe(run.Results[nearest].System, f))
	}
	return ""
}

// Systems puts the systems side by side, one row each.
func (run *Run) Systems(f Format) *Table {
	best, _ := Recommend(run.Results, run.Risks, run.Goal)
	risk, notCarried, riskDrop := "", "", 0
	if run.Draws > 0 {
		risk = headRisk
	}
	if ShowsNotCarried(run.Goal.Reserve, run.Risks...) {
		notCarried, riskDrop = headNotCarried, 1
	}
	priced := strings.TrimSpace(headPrice + " " + Clean(run.Currency))
	t := &Table{Columns: []Column{
		{Key: "system", Head: headSystem, Wrap: true, Doc: "name of the system"},
		{Key: "battery", Head: headBattery, Wrap: true, Doc: "size and chemistry"},
		{Key: "battery_ah", Doc: "capacity, Ah"},
		{Key: "drive_a", Head: headDriveA, Drop: 4, Doc: "charging current while driving, A"},
		{Key: "panel_w", Head: headPanelW, Drop: 5, Doc: "rated panel power, W"},
		{Key: "mains_a", Head: headMainsA, Drop: 6, Doc: "charging current on mains, A"},
		{Key: "inverter_w", Head: headInverterW, Drop: 3, Doc: "continuous power of the inverter, W"},
		{Key: "price", Head: priced, Drop: 2, Doc: "price in the job's currency"},
		{Key: "low_soc_pct", Head: headLow, Percent: true, Doc: "lowest state of charge in typical weather, %"},
		{Key: "flat_days", Head: headFlatDays, Doc: "days with a flat spell in typical weather"},
		{Key: "flat_h", Decimals: 1, Doc: "disconnected in typical weather, h"},
		{Key: "unserved_wh", Head: headUnserved, Drop: 1, Doc: "unserved in typical weather: asked for while flat, tripped or overloaded, Wh"},
		{Key: "spilled_wh", Doc: "panel power that nothing could take, Wh"},
		{Key: "flat_risk_pct", Head: risk, Drop: riskDrop, Doc: "share of simulated trips in which the battery runs flat at any time, %"},
		{Key: "flat_risk_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "flat_risk_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "not_carried_pct", Head: notCarried, Doc: docNotCarried},
		{Key: "not_carried_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "not_carried_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "recommended", Doc: "yes for the smallest system that carries the trip"},
		{Key: "verdict", Head: headVerdict, Wrap: true, Doc: "carries, in part, thin reserve, too risky, falls short or runs flat"},
	}}
	for i, r := range run.Results {
		t.Rows = append(t.Rows, run.systemRow(i, i == best, r, f))
	}
	t.Notes, t.Elsewhere = []string{textMarks}, textInJSON
	if run.Draws > 0 {
		t.Notes = []string{f.Text(textAccepted, f.Share(run.Goal.FlatRisk), run.Recorded.many()) + " " + textMarks}
	}
	if notCarried != "" {
		t.Notes = append(t.Notes, f.Text(textNotCarried, reserveClause(run.Goal.Reserve, f)))
	}
	return t
}

func (run *Run) systemRow(i int, best bool, r *sim.Result, f Format) Row {
	s := r.System
	k := riskOf(run.Risks, i)
	risk := make([]Cell, 6)
	if k != nil && k.Draws > 0 {
		risk = slices.Concat(proportionCells(k.Flat, f), proportionCells(k.NotCarried(run.Goal.Reserve), f))
	}
	flat := 0.0
	for d := range r.Days {
		flat += r.Days[d].FlatH
	}
	j := Judge(r, k, run.Goal)
	mark := j.Mark()
	if best {
		mark = GoodMark
	}
	cells := []Cell{
		Text(s.Name), Text(BatteryText(s, f)), Number(batteryAh(s)), Number(driveA(s)), Number(panelW(s)),
		Number(mainsA(s)), Number(inverterW(s)), Number(s.Price),
		Number(100 * r.LowSoC), Number(float64(r.FlatDays)), Number(flat),
		Number(r.Total.UnservedWh), Number(r.Total.SpilledWh),
	}
	return Row{Mark: mark, Cells: append(append(cells, risk...), Yes(best), Text(j.String()))}
}

// verdicts says in a sentence each how the systems fare that are not shown in
// detail.
func (run *Run) verdicts(s Screen) string {
	var b strings.Builder
	for i, r := range run.Results {
		if slices.Contains(run.Shown, i) {
			continue
		}
		j := Judge(r, run.Risk(i), run.Goal)
		text := verdict(r, run.Risk(i), run.Goal, s.Format)
		if k := run.Risk(i); k != nil && k.Draws > 0 && (j == Risky || j == Thin) {
			text += " " + run.riskText(i, false, s.Format)
		}
		b.WriteString(s.paint(j.Mark().colour(), strings.TrimRight(s.Paragraph(j.Mark().sign()+" ", "  ", text), "\n")) + "\n")
	}
	if b.Len() > 0 {
		b.WriteString("\n")
	}
	return b.String()
}

// detail is one system in full.
func (run *Run) detail(s Screen, i int) string {
	f := s.Format
	r, k := run.Results[i], riskOf(run.Risks, i)
	var b strings.Builder
	mark := Judge(r, k, run.Goal).Mark()
	b.WriteString(s.paint(mark.colour(), strings.TrimRight(s.Paragraph("", "", verdict(r, k, run.Goal, f)), "\n")) + "\n")
	if k != nil && k.Draws > 0 {
		b.WriteString(s.Paragraph("", "", run.riskText(i, len(run.Results) < 2, f)))
		b.WriteString("\n" + run.spread(k, f).Render(s))
		if worst := drawAt(run.Worst, i); worst.Result != nil && drawAt(run.Instead, i).Result == nil {
			b.WriteString(s.Paragraph("  ", "  ", run.worstText(k, worst, f)))
		}
	}
	b.WriteString("\n")
	r = run.Detailed(i)
	t := Days(r, k, f)
	t.Title = f.Text(textDayTitle, sentenceName(r.System.Name), run.WeatherOf(i, f))
	if k != nil && k.FlatDraws > 0 {
		t.explain("flat_risk_pct", f.Text(legendDayRisk, run.Recorded.trips(k.Draws, f)))
	}
	t.Notes = []string{f.Text(textDayNote, CutOff(r, f))}
	t.Notes = append(t.Notes, run.footnotes(r, f)...)
	t.Notes = append(t.Notes, Fridges(r, f)...)
	b.WriteString(t.Render(s))
	if lines := FlatSpells(r, f); len(lines) > 0 {
		b.WriteString("\n" + s.list(f.Text(textFlatTitle, f.Count(len(lines), textSpellOne, textSpellMany)), "! ", lines))
	}
	if unmet := Unmet(r, f); unmet != "" {
		b.WriteString(s.Paragraph("! ", "  ", unmet))
	}
	if lines := Events(r, f); len(lines) > 0 {
		b.WriteString("\n" + s.list(textEventsTitle, "? ", lines))
	}
	return b.String()
}

// listMost is how many lines of a list a terminal shows.
const listMost = 20

func (s Screen) list(title, sign string, lines []string) string {
	text := s.Heading(title)
	for i, line := range lines {
		if i == listMost {
			return text + s.Paragraph("  ", "  ", s.Format.Text(textAndMore, s.Format.Number(float64(len(lines)-i), 0)))
		}
		text += s.Paragraph(sign, "  ", line)
	}
	return text
}

func (run *Run) assumptions(s Screen) string {
	f := s.Format
	var b strings.Builder
	if len(run.Warnings) > 0 {
		var lines []string
		for _, w := range run.Warnings {
			lines = append(lines, Clean(w))
		}
		b.WriteString(s.list(textWarnings, "? ", lines) + "\n")
	}
	if medical := run.MedicalCaution(f); medical != "" {
		b.WriteString(s.Paragraph("! ", "  ", medical) + "\n")
	}
	for _, line := range run.Closing(f) {
		b.WriteString(s.Paragraph("", "", line))
	}
	return b.String()
}

// MedicalCaution names the appliances that somebody's health depends on; ""
// without any.
func (run *Run) MedicalCaution(f Format) string {
	if len(run.Medical) == 0 {
		return ""
	}
	var names []string
	for _, m := range run.Medical {
		names = append(names, sentenceName(m))
	}
	return f.Text(textMedical, strings.Join(names, ", "))
}

// MedicalOf names the appliances, for Run.Medical, that somebody's health depends
// on.
func MedicalOf(loads []sim.Load) []string {
	var names []string
	for i := range loads {
		if loads[i].Medical {
			names = append(names, loads[i].Name)
		}
	}
	return names
}

// Closing is what stands below every answer, a paragraph each: what it rests on,
// whose data it uses, and that it is an estimate.
func (run *Run) Closing(f Format) []string {
	lines := []string{Assumptions(run.Options, run.Hash, run.Program, f)}
	for _, source := range run.Sources {
		lines = append(lines, strings.TrimSuffix(Clean(source), ".")+".")
	}
	return append(lines, textEstimate)
}

// shortHash is as much of the input's hash as tells two inputs apart.
func shortHash(h string) string { return h[:min(12, len(h))] }

// tripEnd is the end of the last step, UTC.
func tripEnd(r *sim.Result) time.Time {
	if len(r.Slots) == 0 {
		return time.Time{}
	}
	return r.Slots[len(r.Slots)-1].Start.Add(r.Step)
}
