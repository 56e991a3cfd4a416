package main

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/profiles"
	"tripsim/internal/report"
)

const partsHelp = `
Lists the generic parts that the column "preset" of loads.csv, chargers.csv and
panels.csv knows, and inverter_preset of systems.csv; and the chemistries and sizes
that batteries are sold in. Parts are generic: take the figures of the
part that you sell where you have them.

Kinds: appliances, chargers, panels, inverters, batteries, chemistries.

Examples:
  tripsim parts
  tripsim parts appliances
  tripsim parts --csv chargers
`

// catalogue is one kind of part.
type catalogue struct {
	kind  string
	table func() *report.Table
}

var catalogues = []catalogue{
	{"appliances", appliancesTable},
	{"chargers", chargersTable},
	{"panels", panelsTable},
	{"inverters", invertersTable},
	{"batteries", batteriesTable},
	{"chemistries", chemistriesTable},
}

func partsCommand() *command {
	var kinds []string
	for _, k := range catalogues {
		kinds = append(kinds, k.kind)
	}
	return &command{
		name: "parts", args: "[KIND]", most: 1, words: func() []string { return kinds },
		short: "the catalogue of generic parts",
		long:  partsHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f tableFlags
			f.add(fs)
			return func(_ context.Context, c *console, args []string) error { return parts(c, &f, args, kinds) }
		},
	}
}

func parts(c *console, f *tableFlags, args, kinds []string) error {
	format, err := f.format("parts")
	if err != nil {
		return err
	}
	if len(args) == 1 {
		for _, k := range catalogues {
			if k.kind == strings.ToLower(args[0]) {
				return f.printTable(c, k.table(), format)
			}
		}
		return usage("parts", "there is no kind %q%s; use one of %s", clean(args[0]),
			didYouMean(args[0], kinds, ""), strings.Join(kinds, ", "))
	}
	switch {
	case f.csv:
		return usage("parts", "--csv prints one table: name a KIND, one of %s", strings.Join(kinds, ", "))
	case f.json:
		all := map[string]json.RawMessage{}
		for _, k := range catalogues {
			all[k.kind] = k.table().JSON()
		}
		doc, err := json.MarshalIndent(all, "", "  ")
		if err != nil {
			return err
		}
		return c.print(string(doc) + "\n")
	}
	var texts []string
	for _, k := range catalogues {
		texts = append(texts, k.table().Render(c.screen(format)))
	}
	return c.print(strings.Join(texts, "\n"))
}

var (
	presetColumn = report.Column{Key: "preset", Head: "preset", Doc: "name for the column preset"}
	nameColumn   = report.Column{Key: "name", Head: "name", Wrap: true, Doc: "what it is"}
	sourceColumn = report.Column{Key: "source", Head: "source", Wrap: true, Drop: 9, Doc: "where the figures come from"}
)

func appliancesTable() *report.Table {
	t := &report.Table{Title: "Appliances (loads.csv)", Columns: []report.Column{
		presetColumn, nameColumn,
		{Key: "kind", Head: "kind", Drop: 8},
		{Key: "supply", Head: "supply"},
		{Key: "watts", Head: "W", Decimals: 0},
		{Key: "standby_w", Head: "standby W", Decimals: 1, Drop: 6},
		{Key: "surge_w", Head: "surge W", Drop: 4},
		{Key: "power_factor", Decimals: 2},
		{Key: "duty_pct"},
		{Key: "hours"},
		{Key: "minutes"},
		{Key: "when", Head: "when", Wrap: true, Drop: 5},
		{Key: "wh_per_day", Head: "Wh a day", Decimals: 0},
		{Key: "essential", Head: "essential", Drop: 7},
		{Key: "note", Wrap: true},
		sourceColumn,
	}, Notes: []string{"A fridge's use follows from the air around it and has no fixed Wh a day."}}
	for _, a := range profiles.Appliances() {
		daily := report.Number(a.DailyWh())
		if a.Kind == "fridge" {
			daily = report.Cell{}
		}
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			report.Text(a.ID), report.Text(a.Name), report.Text(a.Kind), report.Text(a.Supply),
			figure(a.Watts), figure(a.StandbyW), report.Number(a.SurgeW), report.Number(a.PowerFactor),
			report.Number(a.DutyPct), report.Number(a.Hours), report.Number(a.Minutes),
			report.Text(whenUsed(&a)), daily, report.Yes(a.Essential), report.Text(a.Note), report.Text(a.Source),
		}})
	}
	return t
}

// figure is a number with as many decimals as it needs to be told from nothing.
func figure(x float64) report.Cell {
	c := report.Number(x)
	if x != math.Trunc(x) && x < 10 {
		return c.Shown(strconv.FormatFloat(x, 'f', 1, 64))
	}
	return c
}

