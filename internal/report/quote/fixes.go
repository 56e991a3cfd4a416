package quote

import (
	"fmt"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// fixesMost is how many changes are listed.
const fixesMost = 10

func (b *builder) hasFixes() bool {
	a := b.in.Answers.Advice
	return a != nil && len(a.Fixes) > 0
}

// fixes lists the single changes that matter, fewest trips not carried first.
func (b *builder) fixes() []Block {
	a, f := b.in.Answers.Advice, b.f
	b.table++
	t := &Table{Caption: say(captionFixes, fmt.Sprint(b.table), systemName(a.System)), Columns: []Column{
		{Head: plain(headChange)},
		{Head: plain(rowFlatRisk), Numbers: true},
		{Head: plain(headFailed), Numbers: true},
		{Head: plain(rowInterval), Numbers: true},
		{Head: plain(headMissing), Numbers: true},
		{Head: plain(headEnough)},
	}}
	row := func(what Text, k *sim.Risk, enough Text) Row {
		missed := k.NotCarried(b.run.Goal.Reserve)
		return Row{Cells: []Text{
			what, plain(f.Share(k.Flat.Share)), plain(f.Share(missed.Share)), plain(unbroken(b.interval(missed))), plain(b.wh(k.Unserved.Mean)), enough,
		}}
	}
	planned := row(plain(textAsPlanned), a.Before, nil)
	planned.Kind = StrongRow
	t.Rows = append(t.Rows, planned)
	matter, _ := report.FixesThatMatter(a, f)
	for _, i := range matter[:min(len(matter), fixesMost)] {
		fix := &a.Fixes[i]
		row := row(b.fixText(fix), fix.Risk, plain(unbroken(b.leftOver(fix))))
		if enough, _ := report.FixEnough(fix, b.run.Goal, f); enough {
			row.Mark, row.Cells[5] = goodMark, strong(plain(wordEnough))
		}
		t.Rows = append(t.Rows, row)
	}
	t.Notes = []Text{say(noteFixes, b.draws(a.Draws), f.Share(b.run.Goal.FlatRisk))}
	if len(t.Rows) == 1 {
		b.table--
		return []Block{Paragraph{Text: say(textNoFix, systemName(a.System))}}
	}
	return []Block{Paragraph{Text: say(textFixesLead, systemName(a.System))}, t}
}

// leftOver says in a few words why a change alone is not enough.
func (b *builder) leftOver(x *sim.Fix) string {
	cut, known := cutWords[x.Cut]
	switch {
	case x.Risk.Flat.Share > b.run.Goal.FlatRisk:
		return wordStillFlat
	case known:
		return cut
	case x.Risk.NotCarried(0).Share > b.run.Goal.FlatRisk:
		return wordStillShort
	}
	return wordStillThin
}

// fixText says what a change is.
func (b *builder) fixText(x *sim.Fix) Text {
	f := b.f
	var t Text
	switch x.Kind {
	case sim.MoreDriving:
		t = say(fixDriving, b.dayPlace(x.Day, x.Place), b.hours(x.To), b.hours(x.From))
	case sim.PoweredNight:
		t = say(fixNight, b.dayPlace(x.Day, x.Place))
	case sim.PortablePanel:
		t = say(fixPanel, f.With(x.To, 0, "W"))
	case sim.LargerCharger:
		t = say(fixNewCharger, f.With(x.To, 0, "A"))
		if x.From > 0 {
			t = say(fixCharger, shortName(x.What), f.With(x.To, 0, "A"), f.With(x.From, 0, "A"))
		}
	case sim.LargerBattery:
		t = say(fixBattery, f.With(x.To, 0, "Ah"), f.With(x.From, 0, "Ah"))
	case sim.WarmerFridge:
		t = say(fixFridge, shortName(x.What), f.Temperature(x.To), f.Temperature(x.From))
		if x.Each {
			t = say(fixFridgeEach, shortName(x.What), f.Warmer(x.To-x.From))
		}
	case sim.InverterOffAtNight:
		t = plain(fixInverterNight)
	case sim.InverterWhenNeeded:
		t = plain(fixInverterNeeded)
	case sim.WithoutLoad:
		t = say(fixWithout, shortName(x.What))
	case sim.FullStart:
		t = say(fixFull, f.Percent(x.From))
	case sim.BatteryHeater:
		t = say(fixHeater, f.With(x.To, 0, "W"))
	default:
		t = name(string(x.Kind))
	}
	if x.Adds != "" {
		t = say(fixAdds, t, name(x.Adds))
	}
	return t
}
