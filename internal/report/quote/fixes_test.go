package quote

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// A reserve that the changes keep more often is a clear difference, though none of
// the trips runs flat: the table lists what fix lists.
func TestTheQuoteListsTheChangesThatFixLists(t *testing.T) {
	in := flat(t)
	planned := &sim.Risk{Draws: 200, Short: sim.Wilson(90, 200)}
	better := &sim.Risk{Draws: 200, Short: sim.Wilson(2, 200)}
	in.Answers.Advice = &sim.Advice{Draws: 200, System: in.Answers.Advice.System, Before: planned, Fixes: []sim.Fix{
		{Kind: sim.WarmerFridge, What: "Fridge", From: 4, To: 6, Risk: planned, Missed: sim.Difference{Low: -0.01, High: 0.01}},
		{Kind: sim.LargerBattery, From: 100, To: 200, Risk: better, Missed: sim.Difference{Mean: -0.44, Low: -0.5, High: -0.4}},
	}}
	blocks := sectionOf(t, build(t, in), "fixes").Blocks
	require.Len(t, blocks, 2)
	table := blocks[1].(*Table)
	require.Len(t, table.Rows, 2, "as planned, and the one that matters")
	assert.Equal(t, headFailed, table.Columns[2].Head.String())
	assert.Equal(t, "45 %", spaced(table.Rows[0].Cells[2].String()))
	assert.Equal(t, []string{"Battery of 200 Ah instead of 100 Ah", "0 %", "1 %", "yes"}, []string{
		spaced(table.Rows[1].Cells[0].String()), spaced(table.Rows[1].Cells[1].String()), spaced(table.Rows[1].Cells[2].String()), table.Rows[1].Cells[5].String(),
	})
	matter, _ := report.FixesThatMatter(in.Answers.Advice, in.Format)
	assert.Equal(t, []int{1}, matter)
}

func TestOneSystemAloneIsNotCalledTheNearest(t *testing.T) {
	in := flat(t)
	run := *in.Run
	run.Results, run.Risks = run.Results[:1], run.Risks[:1]
	in.Run, in.Answers = &run, Answers{}
	box := build(t, in).Sections[0].Blocks[0].(Callout)
	assert.Equal(t, "Tiny does not carry this trip as planned", box.Title.String())
	assert.NotEqual(t, labelNone, box.Label)
	assert.NotContains(t, box.Texts[0].String(), "earest")
}

func TestAUnitIsListedByItsInputs(t *testing.T) {
	b := newBuilder(holding(t))
	u := &sim.Charger{AlternatorA: 30, SolarA: 20, MainsA: 10, TotalA: math.NaN()}
	assert.Equal(t, "30 A alternator, 20 A solar, 10 A mains", spaced(b.inputsText(u).String()))
	u.TotalA = 30
	assert.Equal(t, "30 A alternator, 20 A solar, 10 A mains, together up to 30 A", spaced(b.inputsText(u).String()))
	assert.Equal(t, "40 A alternator", spaced(b.inputsText(&sim.Charger{AlternatorA: 40, TotalA: 40}).String()))
}

// What goes straight to AC appliances is in the mains of other sections and not in
// the table of chargers: its note says so, where there is any.
func TestTheTableOfChargersSaysWhatMainsLeavesOut(t *testing.T) {
	words := func(straightWh float64) string {
		return spaced(wordsOf(t, build(t, withResult(t, holding(t), func(r *sim.Result) { r.Total.TransferWh = straightWh })), "chargers"))
	}
	assert.Contains(t, words(1200), "From mains: without what a powered site feeds straight to AC appliances")
	in := holding(t)
	run := *in.Run
	run.Results = nil
	for _, r := range in.Run.Results {
		r := *r
		r.Total.TransferWh = 0
		run.Results = append(run.Results, &r)
	}
	in.Run = &run
	assert.NotContains(t, spaced(wordsOf(t, build(t, in), "chargers")), "straight to AC")
}