// whenUsed says in words when an appliance is on.
func whenUsed(a *profiles.Appliance) string {
	when := ""
	switch a.Kind {
	case "window":
		when = fmt.Sprintf("%s for %g h", a.Start, a.Hours)
	case "uses":
		when = fmt.Sprintf("%s, %g min each", strings.ReplaceAll(a.Times, ";", " "), a.Minutes)
	case "steady":
		when = "all day"
	}
	if a.Days != "" && a.Days != "all" {
		when = strings.TrimPrefix(when+", "+strings.ReplaceAll(a.Days, "_", "-")+" days", ", ")
	}
	return when
}

func chargersTable() *report.Table {
	t := &report.Table{Title: "Chargers (chargers.csv)", Columns: []report.Column{
		presetColumn, nameColumn,
		{Key: "nominal_v", Head: "V"},
		{Key: "alternator_a", Head: "alt. A"},
		{Key: "solar_a", Head: "solar A"},
		{Key: "mains_a", Head: "mains A"},
		{Key: "total_a", Head: "shared A"},
		{Key: "efficiency_pct", Head: "effic.", Percent: true, Drop: 5},
		sourceColumn,
	}, Notes: []string{"Amps at the battery. A unit with several inputs shares its limit between them."}}
	for _, u := range profiles.Chargers() {
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			report.Text(u.ID), report.Text(u.Name), report.Number(u.NominalV), report.Number(u.AlternatorA),
			report.Number(u.SolarA), report.Number(u.MainsA), report.Number(u.TotalA),
			report.Number(100 * u.Efficiency), report.Text(u.Source),
		}})
	}
	return t
}

func panelsTable() *report.Table {
	t := &report.Table{Title: "Panels (panels.csv)", Columns: []report.Column{
		presetColumn, nameColumn,
		{Key: "watts", Head: "W"},
		{Key: "mount", Head: "mount"},
		{Key: "temp_coeff_pct_per_k", Head: "% per K", Decimals: 2, Drop: 4},
		{Key: "noct_c", Head: "NOCT °C", Drop: 5},
		{Key: "soiling_pct", Head: "soiling", Percent: true, Drop: 6},
		sourceColumn,
	}}
	for _, p := range profiles.Panels() {
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			report.Text(p.ID), report.Text(p.Name), report.Number(p.Watts), report.Text(p.Mount),
			report.Number(p.TempCoeffPctPerK), report.Number(p.NOCTC), report.Number(p.SoilingPct), report.Text(p.Source),
		}})
	}
	return t
}

func invertersTable() *report.Table {
	t := &report.Table{Title: "Inverters (systems.csv, inverter_preset)", Columns: []report.Column{
		{Key: "preset", Head: "inverter_preset", Doc: "name for the column inverter_preset"},
		nameColumn,
		{Key: "rated_w", Head: "W"},
		{Key: "surge_w", Head: "surge W"},
		{Key: "idle_w", Head: "idle W", Decimals: 1},
		sourceColumn,
	}}
	for _, v := range profiles.Inverters() {
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			report.Text(v.ID), report.Text(v.Name), report.Number(v.RatedW), report.Number(v.SurgeW),
			report.Number(v.IdleW), report.Text(v.Source),
		}})
	}
	return t
}

func batteriesTable() *report.Table {
	t := &report.Table{Title: "Battery sizes (figures for systems.csv)", Columns: []report.Column{
		{Key: "chemistry", Head: "chemistry"}, {Key: "nominal_v", Head: "V"}, {Key: "capacity_ah", Head: "Ah"}, sourceColumn,
	}}
	for _, b := range profiles.BatterySizes() {
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			report.Text(b.ChemistryID), report.Number(b.NominalV), report.Number(b.CapacityAh), report.Text(b.Source),
		}})
	}
	return t
}

func chemistriesTable() *report.Table {
	t := &report.Table{Title: "Chemistries (column chemistry of systems.csv)", Columns: []report.Column{
		{Key: "chemistry", Head: "chemistry"},
		nameColumn,
		{Key: "min_soc_pct", Head: "cut-off", Percent: true},
		{Key: "max_charge_c", Head: "charge A per Ah", Decimals: 2},
		{Key: "max_discharge_c", Head: "draw A per Ah", Decimals: 2},
		{Key: "charge_min_c", Head: "charge from °C"},
		{Key: "wh_per_kg", Head: "Wh per kg", Drop: 3},
	}, Notes: []string{"The battery's own data sheet goes before these."}}
	for _, ch := range profiles.Chemistries() {
		t.Rows = append(t.Rows, report.Row{Cells: []report.Cell{
			report.Text(ch.ID), report.Text(ch.Name), report.Number(100 * ch.MinSoC), report.Number(ch.MaxChargeC),
			report.Number(ch.MaxDischargeC), report.Number(ch.ChargeMinC), report.Number(ch.WhPerKg),
		}})
	}
	return t
}
