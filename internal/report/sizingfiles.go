package report

import (
	"math"

	"tripsim/internal/sim"
)

// Table is every size of every quantity, for files.
func (a *SizeAdvice) Table(f Format) *Table {
	var all *Table
	for _, z := range a.Sizings {
		t := a.Points(z, f)
		if all == nil {
			all = t
			continue
		}
		all.Rows = append(all.Rows, t.Rows...)
	}
	return all.pick("system", "quantity", "size", "unit", "batteries", "not_carried_pct", "not_carried_low_pct", "not_carried_high_pct",
		"flat_risk_pct", "reserve_pct", "unserved_wh", "price", "holds")
}

// SizeSchema names the layout of size.json.
const SizeSchema = "tripsim-size/1"

type sizingJSON struct {
	Quantity  string `json:"quantity"`
	Unit      string `json:"unit"`
	Now       num    `json:"now"`
	Smallest  num    `json:"smallest"` // null: none holds
	Certain   bool   `json:"certain"`
	NeedDraws int    `json:"draws_to_settle"` // 0: not known
	Exact     num    `json:"exact"`
}

type budgetJSON struct {
	DailyWh      num `json:"daily_wh"`
	AutonomyDays num `json:"autonomy_days"`
	MaxDepthPct  num `json:"max_depth_pct"`
	ColdFactor   num `json:"cold_factor"`
	EndOfLifePct num `json:"end_of_life_pct"`
	Margin       num `json:"margin"`
	Ah           num `json:"battery_ah"`
	WorksheetAh  num `json:"battery_by_worksheet_ah"`
	PanelW       num `json:"panel_w"`
	SunKWhM2     num `json:"sun_kwh_m2_per_day"`
	SolarWh      num `json:"solar_wh_per_day"`
	AlternatorWh num `json:"alternator_wh_per_day"`
	MainsWh      num `json:"mains_wh_per_day"`
	LongestGapH  num `json:"longest_time_without_charging_h"`
	BridgeWh     num `json:"bridged_between_charges_wh"`
}

// JSON writes the advice on all systems.
func SizeJSON(all []*SizeAdvice) ([]byte, error) {
	var systems []any
	for _, a := range all {
		var sizings []sizingJSON
		for _, z := range a.Sizings {
			j := sizingJSON{
				Quantity: z.Quantity.String(), Unit: z.Quantity.Unit(), Now: num(z.Quantity.Size(a.System)), Smallest: num(math.NaN()),
				Certain: z.Certain, NeedDraws: z.NeedDraws, Exact: num(z.Exact),
			}
			if z.Best >= 0 {
				j.Smallest = num(z.Points[z.Best].Size)
			}
			sizings = append(sizings, j)
		}
		system := struct {
			Name    string       `json:"name"`
			Sizings []sizingJSON `json:"sizes"`
			Budget  *budgetJSON  `json:"classical_budget"`
		}{Name: a.System.Name, Sizings: sizings}
		if g := a.Budget; g != nil {
			system.Budget = &budgetJSON{
				num(g.DailyWh), num(g.AutonomyDays), pct(g.MaxDepth), num(g.TempFactor), pct(g.EndOfLife), num(g.Margin),
				num(g.Ah), num(g.WorksheetAh), num(g.PanelW), num(g.SunKWhM2), num(g.SolarWh), num(g.AlternatorWh), num(g.MainsWh), num(g.LongestGapH), num(g.BridgeWh),
			}
		}
		systems = append(systems, system)
	}
	return all[0].Basis.document(SizeSchema, part{"systems", systems}, part{"tried", SizeTable(all, DefaultFormat())})
}

// SizeTable is every size of every quantity and system.
func SizeTable(all []*SizeAdvice, f Format) *Table {
	t := all[0].Table(f)
	for _, a := range all[1:] {
		t.Rows = append(t.Rows, a.Table(f).Rows...)
	}
	return t
}

// SizeOverview puts the smallest sizes of several systems side by side.
func SizeOverview(all []*SizeAdvice, s Screen) string {
	f := s.Format
	t := &Table{Title: textAllSizes, Elsewhere: textInJSON, Columns: []Column{
		{Key: "system", Head: headSystem, Wrap: true},
		{Key: "has", Head: headBattery + " now"},
		{Key: "risk", Head: headRiskNow},
		{Key: "battery", Head: headSmallBat},
		{Key: "charger", Head: headSmallChg},
		{Key: "panel", Head: headSmallPan},
		{Key: "budget", Head: headBudget, Drop: 1},
	}}
	for _, a := range all {
		row := Row{Cells: []Cell{Text(a.System.Name), Text(bankText(a.System, f)), {}, {}, {}, {}, {}}}
		for _, z := range a.Sizings {
			row.Cells[3+int(z.Quantity)] = Text(shortAnswer(z, f))
			if at := z.At(z.Quantity.Size(a.System)); at >= 0 && row.Cells[2].kind == blankCell {
				row.Cells[2] = shareCell(z.Points[at].Failed.Share, f)
				if !z.Points[at].Holds {
					row.Mark = BadMark
				}
			}
		}
		if a.Budget != nil {
			row.Cells[6] = Text(f.With(a.Budget.Ah, 0, "Ah"))
		}
		t.Rows = append(t.Rows, row)
	}
	if b := all[0].Budget; b != nil {
		t.Notes = append(t.Notes, f.Text(textAllSizesNote, f.With(b.AutonomyDays, decimalsOf(b.AutonomyDays), plural(b.AutonomyDays, textDay, textDays))))
	}
	t.Notes = append(t.Notes, all[0].Basis.notCarried(f))
	return all[0].Basis.heading(s, aboutSize) + t.Render(s) + "\n" + all[0].Basis.foot(s)
}

// shortAnswer is the smallest size in a word.
func shortAnswer(z *sim.Sizing, f Format) string {
	text := wordNone
	if z.Best >= 0 {
		if text = pointText(z, z.Best, f); z.Points[z.Best].Size == 0 {
			text = wordNotNeeded
		}
	}
	if !z.Certain {
		text += "?"
	}
	return text
}
