package main

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// variation is what --vary asks for: system.battery_ah=100,150 or
// charger[Unit].alternator_a=25,40.
type variation struct {
	file, keyColumn string // the table and the column that names its rows
	row             string // "" = the only one that fits
	column          *scenario.Column
	label           string
	values          []float64
}

// variable maps the word before the point to its table.
var variable = map[string][2]string{
	"system": {"systems.csv", "system"}, "charger": {"chargers.csv", "charger"}, "panel": {"panels.csv", "panel"},
}

// parseVary reads the flag.
func (a *adviceFlags) parseVary(text string) (*variation, error) {
	name, list, ok := strings.Cut(text, "=")
	table, column, dotted := cutLast(name, ".")
	if !ok || !dotted {
		return nil, usage(a.command, "--vary: %q is not TABLE.COLUMN=VALUES; use e.g. charger.alternator_a=25,40,50,60", clean(text))
	}
	v := &variation{label: strings.TrimSpace(name)}
	if i := strings.IndexByte(table, '['); i >= 0 && strings.HasSuffix(strings.TrimSpace(table), "]") {
		v.row = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(table[i+1:]), "]"))
		table = table[:i]
	}
	table = strings.ToLower(strings.TrimSpace(table))
	known, found := variable[strings.TrimSuffix(table, "s")]
	if !found {
		return nil, usage(a.command, "--vary: %q is not system, charger or panel%s", clean(table), didYouMean(table, []string{"system", "charger", "panel"}, ""))
	}
	v.file, v.keyColumn = known[0], known[1]
	if v.column = numericColumn(v.file, strings.ToLower(strings.TrimSpace(column))); v.column == nil {
		names := numericColumns(v.file)
		return nil, usage(a.command, "--vary: %q is not a column of numbers in %s%s (there are: %s)", clean(column), v.file,
			didYouMean(column, names, ""), strings.Join(names, ", "))
	}
	var err error
	if v.values, err = a.numbers("vary", list, math.Inf(-1)); err != nil {
		return nil, err
	}
	if len(v.values) > maxVaried {
		return nil, usage(a.command, "--vary: %d values; at most %d at a time", len(v.values), maxVaried)
	}
	return v, nil
}

// maxVaried bounds the values of a variation.
const maxVaried = 50

// cutLast cuts at the last sep outside brackets.
func cutLast(s, sep string) (before, after string, ok bool) {
	i := strings.LastIndex(s, sep)
	if i < strings.LastIndexByte(s, ']') {
		i = -1
	}
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}

func specOf(file string) *scenario.TableSpec {
	for _, s := range scenario.Specs() {
		if s.File == file {
			return s
		}
	}
	return nil
}

func numericColumns(file string) []string {
	var out []string
	for _, c := range specOf(file).Columns {
		if c.Kind == scenario.Number || c.Kind == scenario.Integer {
			out = append(out, c.Name)
		}
	}
	return out
}

func numericColumn(file, name string) *scenario.Column {
	if !slices.Contains(numericColumns(file), name) {
		return nil
	}
	return specOf(file).Column(name)
}

// variants builds every system with every value; base is the index of the value
// that it has as it is, or 0. The notes tell of values without effect.
func (a *adviceFlags) variants(t *task, v *variation, prices sim.Prices) (out [][]*sim.System, base []int, notes []string, err error) {
	for _, sys := range t.systems {
		row, err := a.rowOf(t, v, sys)
		if err != nil {
			return nil, nil, nil, err
		}
		var line []*sim.System
		own := 0
		for j, value := range v.values {
			changed, was, err := withCell(t.sc, v, row, value)
			if err != nil {
				return nil, nil, nil, badInput(fmt.Errorf("--vary: with %s=%s: %w", clean(v.label), strconv.FormatFloat(value, 'f', -1, 64), err))
			}
			k := slices.IndexFunc(changed.Systems, func(s sim.System) bool { return s.Name == sys.Name })
			variant := &changed.Systems[k]
			if v.column.Name != "price" {
				variant.Price = prices.Between(sys, variant)
			}
			if was == value || v.column.Name != "price" && sameSystem(sys, variant) {
				own, variant.Price = j, sys.Price
			}
			line = append(line, variant)
		}
		out, base = append(out, line), append(base, own)
		notes = append(notes, v.limits(line)...)
	}
	return out, base, notes, nil
}

// sameSystem tells whether two systems are the same in every figure. Unknown
// figures (NaN) are no difference, which rules plain equality out.
func sameSystem(a, b *sim.System) bool {
	x, y := *a, *b
	x.Price, y.Price = 0, 0
	return fmt.Sprintf("%+v", x) == fmt.Sprintf("%+v", y)
}

