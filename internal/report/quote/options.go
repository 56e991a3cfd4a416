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
	DrivingH []float64    // per system: hours of steady driving from 20 to 80 %; +Inf, NaN as sim.DrivingTime
	Chargers *sim.Sizing  // sizes of one charging unit
	Season   *sim.Season  // the same trip started at other times of the year
	Advice   *sim.Advice  // what would make the trip hold
	Map      *sim.SizeMap // battery against charger or panels
}

// chargers compares how the systems charge, and sizes of the unit that charges
// the battery of the system that the document speaks of.
func (b *builder) chargers() []Block {
	var blocks []Block
	if len(b.in.Answers.DrivingH) == len(b.run.Results) {
		blocks = append(blocks, Paragraph{Text: plain(textChargersLead)}, b.chargersTable())
	}
	z := b.in.Answers.Chargers
	if z == nil || len(z.Points) == 0 {
		return blocks
	}
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
		line.Points = append(line.Points, chart.VariedPoint{Value: z.Points[i].Size, NotCarried: z.Points[i].Failed})
	}
	v.Variations = []chart.VariedSystem{line}
	size := b.f.With(own, 0, z.Quantity.Unit())
	if u := sim.ChargerOf(z.System); u >= 0 {
		if c := &z.System.Chargers[u]; own > max(c.AlternatorA, c.SolarA, c.MainsA) {
			size = b.f.Text(textInputsTogether, size)
		}
	}
	lead := say(textSizesLead, systemName(z.System), unit, size)
	holds := func(p sim.SizePoint) bool { return p.Holds }
	switch {
	case !slices.ContainsFunc(z.Points, func(p sim.SizePoint) bool { return !p.Holds }):
		lead = sentences(lead, say(textEverySize, b.f.With(z.Points[0].Size, 0, z.Quantity.Unit())))
	case !slices.ContainsFunc(z.Points, holds):
		lead = sentences(lead, plain(textNoSize))
	}
	blocks = append(blocks, Paragraph{Text: plain(headSizes), Kind: Head}, Paragraph{Text: lead}, b.sizesTable(z, own))
	if !slices.ContainsFunc(z.Points, func(p sim.SizePoint) bool { return p.Failed.Share != z.Points[0].Failed.Share }) {
		return blocks // a level line says nothing that the sentence does not
	}
	return append(blocks, b.picture(plain(captionChargers), func(o ...chart.Option) (*chart.Picture, error) { return chart.Vary(v, o...) })...)
}

// chargersTable holds the systems' chargers against one another: how fast they
// fill the battery by driving, and what each source gives over the trip.
func (b *builder) chargersTable() *Table {
	f := b.f
	b.table++
	t := &Table{Caption: say(captionChargersSystems, fmt.Sprint(b.table)), Columns: []Column{
		{Head: plain(headSystem)},
		{Head: plain(headUnits)},
		{Head: plain(headDriving20), Numbers: true},
		{Head: plain(headFromDriving), Numbers: true},
		{Head: plain(headFromSun), Numbers: true},
		{Head: plain(headFromMains), Numbers: true},
	}}
	for i, r := range b.run.Results {
		var units []Text
		for c := range r.System.Chargers {
			u := &r.System.Chargers[c]
			units = append(units, shortName(u.Name))
		}
		sources := [3]float64{r.Total.SolarBusWh, r.Total.AlternatorBusWh, r.Total.MainsBusWh}
		row := Row{Cells: []Text{
			systemName(r.System), join(units, ", "), plain(b.drivingText(b.in.Answers.DrivingH[i])),
			plain(b.kwh(sources[1])), plain(b.kwh(sources[0])), plain(b.kwh(sources[2])),
		}}
		if i == b.best {
			row.Mark, row.Kind = report.GoodMark, StrongRow
			row.Cells[0] = say(textThisOne, row.Cells[0])
		}
		t.Rows = append(t.Rows, row)
	}
	note := say(noteChargers, f.Number(sim.DrivingLimitH, 0))
	straight := 0.0
	for _, r := range b.run.Results {
		straight = math.Max(straight, r.Total.TransferWh)
	}
	if b.kwh(straight) != wordDash {
		note = sentences(note, say(noteTransfer, b.kwh(straight)))
	}
	t.Notes = []Text{note}
	return t
}

