package quote

import (
	"fmt"
	"math"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// columnsMost is how many systems stand side by side in one table.
const columnsMost = 5

// systems puts the systems side by side, a column each; many systems make
// several tables of about equal width.
func (b *builder) systems() []Block {
	n := len(b.run.Results)
	tables := (n + columnsMost - 1) / columnsMost
	blocks, picture := []Block{Paragraph{Text: b.systemsLead(), Kind: Body}}, b.comparePicture()
	if tables > 1 { // the picture holds what the tables tear apart
		blocks, picture = append(blocks, picture...), nil
	}
	for t := range tables {
		from, to := t*n/tables, (t+1)*n/tables
		blocks = append(blocks, b.systemsTable(from, to, t, tables))
	}
	return append(blocks, picture...)
}

func (b *builder) systemsLead() Text {
	var lead, reserve Text
	and := " and"
	if n := len(b.run.Results); n > 1 {
		lead = say(textSystemsLead, b.f.Number(float64(n), 0))
	}
	if goal := b.run.Goal.Reserve; goal > 0 {
		and, reserve = ",", say(textCarriedReserve, b.points(goal))
	}
	if b.k == nil {
		return sentences(lead, say(textCarriedTypical, and, reserve))
	}
	return sentences(lead, say(textCarried, and, reserve, b.f.Share(b.run.Goal.FlatRisk)))
}

// systemRow is a line of the comparison: a label, and what it says of a system.
type systemRow struct {
	label string
	kind  RowKind
	cell  func(i int) Text
}

func (b *builder) systemsTable(from, to, part, parts int) *Table {
	t := &Table{Even: true, Columns: []Column{{Head: plain("")}}}
	if b.table++; parts > 1 {
		t.Caption = say(captionSystemsPart, fmt.Sprint(b.table), fmt.Sprint(part+1), fmt.Sprint(parts))
	} else {
		t.Caption = say(captionSystems, fmt.Sprint(b.table))
	}
	for i := from; i < to; i++ {
		c := Column{Head: name(b.run.Results[i].System.Name)}
		if c.Head == nil {
			c.Head = plain(wordUnnamed)
		}
		if i == b.best {
			c.Badge, t.Best = badgeRecommended, len(t.Columns)
		}
		t.Columns = append(t.Columns, c)
	}
	for _, spec := range b.systemRows() {
		row := Row{Kind: spec.kind, Cells: []Text{plain(spec.label)}}
		if spec.kind != GroupRow {
			filled := false
			for i := from; i < to; i++ {
				cell := spec.cell(i)
				filled = filled || len(cell) > 0
				if len(cell) == 0 {
					cell = plain(wordDash)
				}
				row.Cells = append(row.Cells, cell)
			}
			if !filled {
				continue
			}
		}
		t.Rows = append(t.Rows, row)
	}
	if part == parts-1 {
		t.Notes = b.systemNotes()
	}
	return t
}

func (b *builder) systemRows() []systemRow {
	f := b.f
	result := func(say func(*sim.Result) Text) func(int) Text {
		return func(i int) Text { return say(b.run.Results[i]) }
	}
	rows := []systemRow{
		{groupMakeUp, GroupRow, nil},
		{rowBattery, PlainRow, result(func(r *sim.Result) Text { return b.batteryText(r.System) })},
		{rowDriving, PlainRow, result(func(r *sim.Result) Text {
			return b.ampsText(r.System, func(c *sim.Charger) float64 { return c.AlternatorA })
		})},
		{rowMains, PlainRow, result(func(r *sim.Result) Text {
			return b.ampsText(r.System, func(c *sim.Charger) float64 { return c.MainsA })
		})},
		{rowPanels, PlainRow, result(func(r *sim.Result) Text { return b.panelsText(r.System) })},
		{rowInverter, PlainRow, result(func(r *sim.Result) Text { return b.inverterText(r.System) })},
		{rowPrice, PlainRow, result(func(r *sim.Result) Text { return b.money(r.System.Price) })},
		{groupTypical, GroupRow, nil},
		{rowLowest, PlainRow, result(func(r *sim.Result) Text { return plain(f.Percent(r.LowSoC)) })},
		{rowCutOff, PlainRow, result(func(r *sim.Result) Text { return plain(report.CutOff(r, f)) })},
		{rowFlatDays, PlainRow, result(func(r *sim.Result) Text {
			if r.FlatDays == 0 {
				return plain(wordNone)
			}
			return strong(plain(fmt.Sprintf(textOf, f.Number(float64(r.FlatDays), 0), f.Number(float64(len(r.Days)), 0))))
		})},
		{rowUnserved, PlainRow, result(func(r *sim.Result) Text {
			if r.Total.UnservedWh <= 1 {
				return plain(wordNone)
			}
			return plain(b.wh(r.Total.UnservedWh))
		})},
		{rowNoOutlet, PlainRow, func(i int) Text { return join(b.withoutOutlet(i, report.NoLack), ", ") }},
		{rowAutonomy, PlainRow, result(func(r *sim.Result) Text {
			if math.IsInf(r.AutonomyDays, 0) || math.IsNaN(r.AutonomyDays) {
				return nil
			}
			return plain(f.With(r.AutonomyDays, 1, wordDays))
		})},
	}
	if b.run.Draws > 0 {
		rows = append(rows, b.riskRows()...)
	}
	return append(rows, systemRow{rowVerdict, StrongRow, b.verdictText})
}

// riskRows are the lines about the simulated trips.
func (b *builder) riskRows() []systemRow {
	f := b.f
	risk := func(say func(*sim.Risk) Text) func(int) Text {
		return func(i int) Text {
			if k := b.run.Risk(i); k != nil && k.Draws > 0 {
				return say(k)
			}
			return nil
		}
	}
	rows := []systemRow{
		{fmt.Sprintf(groupDraws, b.draws(b.drawsDone())), GroupRow, nil},
		{rowFlatRisk, StrongRow, risk(func(k *sim.Risk) Text { return plain(f.Share(k.Flat.Share)) })},
		{rowInterval, PlainRow, risk(func(k *sim.Risk) Text { return plain(b.interval(k.Flat)) })},
	}
	if b.moreMissed() {
		rows = append(rows, systemRow{rowMissed, StrongRow, risk(func(k *sim.Risk) Text {
			return plain(f.Share(k.NotCarried(b.run.Goal.Reserve).Share))
		})})
	}
	return append(rows, systemRow{rowNineteen, PlainRow, func(i int) Text {
		k := b.run.Risk(i)
		switch {
		case k == nil || k.Draws < fewDraws:
			return nil
		case flatInTwentieth(k):
			return plain(wordFlat)
		}
		return plain(f.Percent(b.run.Results[i].MinSoC + k.Reserve.Q05))
	}})
}

// moreMissed reports whether some system fails more trips than it runs flat on.
func (b *builder) moreMissed() bool {
	return report.ShowsNotCarried(b.run.Goal.Reserve, b.run.Risks...)
}

// points writes a share as percentage points.
func (b *builder) points(share float64) string {
	x := math.Round(1000*share) / 10
	return b.f.With(x, decimals(x), wordPoints)
}

// drawsDone is how many trips were simulated; a weather record may hold fewer
// than were asked for.
func (b *builder) drawsDone() int {
	if k := b.run.Risk(b.shown); k != nil {
		return k.Draws
	}
	return b.run.Draws
}

func (b *builder) verdictText(i int) Text {
	j := report.Judge(b.run.Results[i], b.run.Risk(i), b.run.Goal)
	return plain(verdictWords[j])
}

func (b *builder) batteryText(s *sim.System) Text {
	text := report.BatteryText(s, b.f)
	if n := s.Battery.Count; n > 1 {
		text += fmt.Sprintf(textBatteries, n, b.f.With(s.Battery.CapacityAh, 0, "Ah"))
	}
	return plain(text)
}

// ampsText lists the current of every unit with such an input: "30 A + 50 A".
func (b *builder) ampsText(s *sim.System, of func(*sim.Charger) float64) Text {
	text := ""
	for i := range s.Chargers {
		c := &s.Chargers[i]
		a := of(c)
		if a <= 0 {
			continue
		}
		if c.TotalA > 0 {
			a = math.Min(a, c.TotalA)
		}
		if text != "" {
			text += " + "
		}
		text += b.f.With(a, 0, "A")
	}
	return plain(text)
}

func (b *builder) panelsText(s *sim.System) Text {
	fixed, portable := 0.0, 0.0
	for i := range s.Panels {
		if s.Panels[i].Mount == sim.Portable {
			portable += s.Panels[i].RatedW
		} else {
			fixed += s.Panels[i].RatedW
		}
	}
	var parts []Text
	if fixed > 0 {
		parts = append(parts, say(textRoofPanels, b.f.With(fixed, 0, "W")))
	}
	if portable > 0 {
		parts = append(parts, say(textPortablePanels, b.f.With(portable, 0, "W")))
	}
	return join(parts, " + ")
}

func (b *builder) inverterText(s *sim.System) Text {
	if s.Inverter.RatedW <= 0 {
		return nil
	}
	return plain(b.f.With(s.Inverter.RatedW, 0, "W"))
}

func (b *builder) systemNotes() []Text {
	notes := []Text{plain(noteSystems)}
	if b.run.Draws > 0 {
		notes = append(notes, plain(noteFlatRisk))
		if b.drawsDone() >= fewDraws {
			notes[1] = sentences(notes[1], plain(noteNineteen))
		}
		if b.moreMissed() {
			notes = append(notes, plain(noteMissed))
		}
		if b.run.Recorded != nil && b.run.Recorded.Overlap {
			notes = append(notes, plain(noteOverlap))
		}
	}
	return notes
}
