package quote

import (
	"fmt"
	"math"

	"tripsim/internal/sim"
)

// wear says what the trip costs the batteries.
func (b *builder) wear() []Block {
	f, r := b.f, b.r
	b.table++
	t := &Table{Caption: say(captionWear, fmt.Sprint(b.table)), Columns: []Column{
		{Head: plain(headSystem)},
		{Head: plain(rowBattery)},
		{Head: plain(headCycles), Numbers: true},
		{Head: plain(headWearShare), Numbers: true},
		{Head: plain(headTrips), Numbers: true},
		{Head: plain(headYears), Numbers: true},
	}}
	for i, o := range b.run.Results {
		row := Row{Cells: []Text{
			systemName(o.System), b.batteryText(o.System), plain(f.Number(o.EquivalentCycles, 1)),
			plain(f.Share(o.WearShare)), plain(b.tripsOfLife(o.WearShare)), plain(b.years(o.LifeYears)),
		}}
		if i == b.best {
			row.Kind, row.Mark = StrongRow, goodMark
			row.Cells[0] = say(textThisOne, row.Cells[0])
		}
		t.Rows = append(t.Rows, row)
	}
	c := r.System.Battery.Chemistry
	t.Notes = []Text{plain(noteWear)}
	return []Block{Paragraph{Text: say(textWearLead, systemName(r.System), f.Number(r.EquivalentCycles, 1), f.Share(r.WearShare),
		f.Number(roundTo(c.CyclesToEndOfLife(wearDepth), 2), 0), f.Percent(wearDepth))}, t}
}

// wearDepth is the depth of discharge at which cycle life is usually quoted.
const wearDepth = 0.8

// tripsOfLife is how many such trips a battery's cycle life holds.
func (b *builder) tripsOfLife(share float64) string {
	if !(share > 0) {
		return wordDash
	}
	if n := roundTo(1/share, 2); n < 10000 {
		return b.f.Number(n, 0)
	}
	return wordThousands
}

// years is how long a battery's cycles last.
func (b *builder) years(x float64) string {
	switch {
	case math.IsNaN(x):
		return wordDash
	case x >= sim.MostLifeYears:
		return fmt.Sprintf(wordOverAge, b.f.Number(sim.MostLifeYears, 0))
	case x < 10:
		return b.f.Number(x, 1)
	}
	return b.f.Number(x, 0)
}

// roundTo rounds to so many significant digits.
func roundTo(x float64, digits int) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	unit := math.Pow(10, math.Floor(math.Log10(math.Abs(x)))-float64(digits-1))
	return math.Round(x/unit) * unit
}
