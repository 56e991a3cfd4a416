package report

import (
	"fmt"
	"math"
	"strings"

	"tripsim/internal/sim"
)

// MapAdvice is the map of one system's battery against charger or panels.
type MapAdvice struct {
	Basis *Basis
	Map   *sim.SizeMap
}

// Text lays the map out for a terminal.
func (a *MapAdvice) Text(s Screen) string {
	var b strings.Builder
	b.WriteString(a.Basis.heading(s, aboutMap))
	b.WriteString(a.matrix(s.Format).Render(s) + "\n")
	for _, line := range a.answer(s.Format) {
		b.WriteString(s.Paragraph("", "", line))
	}
	b.WriteString("\n" + a.Basis.foot(s))
	return b.String()
}

// matrix shows batteries down and the other size across, in per cent.
func (a *MapAdvice) matrix(f Format) *Table {
	m := a.Map
	t := &Table{Title: f.Text(textMapTitle, wordOf(m.Across), Describe(m.System, f)), Columns: []Column{{Key: "battery", Head: wordBattery}}}
	for c, v := range m.Sizes {
		t.Columns = append(t.Columns, Column{Key: fmt.Sprint(c), Head: f.With(v, decimalsOf(v), m.Across.Unit())})
	}
	for r := range m.Ah {
		row := Row{Cells: []Cell{Number(m.Ah[r]).Shown(f.With(m.Ah[r], decimalsOf(m.Ah[r]), "Ah"))}}
		for c := range m.Sizes {
			share := m.Failed[r][c].Share
			text := f.sharePart(share)
			if share <= m.Goal.FlatRisk {
				text += "*"
			}
			row.Cells = append(row.Cells, Number(100*share).Shown(text))
		}
		t.Rows = append(t.Rows, row)
	}
	t.Notes = []string{f.Text(textMapNote, f.Share(m.Goal.FlatRisk)), a.Basis.notCarried(f)}
	return t
}

func (a *MapAdvice) answer(f Format) []string {
	m := a.Map
	size := func(c int) string { return f.With(m.Sizes[c], decimalsOf(m.Sizes[c]), m.Across.Unit()) }
	ah := func(r int) string { return f.With(m.Ah[r], decimalsOf(m.Ah[r]), "Ah") }
	var pairs []string
	priced := false
	for c, r := range m.Smallest {
		if r >= 0 && (c == 0 || r != m.Smallest[c-1]) {
			pairs = append(pairs, f.Text(textMapSmallestFor, ah(r), size(c)))
		}
	}
	for r := range m.Price {
		for _, p := range m.Price[r] {
			priced = priced || !math.IsNaN(p) && p != m.System.Price
		}
	}
	if len(pairs) == 0 {
		return []string{textMapNone}
	}
	out := []string{f.Text(textMapSmallest, strings.Join(pairs, ", "))}
	switch best := m.Cheapest; {
	case !priced:
		out = append(out, f.Text(textMapNoPrices, [...]string{"ah", "a", "w"}[m.Across]))
	case best != nil:
		out = append(out, f.Text(textMapCheapest, ah(best.Battery), size(best.Across), f.Number(best.Price, 0), Clean(a.Basis.Currency),
			f.Share(m.Failed[best.Battery][best.Across].Share)))
	}
	return out
}

// Table is one row per pair, for files.
func (a *MapAdvice) Table() *Table {
	m := a.Map
	t := &Table{Columns: []Column{
		{Key: "battery_ah", Head: wordBattery, Doc: "battery bank, Ah"},
		{Key: m.Across.String() + "_" + strings.ToLower(m.Across.Unit()), Head: wordOf(m.Across), Doc: "size across, A or W"},
		{Key: "not_carried_pct", Doc: docNotCarried},
		{Key: "not_carried_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "not_carried_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "flat_risk_pct", Doc: "share of simulated trips with a flat battery, %"},
		{Key: "price", Doc: "price in the job's currency"},
		{Key: "holds", Doc: "yes if the share not carried is accepted"},
		{Key: "cheapest", Doc: "yes for the pair of least price that holds"},
	}}
	for r := range m.Ah {
		for c := range m.Sizes {
			p := m.Failed[r][c]
			t.Rows = append(t.Rows, Row{Cells: []Cell{
				Number(m.Ah[r]), Number(m.Sizes[c]), Number(100 * p.Share), Number(100 * p.Low), Number(100 * p.High),
				Number(100 * m.Flat[r][c].Share), Number(m.Price[r][c]), Yes(p.Share <= m.Goal.FlatRisk),
				Yes(m.Cheapest != nil && m.Cheapest.Battery == r && m.Cheapest.Across == c),
			}})
		}
	}
	return t
}

// MapSchema names the layout of size-map.json.
const MapSchema = "tripsim-size-map/1"

// JSON writes the map.
func (a *MapAdvice) JSON() ([]byte, error) {
	return a.Basis.document(MapSchema, part{"system", a.Map.System.Name}, part{"pairs", a.Table()})
}
