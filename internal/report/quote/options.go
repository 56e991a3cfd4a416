package quote

import (
	"fmt"
	"math"
	"slices"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// Answers are the results of further questions about the system that the
// document speaks of. Each is optional.
type Answers struct {
	Chargers *sim.Sizing  // sizes of one charging unit
	Map      *sim.SizeMap // battery against charger or panels
}

// chargers compares sizes of the unit that charges the battery.
func (b *builder) chargers() []Block {
	z := b.in.Answers.Chargers
	unit := plain(wordCharger)
	if u := sim.ChargerOf(z.System); u >= 0 {
		if t := shortName(z.System.Chargers[u].Name); t != nil {
			unit = say(textQuoted, t)
		}
	}
	own := z.Quantity.Size(z.System)
	v := chart.Variation{Draws: z.Draws, Setting: settingCharger, Unit: z.Quantity.Unit(), Target: z.Goal.FlatRisk}
	line := chart.VariedSystem{Name: z.System.Name}
	for i := range z.Points {
		line.Points = append(line.Points, chart.VariedPoint{Value: z.Points[i].Size, Flat: z.Points[i].Flat})
	}
	v.Variations = []chart.VariedSystem{line}
	blocks := []Block{Paragraph{Text: say(textChargersLead, systemName(z.System), unit, b.f.With(own, 0, z.Quantity.Unit()))}}
	blocks = append(blocks, b.sizesTable(z, own))
	return append(blocks, b.picture(plain(captionChargers), func(o ...chart.Option) (*chart.Picture, error) { return chart.Vary(v, o...) })...)
}

// sizesTable lists sizes with their risk; the size that is quoted is marked.
func (b *builder) sizesTable(z *sim.Sizing, own float64) *Table {
	f := b.f
	b.table++
	t := &Table{Caption: say(captionChargersTable, fmt.Sprint(b.table)), Columns: []Column{
		{Head: plain(headSize)}, {Head: plain(rowFlatRisk), Numbers: true}, {Head: plain(rowInterval), Numbers: true},
		{Head: plain(headMeanReserve), Numbers: true}, {Head: plain(headMeanUnserved), Numbers: true}, {Head: plain(headVerdict)}}}
	for i := range z.Points {
		p := &z.Points[i]
		row := Row{Cells: []Text{plain(f.With(p.Size, 0, z.Quantity.Unit())), plain(f.Share(p.Flat.Share)), plain(b.interval(p.Flat)),
			plain(f.With(100*p.Reserve, 0, wordPoints)), plain(b.wh(p.UnservedWh)), plain(wordHolds)}}
		if !p.Holds {
			row.Cells[5] = plain(wordTooRisky)
		}
		if p.Size == own {
			row.Mark, row.Kind = report.GoodMark, StrongRow
			row.Cells[0] = say(textThisOne, row.Cells[0])
		}
		t.Rows = append(t.Rows, row)
	}
	t.Notes = []Text{say(noteSizes, b.draws(z.Draws))}
	return t
}

// sizing shows which sizes of battery and charger or panels hold.
func (b *builder) sizing() []Block {
	m := b.in.Answers.Map
	across := acrossNames[m.Across]
	g := chart.SizeGrid{System: m.System.Name, Draws: m.Draws, Target: m.Goal.FlatRisk,
		X: chart.Sizes{Name: across, Unit: m.Across.Unit(), Values: m.Sizes},
		Y: chart.Sizes{Name: acrossNames[sim.BatterySize], Unit: sim.BatterySize.Unit(), Values: m.Ah}}
	for _, line := range m.Flat {
		var shares []float64
		for _, p := range line {
			shares = append(shares, p.Share)
		}
		g.Flat = append(g.Flat, shares)
	}
	text := say(textSizingLead, systemName(m.System), across, b.draws(m.Draws))
	if c := m.Cheapest; c != nil {
		price := b.money(c.Price)
		g.Best = &chart.GridPoint{X: c.Across, Y: c.Battery, Remark: price.String()}
		text = sentences(text, say(textCheapest, b.f.With(m.Ah[c.Battery], 0, "Ah"),
			b.f.With(m.Sizes[c.Across], 0, m.Across.Unit()), across, price))
	}
	blocks := []Block{Paragraph{Text: text}}
	blocks = append(blocks, b.picture(plain(captionSizing), func(o ...chart.Option) (*chart.Picture, error) { return chart.SizeMap(g, o...) })...)
	return append(blocks, Paragraph{Text: b.sizingNote(m, across), Kind: Note})
}

// sizingNote says what the map says along the quoted size.
func (b *builder) sizingNote(m *sim.SizeMap, across string) Text {
	own := m.Across.Size(m.System)
	i := slices.IndexFunc(m.Sizes, func(v float64) bool { return math.Abs(v-own) < 0.5 })
	if i < 0 || i >= len(m.Smallest) {
		return plain(noteSizing)
	}
	size := b.f.With(own, 0, m.Across.Unit())
	if row := m.Smallest[i]; row >= 0 {
		return sentences(plain(noteSizing), say(textSmallest, size, across, b.f.With(m.Ah[row], 0, "Ah")))
	}
	return sentences(plain(noteSizing), say(textNoSmallest, size, across))
}