// rowOf finds the row of a system's table to change.
func (a *adviceFlags) rowOf(t *task, v *variation, sys *sim.System) (int, error) {
	table := t.sc.Tables[v.file]
	if table == nil {
		return 0, usage(a.command, "--vary: the scenario has no %s", v.file)
	}
	system, key, column := table.Column("system"), table.Column(v.keyColumn), table.Column(v.column.Name)
	var rows, given []int
	var names []string
	for i := range table.Rows {
		r := &table.Rows[i]
		if !strings.EqualFold(strings.TrimSpace(r.Cell(system)), sys.Name) {
			continue
		}
		name := strings.TrimSpace(r.Cell(key))
		if v.row != "" && !strings.EqualFold(name, v.row) {
			names = append(names, name)
			continue
		}
		rows, names = append(rows, i), append(names, name)
		if x, ok := table.Number(r.Cell(column)); ok && x != 0 {
			given = append(given, i)
		}
	}
	switch {
	case len(rows) == 1:
		return rows[0], nil
	case len(given) == 1:
		return given[0], nil
	case len(names) == 0:
		return 0, usage(a.command, "--vary: system %q has no row in %s; leave it out with --system", clean(sys.Name), v.file)
	case len(rows) == 0:
		return 0, usage(a.command, "--vary: system %q has no %s %q%s (it has: %s)", clean(sys.Name), v.keyColumn, clean(v.row),
			didYouMean(v.row, names, ""), clean(strings.Join(names, ", ")))
	}
	return 0, usage(a.command, "--vary: system %q has several rows in %s; name one: %s[%s].%s=...", clean(sys.Name), v.file, v.keyColumn, clean(names[0]), v.column.Name)
}

// withCell is the scenario with one cell changed, read afresh; was is the number
// before, or the column's default, NaN without one.
func withCell(sc *scenario.Scenario, v *variation, row int, value float64) (changed *scenario.Scenario, was float64, err error) {
	tables, problems := scenario.Parse(sc.Tables.Files())
	if len(problems) > 0 {
		return nil, math.NaN(), problems
	}
	table := tables[v.file]
	j := table.Column(v.column.Name)
	if j < 0 {
		j = len(table.Columns)
		table.Columns = append(table.Columns, v.column.Name)
	}
	r := &table.Rows[row]
	if cell := r.Cell(j); strings.TrimSpace(cell) != "" {
		was, _ = table.Number(cell)
	} else {
		was, _ = (&scenario.Table{}).Number(v.column.Default) // defaults have points
	}
	for len(r.Cells) <= j {
		r.Cells = append(r.Cells, "")
	}
	text := strconv.FormatFloat(value, 'f', -1, 64)
	r.Cells[j] = text
	raiseLimit(v, table, r, was, value, text)
	changed, err = sc.Changed(tables)
	return changed, was, err
}

// raiseLimit lets the shared limit of a unit grow with an input that filled it:
// a larger unit of its kind has both.
func raiseLimit(v *variation, table *scenario.Table, r *scenario.Row, was, value float64, text string) {
	if !v.inputOfUnit() {
		return
	}
	j := table.Column("total_a")
	if total, ok := table.Number(r.Cell(j)); ok && total == was && value > total {
		r.Cells[j] = text
	}
}

// inputOfUnit tells whether an input's current of a charging unit is varied.
func (v *variation) inputOfUnit() bool {
	return v.file == "chargers.csv" && strings.HasSuffix(v.column.Name, "_a") && v.column.Name != "total_a"
}

// limits tells where the values run into a limit that another column sets.
func (v *variation) limits(line []*sim.System) []string {
	if !v.inputOfUnit() {
		return nil
	}
	for _, sys := range line {
		for i := range sys.Chargers {
			u := &sys.Chargers[i]
			if u.TotalA > 0 && max(u.AlternatorA, u.SolarA, u.MainsA) > u.TotalA {
				return []string{fmt.Sprintf("%s of %s is capped by total_a = %g A: more has no effect. Vary charger.total_a, or leave it blank.",
					u.Name, sys.Name, u.TotalA)}
			}
		}
	}
	return nil
}

// vary runs compare --vary.
func (f *compareFlags) varied(ctx context.Context, c *console, t *task) error {
	v, err := f.parseVary(f.vary)
	if err != nil {
		return err
	}
	variants, base, notes, err := f.variants(t, v, f.prices(t.sc))
	if err != nil {
		return err
	}
	study, err := t.study()
	if err != nil {
		return err
	}
	result, err := study.Vary(ctx, v.label, v.column.Unit, v.values, t.systems, variants, base, f.draws, c.progress("variants"))
	if err != nil {
		return err
	}
	result.Notes = notes
	if f.json || f.csv { // tables of figures have no notes
		for _, n := range notes {
			c.warn(n)
		}
	}
	t.basis.Weather, t.basis.Draws = result.Weather, result.Draws
	a := &report.VaryAdvice{Basis: t.basis, Variation: result}
	return f.deliver(ctx, c, t, answer{
		name: "vary", text: a.Text, json: a.JSON, csv: a.CSV,
		pictures: func(ctx context.Context) ([]report.File, error) {
			return f.draw(ctx, "vary", func(opts ...chart.Option) (*chart.Picture, error) {
				return chart.Vary(chart.VariationOf(result, t.tripName(), t.goal), opts...)
			})
		},
	})
}
