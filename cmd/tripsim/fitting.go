package main

import (
	"context"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

const fittingHelp = `
The fitter's sheet of a system: the current to expect in every way of charging, at
the battery and at each unit's input; for every run the largest continuous and
peak current, cable, fuse and voltage drop; and what a clamp meter should show.

Runs are named battery, inverter, dc, charger, alternator and panel; where there
are several of a kind, charger-1, charger-2 and so on, and the kind stands for
all. Give their one-way lengths in metres with --run.

Everything is to be confirmed against the local standard by a licensed person.

Examples:
  tripsim fitting scenarios/morocco-october --system "Expedition 400 tandem"
  tripsim fitting mytrip --system weekend --run alternator=6 --run inverter=0.8
  tripsim fitting mytrip --system weekend --csv --table bench
`

// fittingFlags are the flags of fitting.
type fittingFlags struct {
	tableFlags
	system   string
	runs     []string
	opt      sim.FittingOptions
	table    string
	out      string
	tableSet func() bool
}

func fittingCommand() *command {
	return &command{
		name: "fitting", args: "SCENARIO", least: 1, most: 1,
		short: "currents, cables, fuses and bench test of a system",
		long:  fittingHelp,
		setup: func(fs *pflag.FlagSet) action {
			f := fittingFlags{opt: sim.DefaultFittingOptions()}
			fs.StringVar(&f.system, "system", "", "`name` of the system; not needed where there is only one")
			fs.StringArrayVar(&f.runs, "run", nil, "one-way length of a run, `run=metres` (may be repeated)")
			fs.Float64Var(&f.opt.DropPct, "drop-pct", f.opt.DropPct, "allowed voltage drop of each run, %")
			fs.Float64Var(&f.opt.AirC, "temp", f.opt.AirC, "air around the cables, °C")
			fs.Float64Var(&f.opt.VehicleV, "vehicle-v", f.opt.VehicleV, "nominal voltage of the vehicle, 12 or 24 (default the system's vehicle_v)")
			fs.Float64Var(&f.opt.PanelV, "panel-v", 0, "voltage of the panels at their power point (default 18 V per 12 V nominal)")
			fs.StringVar(&f.table, "table", "runs", "which table --csv prints: modes, runs or bench")
			fs.StringVar(&f.out, "out", "", "`folder` for fitting.json and the tables as CSV")
			f.tableFlags.add(fs)
			f.tableSet = func() bool { return fs.Changed("table") }
			return f.act
		},
	}
}

func (f *fittingFlags) act(_ context.Context, c *console, args []string) error {
	format, err := f.format("fitting")
	if err != nil {
		return err
	}
	if f.opt.RunM, err = runLengths(f.runs); err != nil {
		return err
	}
	sheet, err := f.sheet(c, args[0])
	if err != nil {
		return err
	}
	table := sheet.Table(f.table, format)
	switch {
	case table == nil:
		return usage("fitting", "--table: %q is not modes, runs or bench", clean(f.table))
	case f.tableSet() && !f.csv:
		return usage("fitting", "--table goes with --csv")
	}
	written := 0
	if f.out != "" {
		files, err := sheet.Files()
		if err != nil {
			return err
		}
		written = len(files)
		if err := report.WriteSet(f.out, files); err != nil {
			return err
		}
	}
	return f.printAnswer(c, forms{sheet.Text, sheet.JSON, table.CSV}, format, f.out, written)
}

// sheet loads the scenario and works the sheet out.
func (f *fittingFlags) sheet(c *console, dir string) (*report.FittingSheet, error) {
	sc, err := load(c, dir, false)
	if err != nil {
		return nil, err
	}
	var names []string
	if f.system != "" {
		names = append(names, f.system)
	}
	systems, err := chosen(sc, names)
	if err != nil {
		return nil, err
	}
	if len(systems) > 1 {
		var known []string
		for _, s := range systems {
			known = append(known, s.Name)
		}
		return nil, usage("fitting", "--system is missing; there are: %s", clean(strings.Join(known, ", ")))
	}
	study, err := sim.NewStudy(&sc.Trip, sc.Loads, sim.DefaultOptions())
	if err != nil {
		return nil, err
	}
	fit, err := study.Fitting(systems[0], f.opt)
	if err != nil {
		return nil, usage("fitting", "%s", clean(err.Error()))
	}
	return &report.FittingSheet{Scenario: sc.Name, Program: versionName(), Hash: sc.Hash, Fitting: fit}, nil
}

// runLengths reads the values of --run.
func runLengths(values []string) (map[string]float64, error) {
	lengths := map[string]float64{}
	for _, v := range values {
		name, text, ok := strings.Cut(v, "=")
		name = strings.ToLower(strings.TrimSpace(name))
		m, err := strconv.ParseFloat(strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "m")), 64)
		if !ok || name == "" || err != nil {
			return nil, usage("fitting", "--run: %q is not a run and its length in metres; use e.g. alternator=5", clean(v))
		}
		lengths[name] = m
	}
	return lengths, nil
}
