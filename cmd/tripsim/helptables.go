package main

import (
	"fmt"
	"slices"
	"strings"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// scenarioHelp documents the tables of a scenario folder.
func scenarioHelp(s report.Screen) string {
	var parts []string
	for _, spec := range scenario.Specs() {
		parts = append(parts, specHelp(s, spec, documented(spec)))
	}
	return strings.Join(parts, "\n")
}

// documented are the columns of a table as they are explained: of job.csv, which
// has rows of key and value, the keys.
func documented(spec *scenario.TableSpec) []scenario.Column {
	if spec.File == "job.csv" {
		return scenario.JobKeys()
	}
	return spec.Columns
}

// specHelp explains columns of a table of the scenario.
func specHelp(s report.Screen, spec *scenario.TableSpec, columns []scenario.Column) string {
	wide := 0
	for i := range columns {
		wide = max(wide, len(columns[i].Name))
	}
	var b strings.Builder
	b.WriteString(s.Heading(fmt.Sprintf("%s: %s per row", spec.File, spec.Row)))
	b.WriteString(s.Paragraph("  ", "  ", spec.About))
	for i := range columns {
		col := &columns[i]
		text := col.Meaning()
		if col.Unit != "" {
			text = "[" + col.Unit + "] " + text
		}
		b.WriteString(s.Paragraph(fmt.Sprintf("  %-*s  ", wide, col.Name), strings.Repeat(" ", wide+4),
			fmt.Sprintf("%s (blank: %s; e.g. %s)", text, col.BlankMeans(), col.Example)))
	}
	return b.String()
}

// outputs documents the tables that the program writes.
func outputs() []report.FileDoc {
	f := report.DefaultFormat()
	sheet := report.FittingSheet{Fitting: &sim.Fitting{System: &sim.System{}}}
	sun := report.Sun{Year: &sim.PlaceYear{}}
	return append(append(report.FileColumns(), report.AdviceFiles()...),
		report.FileDoc{Name: "fitting-modes.csv", About: "one row per way of charging and input (fitting)", Columns: sheet.Modes(f).Columns},
		report.FileDoc{Name: "fitting-runs.csv", About: "one row per run of cable (fitting)", Columns: sheet.Runs(f).Columns},
		report.FileDoc{Name: "fitting-bench.csv", About: "one row per reading of the clamp meter (fitting)", Columns: sheet.Bench(f).Columns},
		report.FileDoc{Name: "sun.csv", About: "one row per month and one for the year (sun)", Columns: sun.Table(f).Columns})
}

// columnsHelp lists every table with the names of its columns.
func columnsHelp(s report.Screen) string {
	var b strings.Builder
	list := func(file, about string, names []string) {
		b.WriteString(s.Heading(file + ": " + about))
		b.WriteString(s.Paragraph("  ", "  ", strings.Join(names, ", ")) + "\n")
	}
	for _, spec := range scenario.Specs() {
		var names []string
		for _, c := range documented(spec) {
			names = append(names, c.Name)
		}
		list(spec.File, spec.Row+" per row; read", names)
	}
	for _, d := range outputs() {
		var names []string
		for _, c := range d.Columns {
			names = append(names, c.Key)
		}
		list(d.Name, d.About+"; written", names)
	}
	return b.String() + s.Paragraph("", "", "'tripsim help' and the name of a table or a column explains it.")
}

// tableHelp explains a table, with or without .csv, or a column in every table
// that has it; blank for any other word.
func tableHelp(word string, s report.Screen) string {
	word = strings.ToLower(word)
	table := strings.TrimSuffix(word, ".csv") + ".csv"
	var whole, single []string
	for _, spec := range scenario.Specs() {
		columns := documented(spec)
		if spec.File == table {
			whole = append(whole, specHelp(s, spec, columns))
		}
		if i := slices.IndexFunc(columns, func(c scenario.Column) bool { return c.Name == word }); i >= 0 {
			single = append(single, specHelp(s, spec, columns[i:i+1]))
		}
	}
	for _, d := range outputs() {
		if d.Name == table {
			whole = append(whole, d.Table().Render(s))
		}
		if i := slices.IndexFunc(d.Columns, func(c report.Column) bool { return c.Key == word }); i >= 0 {
			one := d
			one.Columns = d.Columns[i : i+1]
			single = append(single, one.Table().Render(s))
		}
	}
	if whole != nil {
		single = whole
	}
	return strings.Join(single, "\n")
}

// tableNames are the tables that there is help on.
func tableNames() []string {
	var names []string
	for _, spec := range scenario.Specs() {
		names = append(names, spec.File)
	}
	for _, d := range outputs() {
		names = append(names, d.Name)
	}
	return names
}

// documentedWords are the names of tables and columns.
func documentedWords() []string {
	var words []string
	for _, name := range tableNames() {
		words = append(words, strings.TrimSuffix(name, ".csv"))
	}
	for _, spec := range scenario.Specs() {
		for _, c := range documented(spec) {
			words = append(words, c.Name)
		}
	}
	for _, d := range outputs() {
		for _, c := range d.Columns {
			words = append(words, c.Key)
		}
	}
	slices.Sort(words)
	return slices.Compact(words)
}
