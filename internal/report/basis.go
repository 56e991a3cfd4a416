package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"tripsim/internal/sim"
)

// Basis is what an advice (a size, a comparison, a season, ...) rests on.
type Basis struct {
	Scenario string // name of the scenario
	Title    string // of the job, if it has one
	Customer string
	Hash     string // of the input files
	Program  string // name and version of the program
	Currency string
	Options  sim.Options
	Draws    int    // simulated trips per answer
	Weather  string // one sentence: what the draws are
	Goal     Goal
	Trip     *sim.Trip
	Recorded *Recorded // the weather file that took the place of simulated weather, if any
	Warnings []string
}

// heading tells what is advised on.
func (b *Basis) heading(s Screen, about string) string {
	f := s.Format
	text := s.Heading(titleOf(b.Title, b.Scenario, b.Customer) + ": " + about)
	if b.Trip != nil && len(b.Trip.Stops) > 0 {
		text += s.Paragraph("", "", datesText(b.Trip.Start(), b.Trip.Days(), f))
	}
	if w := Clean(b.Weather); w != "" {
		text += s.Paragraph("", "", f.Text(textDraws, b.trips(f), w))
	}
	if b.single() {
		text += s.Paragraph("", "", textOneRecorded)
	}
	return text + "\n"
}

// trips counts the trips that the answer rests on.
func (b *Basis) trips(f Format) string { return b.Recorded.trips(b.Draws, f) }

// single reports whether the answer rests on one recorded trip, which has no risk.
func (b *Basis) single() bool { return b.Recorded != nil && b.Draws == 1 }

// foot tells the assumptions.
func (b *Basis) foot(s Screen) string {
	return s.assumed(b.Options, b.Hash, b.Program) + s.Paragraph("", "", textEstimate)
}

// titleOf heads an answer: the job's title or the scenario's name, for whom.
func titleOf(title, scenario, customer string) string {
	if title = Clean(title); title == "" {
		title = Clean(scenario)
	}
	if c := Clean(customer); c != "" {
		title += ", " + c
	}
	return title
}

// assumed is the paragraph of assumptions.
func (s Screen) assumed(o sim.Options, hash, program string) string {
	return s.Paragraph("", "", Assumptions(o, hash, program, s.Format))
}

// Assumptions tells in a sentence what a run rests on beside its input.
func Assumptions(o sim.Options, hash, program string, f Format) string {
	return f.Text(textAssumptions, stepText(o), fmt.Sprint(o.Seed), o.Sky.Source(), f.Number(o.Albedo, 2), shortHash(hash), Clean(program))
}

// notCarried says what makes a simulated trip count as not carried.
func (b *Basis) notCarried(f Format) string { return NotCarried(b.Goal.Reserve, f) }

// docNotCarried explains the column not_carried_pct.
const docNotCarried = "share of simulated trips that are not carried: flat, with something unserved, or below the wanted reserve, %"

// ShowsNotCarried reports whether for some risk the share of trips not carried is
// another than the flat risk, so that it has to be shown beside it.
func ShowsNotCarried(reserve float64, risks ...*sim.Risk) bool {
	return slices.ContainsFunc(risks, func(k *sim.Risk) bool { return k != nil && k.NotCarried(reserve) != k.Flat })
}

// NotCarried says what makes a simulated trip count as not carried with a
// reserve (0..1).
func NotCarried(reserve float64, f Format) string {
	return f.Text(textNotCarried, reserveClause(reserve, f))
}

// priceHead is the head of a column of prices.
func (b *Basis) priceHead(what string) string {
	return strings.TrimSpace(what + " " + Clean(b.Currency))
}

// part is a named piece of a JSON document.
type part struct {
	key   string
	value any // a *Table, or anything that encodes
}

// document writes an advice as JSON: what it rests on, then its parts in order.
func (b *Basis) document(schema string, parts ...part) ([]byte, error) {
	head := []part{
		{"schema", schema},
		{"program", b.Program},
		{"scenario", b.Scenario},
		{"customer", b.Customer},
		{"input_hash", b.Hash},
		{"currency", b.Currency},
		{"step_minutes", num(b.Options.Step.Minutes())},
		{"seed", b.Options.Seed},
		{"draws", b.Draws},
		{"weather", b.Weather},
		{"accepted_flat_risk_pct", pct(b.Goal.FlatRisk)},
		{"wanted_reserve_pct", pct(b.Goal.Reserve)},
		{"use_spread_pct", pct(b.Options.UseSpread)},
		{"warnings", append([]string{}, b.Warnings...)},
	}
	var out bytes.Buffer
	out.WriteString("{")
	for i, p := range append(head, parts...) {
		if i > 0 {
			out.WriteByte(',')
		}
		out.WriteString("\n" + string(quoted(p.key)) + ": ")
		if t, ok := p.value.(*Table); ok {
			out.Write(bytes.TrimSpace(t.JSON()))
			continue
		}
		data, err := json.Marshal(p.value)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", p.key, err)
		}
		out.Write(data)
	}
	out.WriteString("\n}\n")
	return out.Bytes(), nil
}

// pick is the table with some of its columns, in the order of keys.
func (t *Table) pick(keys ...string) *Table {
	out := &Table{Title: t.Title, Notes: t.Notes}
	var at []int
	for _, key := range keys {
		for i, c := range t.Columns {
			if c.Key == key {
				out.Columns = append(out.Columns, c)
				at = append(at, i)
			}
		}
	}
	for _, r := range t.Rows {
		row := Row{Mark: r.Mark}
		for _, i := range at {
			if i < len(r.Cells) {
				row.Cells = append(row.Cells, r.Cells[i])
			} else {
				row.Cells = append(row.Cells, Cell{})
			}
		}
		out.Rows = append(out.Rows, row)
	}
	return out
}

// shareCell is a share 0..1 as a percentage that reads well.
func shareCell(share float64, f Format) Cell { return Number(100 * share).Shown(f.Share(share)) }

// proportionCells are a share of trips and its interval, %.
func proportionCells(p sim.Proportion, f Format) []Cell {
	return []Cell{shareCell(p.Share, f), Number(100 * p.Low), Number(100 * p.High)}
}

// ShareInterval is the interval of a share: "2.1 to 4.4 %".
func ShareInterval(p sim.Proportion, f Format) string {
	return f.Text(textInterval, f.sharePart(p.Low), f.Share(p.High))
}

// sharePart is a share without its sign of per cent.
func (f Format) sharePart(share float64) string {
	return strings.TrimSuffix(f.Share(share), f.percentSign())
}

// pointsText is a difference of shares in percentage points with its interval:
// "-3.1 (-4.0 to -2.2)".
func pointsText(d sim.Difference, f Format) string {
	return f.Text(textPointsDiff, signed(100*d.Mean, 1, f), signed(100*d.Low, 1, f), signed(100*d.High, 1, f))
}

// signed writes a number with its sign, a true minus included.
func signed(x float64, decimals int, f Format) string {
	text := f.Number(x, decimals)
	zero := f.Number(0, decimals)
	switch {
	case text == zero:
		return text
	case x > 0:
		return "+" + text
	default:
		return "−" + strings.TrimLeft(text, "-−")
	}
}

// datesText says when a trip is: its first and last day, or its only one.
func datesText(first time.Time, days int, f Format) string {
	count := f.Count(days, textDay, textDays)
	if days == 1 {
		return f.Text(textHeadDay, f.Date(first), count)
	}
	return f.Text(textHeadDays, f.Date(first), f.Date(first.AddDate(0, 0, days-1)), count)
}
