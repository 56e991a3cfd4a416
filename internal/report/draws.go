package report

import (
	"math"

	"tripsim/internal/sim"
)

// Draw is one simulated trip in full.
type Draw struct {
	No     uint64      // its number, from 0
	Result *sim.Result // nil = none
}

func drawAt(draws []Draw, i int) Draw {
	if i < len(draws) {
		return draws[i]
	}
	return Draw{}
}

// Detailed is what is shown of system i day by day: the typical weather, or the
// simulated trip in its place.
func (run *Run) Detailed(i int) *sim.Result {
	if d := drawAt(run.Instead, i); d.Result != nil {
		return d.Result
	}
	return run.Results[i]
}

// detailed is what the files hold of every system.
func (run *Run) detailed() []*sim.Result {
	out := make([]*sim.Result, len(run.Results))
	for i := range out {
		out[i] = run.Detailed(i)
	}
	return out
}

// WeatherOf names the weather that is shown of system i day by day.
func (run *Run) WeatherOf(i int, f Format) string {
	switch d := drawAt(run.Instead, i); {
	case d.Result != nil:
		if k := run.Risk(i); k != nil && k.WorstDraw == d.No {
			return f.Text(textWorstTrip, run.Recorded.trips(run.Draws, f), f.Number(float64(d.No), 0))
		}
		return f.Text(textOneTrip, run.Recorded.kind(), f.Number(float64(d.No), 0))
	case run.Recorded.replaces():
		return f.Text(textWeatherOf, sentenceName(run.Recorded.Name))
	}
	return wordTypical
}

// worstText says how the worst simulated trip goes.
func (run *Run) worstText(k *sim.Risk, d Draw, f Format) string {
	how := f.Text(textWorstNeverFlat, f.Percent(d.Result.LowSoC))
	if d.Result.FlatDays > 0 {
		how = f.Text(textWorstFlat, f.Count(d.Result.FlatDays, textDay, textDays))
	}
	return f.Text(textWorst, run.Recorded.trips(k.Draws, f), f.Number(float64(d.No), 0), how, f.With(d.Result.Total.UnservedWh, 0, "Wh"))
}

// riskText says how often system i runs flat over the simulated trips; see
// missedText for define.
func (run *Run) riskText(i int, define bool, f Format) string {
	k := run.Risk(i)
	if run.Recorded == nil {
		return riskText(k, run.Goal, define, f)
	}
	text := f.Text(textRecordedRisk, f.Number(float64(k.FlatDraws), 0), run.Recorded.trips(k.Draws, f), f.Share(k.Flat.Share), ShareInterval(k.Flat, f))
	text += missedText(k, run.Goal, define, f)
	if run.Recorded.Overlap {
		text += " " + textOverlap
	}
	return text
}

// fewTrips are too few for nine of ten to mean anything.
const fewTrips = 20

// spread is what the simulated trips of a system have in common, and how far they
// lie apart.
func (run *Run) spread(k *sim.Risk, f Format) *Table {
	t := &Table{Title: f.Text(textSpreadTitle, run.Recorded.trips(k.Draws, f)), Columns: []Column{
		{Key: "what", Wrap: true, Head: " "}, {Key: "middle", Head: headMiddle}, {Key: "most", Head: headMost, Wrap: true}, {Key: "all", Head: headAll, Wrap: true},
	}}
	if k.Draws < fewTrips {
		t.Columns[2].Head = ""
	}
	for _, row := range []struct {
		name  string
		d     sim.Distribution
		scale float64
		show  func(low, high float64) string
	}{
		{textSpreadReserve, k.Reserve, 100, func(low, high float64) string { return f.Text(textInterval, f.Number(low, 0), f.Percent(high/100)) }},
		{textSpreadUnserved, k.Unserved, 1, f.energies},
		{textSpreadSpilled, k.Spilled, 1, f.energies},
	} {
		show := func(low, high float64) Cell {
			if math.Round(row.scale*low) == math.Round(row.scale*high) {
				return Cell{}.Shown(f.one(row.scale*high, row.scale))
			}
			return Cell{}.Shown(row.show(row.scale*low, row.scale*high))
		}
		t.Rows = append(t.Rows, Row{Cells: []Cell{Text(row.name), Cell{}.Shown(f.one(row.scale*row.d.Q50, row.scale)), show(row.d.Q05, row.d.Q95), show(row.d.Min, row.d.Max)}})
	}
	return t
}

// energies is a range of energies: "0 to 120 Wh".
func (f Format) energies(low, high float64) string {
	return f.Text(textInterval, f.Number(low, 0), f.With(high, 0, "Wh"))
}

// one is a single figure of a row of spread, in per cent (scale 100) or Wh.
func (f Format) one(x, scale float64) string {
	if scale == 100 {
		return f.Percent(x / 100)
	}
	return f.With(x, 0, "Wh")
}
