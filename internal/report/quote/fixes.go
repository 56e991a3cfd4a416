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

// fixes lists single changes that lower the flat risk, best first.
func (b *builder) fixes() []Block {
	a, f := b.in.Answers.Advice, b.f
	b.table++
	t := &Table{Caption: say(captionFixes, fmt.Sprint(b.table), systemName(a.System)), Columns: []Column{
		{Head: plain(headChange)},
		{Head: plain(rowFlatRisk), Numbers: true},
		{Head: plain(rowInterval), Numbers: true},
		{Head: plain(headDifference), Numbers: true},
		{Head: plain(headMissing), Numbers: true},
		{Head: plain(headEnough)},
	}}
	t.Rows = append(t.Rows, Row{Kind: StrongRow, Cells: []Text{
		plain(textAsPlanned), plain(f.Share(a.Before.Flat.Share)),
		plain(b.interval(a.Before.Flat)), nil, plain(b.wh(a.Before.Unserved.Mean)), nil,
	}})
	for i := range a.Fixes {
		fix := &a.Fixes[i]
		if len(t.Rows) > fixesMost || !better(fix) {
			break
		}
		row := Row{Cells: []Text{
			b.fixText(fix), plain(f.Share(fix.Risk.Flat.Share)), plain(b.interval(fix.Risk.Flat)),
			plain(b.pointsText(fix.Flat)), plain(b.wh(fix.Risk.Unserved.Mean)), plain(unbroken(b.leftOver(fix))),
		}}
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

// better reports whether a change does more than the chance of the draws.
func better(f *sim.Fix) bool { return f.Flat.High < 0 || f.Unserved.High < 0 }

// pointsText writes a difference of shares in percentage points, with its
// interval.
func (b *builder) pointsText(d sim.Difference) string {
	points := func(x float64) string {
		s := b.f.Number(100*x, 0)
		if x > 0 && s != "0" {
			return "+" + s
		}
		return s
	}
	return say(textPoints, points(d.Mean), points(d.Low), points(d.High)).String()
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