func (b *builder) drivingText(hours float64) string {
	switch {
	case math.IsNaN(hours):
		return wordDash
	case math.IsInf(hours, 0):
		return wordNever
	}
	return b.f.With(hours, 1, "h")
}

func (b *builder) kwh(wh float64) string {
	if wh < 0.5 {
		return wordDash
	}
	return b.f.With(wh/1000, 1, "kWh")
}

// sizesTable lists sizes with their risk; the size that is quoted is marked.
func (b *builder) sizesTable(z *sim.Sizing, own float64) *Table {
	f := b.f
	b.table++
	t := &Table{Caption: say(captionChargersTable, fmt.Sprint(b.table)), Columns: []Column{
		{Head: plain(headSize)},
		{Head: plain(rowFlatRisk), Numbers: true},
		{Head: plain(headFailed), Numbers: true},
		{Head: plain(rowInterval), Numbers: true},
		{Head: plain(headMeanReserve), Numbers: true},
		{Head: plain(headVerdict)},
	}}
	for i := range z.Points {
		p := &z.Points[i]
		row := Row{Cells: []Text{
			plain(f.With(p.Size, 0, z.Quantity.Unit())), plain(f.Share(p.Flat.Share)), plain(f.Share(p.Failed.Share)),
			plain(b.interval(p.Failed)), plain(f.With(100*p.Reserve, 0, wordPoints)), plain(wordHolds),
		}}
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
	g := chart.SizesOf(m, "", b.run.Currency, b.in.chartOptions()...)
	g.OwnWord = wordAsQuoted
	text := say(textSizingLead, systemName(m.System), across, b.draws(m.Draws))
	if c := m.Cheapest; c == nil || pricedCells(m) < 2 {
		g.Best = nil // the cheapest of one says nothing
	} else {
		price := b.money(c.Price)
		text = sentences(text, say(textCheapest, b.f.With(m.Ah[c.Battery], 0, "Ah"),
			b.f.With(m.Sizes[c.Across], 0, m.Across.Unit()), across, price))
	}
	pair := func(i, j int) []any {
		return []any{b.f.With(m.Ah[i], 0, "Ah"), b.f.With(m.Sizes[j], 0, m.Across.Unit()), across}
	}
	held, tried := 0, len(m.Ah)*len(m.Sizes)
	for _, line := range m.Failed {
		for _, p := range line {
			if p.Share <= m.Goal.FlatRisk {
				held++
			}
		}
	}
	switch held { // without a line to draw, a sentence says it
	case tried:
		return []Block{Paragraph{Text: sentences(text, say(textEveryPair, pair(0, 0)...))}}
	case 0:
		return []Block{Paragraph{Text: sentences(text, say(textNoPair, pair(len(m.Ah)-1, len(m.Sizes)-1)...))}}
	}
	shown := g.Cropped()
	blocks := []Block{Paragraph{Text: text}}
	blocks = append(blocks, b.picture(plain(captionSizing), func(o ...chart.Option) (*chart.Picture, error) { return chart.SizeMap(shown, o...) })...)
	note := b.sizingNote(m, across)
	if len(shown.X.Values) < len(g.X.Values) || len(shown.Y.Values) < len(g.Y.Values) {
		note = sentences(note, plain(noteCropped))
	}
	return append(blocks, Paragraph{Text: note, Kind: Note})
}

// pricedCells counts the pairs of sizes whose price is known.
func pricedCells(m *sim.SizeMap) int {
	n := 0
	for _, line := range m.Price {
		for _, p := range line {
			if !math.IsNaN(p) {
				n++
			}
		}
	}
	return n
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
