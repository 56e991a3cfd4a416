package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// adviceFlags are what the commands of advice (size, compare, season, fix,
// calibrate) have in common.
type adviceFlags struct {
	tableFlags
	simFlags
	weatherFlags
	command  string
	systems  []string
	risk     riskFlag
	out      string
	formats  []string
	noFiles  bool
	outGiven func() bool
}

func (a *adviceFlags) add(fs *pflag.FlagSet, command string, draws int) {
	a.command = command
	fs.StringArrayVar(&a.systems, "system", nil, "only the system with this `name` (may be repeated)")
	a.risk.add(fs)
	a.simFlags.add(fs, draws)
	fs.Lookup("draws").Usage = "simulated trips with different weather"
	fs.StringVar(&a.out, "out", "", "`folder` for the files (default: out/ and the scenario's name)")
	fs.StringSliceVar(&a.formats, "format", []string{"svg", "png"}, "`kinds` of picture: svg, png, pdf or none")
	fs.BoolVar(&a.noFiles, "no-files", false, "print only, write nothing")
	a.tableFlags.add(fs)
	a.outGiven = func() bool { return fs.Changed("out") }
	a.days = "dates"
	if command == "size" || command == "compare" || command == "fix" {
		a.weatherFlags.add(fs)
	}
}

// task is what an advice is made from.
type task struct {
	sc      *scenario.Scenario
	systems []*sim.System
	opt     sim.Options
	format  report.Format
	basis   *report.Basis
	goal    sim.Goal
	weather func(*sim.Study) error // puts a weather file in place of simulated weather, and says so in basis
}

// start checks the flags and reads the scenario.
func (a *adviceFlags) start(c *console, dir string) (*task, error) {
	format, err := a.format(a.command)
	if err != nil {
		return nil, err
	}
	opt, err := a.options(a.command)
	if err != nil {
		return nil, err
	}
	if a.draws < 1 {
		return nil, usage(a.command, "--draws: %d is not 1 to %d; use e.g. 1000", a.draws, maxDraws)
	}
	if err := a.risk.check(a.command); err != nil {
		return nil, err
	}
	if a.formats, err = pictureFormats(a.command, a.formats); err != nil {
		return nil, err
	}
	sc, err := load(c, dir, a.json)
	if err != nil {
		return nil, err
	}
	systems, err := chosen(sc, a.systems)
	if err != nil {
		return nil, err
	}
	t := &task{sc: sc, systems: systems, opt: opt, format: format, goal: sim.Goal{FlatRisk: a.risk.or(sc.Job.TargetFlatRisk), Reserve: sc.Job.Reserve}}
	t.weather = func(s *sim.Study) error {
		recorded, remarks, err := a.replay(a.command, s)
		for _, r := range remarks {
			if !a.json {
				c.warn(r)
			}
		}
		t.basis.Recorded, t.basis.Warnings = recorded, slices.Concat(sc.Warnings, remarks)
		return err
	}
	t.basis = &report.Basis{
		Scenario: sc.Name, Title: sc.Job.Title, Customer: sc.Job.Customer, Hash: sc.Hash, Program: versionName(),
		Currency: sc.Job.Currency, Options: opt, Draws: a.draws, Goal: report.Goal(t.goal), Trip: &sc.Trip, Warnings: sc.Warnings,
	}
	return t, nil
}

// study lays the trip out.
func (t *task) study() (*sim.Study, error) {
	s, err := sim.NewStudy(&t.sc.Trip, t.sc.Loads, t.opt)
	if err != nil {
		return nil, err
	}
	return s, t.weather(s)
}

// answer is what a command has to say, in every form.
type answer struct {
	name     string // of its files, e.g. compare
	text     func(report.Screen) string
	json     func() ([]byte, error)
	csv      func() []byte
	pictures func(ctx context.Context) ([]report.File, error)
}

// deliver writes the files and prints the answer as the flags ask.
func (a *adviceFlags) deliver(ctx context.Context, c *console, t *task, ans answer) error {
	c.clearProgress()
	written := 0
	dir := a.out
	if dir == "" {
		dir = filepath.Join("out", report.Slug(t.sc.Name))
	}
	if !a.noFiles && (a.outGiven() || !a.json && !a.csv) {
		doc, err := ans.json()
		if err != nil {
			return err
		}
		files := []report.File{{Name: ans.name + ".csv", Data: ans.csv()}, {Name: ans.name + ".json", Data: doc}}
		if ans.pictures != nil && len(a.formats) > 0 {
			more, err := ans.pictures(ctx)
			if err != nil {
				return err
			}
			files = append(files, more...)
		}
		if err := report.WriteSet(dir, files); err != nil {
			return err
		}
		written = len(files)
	}
	return a.printAnswer(c, forms{ans.text, ans.json, ans.csv}, t.format, dir, written)
}

// numbers reads a list such as "100,150,200" for a flag.
func (a *adviceFlags) numbers(flag, list string, least float64) ([]float64, error) {
	var out []float64
	for _, word := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ';' || r == ' ' }) {
		x, err := strconv.ParseFloat(word, 64)
		if err != nil || math.IsNaN(x) || math.IsInf(x, 0) || x < least || x > 1e6 {
			limit := ""
			if !math.IsInf(least, -1) {
				limit = fmt.Sprintf(" of at least %g", least)
			}
			return nil, usage(a.command, "--%s: %q is not a number%s; use e.g. 100,150,200", flag, clean(word), limit)
		}
		out = append(out, x)
	}
	if len(out) == 0 {
		return nil, usage(a.command, "--%s: no number in %q; use e.g. 100,150,200", flag, clean(list))
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// priceFlags are prices per unit.
type priceFlags struct{ perAh, perA, perW priceFlag }

func (p *priceFlags) add(fs *pflag.FlagSet) {
	p.perAh, p.perA, p.perW = priceFlag(math.NaN()), priceFlag(math.NaN()), priceFlag(math.NaN())
	fs.Var(&p.perAh, "price-per-ah", "`price` of one more Ah of battery, in the currency of job.csv; without it from priced systems that differ only in it")
	fs.Var(&p.perA, "price-per-a", "`price` of one more A of charger, likewise")
	fs.Var(&p.perW, "price-per-w", "`price` of one more W of panel, likewise")
}

// priceFlag is a price; NaN = not given.
type priceFlag float64

func (p *priceFlag) String() string {
	if *p == 0 || math.IsNaN(float64(*p)) {
		return ""
	}
	return strconv.FormatFloat(float64(*p), 'g', -1, 64)
}

// Type is what a wrong word is told not to be; see kindOf.
func (p *priceFlag) Type() string { return "price of 0 or more; use e.g. 9.50" }

// Set takes a price of 0 or more.
func (p *priceFlag) Set(word string) error {
	x, err := strconv.ParseFloat(strings.TrimSpace(word), 64)
	if err != nil || !(x >= 0 && x <= 1e9) {
		return errors.New("not a price")
	}
	*p = priceFlag(x)
	return nil
}

// prices are those given, else those that the scenario's systems show.
func (p *priceFlags) prices(sc *scenario.Scenario) sim.Prices {
	var all []*sim.System
	for i := range sc.Systems {
		all = append(all, &sc.Systems[i])
	}
	out := sim.PricesFrom(all)
	for _, given := range []struct {
		from priceFlag
		to   *float64
	}{{p.perAh, &out.PerAh}, {p.perA, &out.PerA}, {p.perW, &out.PerW}} {
		if x := float64(given.from); !math.IsNaN(x) {
			*given.to = x
		}
	}
	return out
}
