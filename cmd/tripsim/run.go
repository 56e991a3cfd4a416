package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

const runHelp = `
Simulates the trip of a scenario folder with every system in it, prints which
systems carry it, and shows the recommended one day by day: where its energy
comes from, where it goes, how low the battery falls, when and why it runs flat.
With --system only the named systems are simulated and shown; the beginning of a
name will do. With --worst the worst of the simulated trips is shown day by day,
in files and pictures too, in place of typical weather; with --draw any of them.

Writes days.csv, hours.csv, result.json and pictures of the systems shown into
--out. What the columns mean: tripsim help results.

With --json or --csv the answer goes to standard output instead, and files are
written only when --out is given: --csv prints the day table.

Examples:
  tripsim run scenarios/morocco-october
  tripsim run mytrip --system weekend --draws 10000
  tripsim run mytrip --worst
  tripsim run mytrip --format svg,png,pdf --out /tmp/answer
  tripsim run mytrip --system weekend --fail-if-flat || echo "look at it"

Exit status: 0 done, 1 failed, 2 bad input, 3 with --fail-if-flat if a system
shown runs flat in typical weather or more often than the scenario accepts.
`

// runFlags are the flags of run.
type runFlags struct {
	weatherFlags
	tableFlags
	simFlags
	systems    []string
	out        string
	formats    []string
	noFiles    bool
	failIfFlat bool
	worst      bool
	draw       int
	risk       riskFlag
	outGiven   func() bool
}

func runCommand() *command {
	return &command{
		name: "run", args: "SCENARIO", least: 1, most: 1,
		short: "simulate a trip and say which system carries it",
		long:  runHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f runFlags
			fs.StringArrayVar(&f.systems, "system", nil, "only the system with this `name` (may be repeated)")
			fs.BoolVar(&f.worst, "worst", false, "show the worst simulated trip of each system shown in place of typical weather")
			fs.IntVar(&f.draw, "draw", -1, "show the simulated trip with this number, from 0, in place of typical weather")
			fs.Lookup("draw").DefValue = ""
			fs.StringVar(&f.out, "out", "", "`folder` for the files (default: out/ and the scenario's name)")
			fs.StringSliceVar(&f.formats, "format", []string{"svg", "png"}, "`kinds` of picture: svg, png, pdf or none")
			fs.BoolVar(&f.noFiles, "no-files", false, "print only, write nothing")
			f.simFlags.add(fs, 1000)
			f.weatherFlags.add(fs)
			f.risk.add(fs)
			f.tableFlags.add(fs)
			fs.BoolVar(&f.failIfFlat, "fail-if-flat", false, "exit with status 3 if a system shown runs flat")
			f.outGiven = func() bool { return fs.Changed("out") }
			return f.act
		},
	}
}

func (f *runFlags) act(ctx context.Context, c *console, args []string) error {
	format, err := f.format("run")
	if err != nil {
		return err
	}
	opt, err := f.options("run")
	if err != nil {
		return err
	}
	if f.formats, err = pictureFormats("run", f.formats); err != nil {
		return err
	}
	if err := f.checkChoices(); err != nil {
		return err
	}
	sc, err := load(c, args[0], !f.csv)
	if err != nil {
		return err
	}
	sc.Job.TargetFlatRisk = f.risk.or(sc.Job.TargetFlatRisk)
	systems, err := chosen(sc, f.systems)
	if err != nil {
		return err
	}
	answer, study, err := simulate(ctx, c, sc, systems, opt, f.draws, &f.weatherFlags)
	if err != nil {
		return err
	}
	if len(f.systems) > 0 {
		answer.Shown = upTo(len(systems))
	} else {
		answer.ChooseShown()
	}
	if err := f.single(answer, study, format); err != nil {
		return err
	}
	files, err := f.files(ctx, answer)
	if err != nil {
		return err
	}
	dir := f.out
	if dir == "" {
		dir = filepath.Join("out", report.Slug(sc.Name))
	}
	if len(files) > 0 {
		if err := report.WriteSet(dir, files); err != nil {
			return err
		}
	}
	days := func() []byte { return answer.Days(format).CSV() }
	if err := f.printAnswer(c, forms{answer.Text, answer.JSON, days}, format, dir, len(files)); err != nil {
		return err
	}
	if f.failIfFlat {
		return flatFailure(answer)
	}
	return nil
}

// files makes the files that the flags ask for.
func (f *runFlags) files(ctx context.Context, answer *report.Run) ([]report.File, error) {
	if f.noFiles || (f.json || f.csv) && !f.outGiven() {
		return nil, nil
	}
	files, err := answer.Files()
	if err != nil {
		return nil, err
	}
	pictures, err := drawRun(ctx, answer, f.formats, f.locale)
	return append(files, pictures...), err
}

func (f *runFlags) checkChoices() error {
	if err := f.risk.check("run"); err != nil {
		return err
	}
	switch {
	case f.worst && f.draw >= 0:
		return usage("", "--worst and --draw exclude each other")
	case f.draw < -1:
		return usage("", "--draw: %d is not a number from 0 on", f.draw)
	case (f.worst || f.draw >= 0) && f.draws == 0:
		return usage("", "--worst and --draw show a simulated trip: --draws 0 makes none")
	case f.draw >= f.draws && f.draw >= 0:
		return usage("", "--draw: %d is not one of %d simulated trips, which count from 0; see --draws", f.draw, f.draws)
	}
	return nil
}

// single runs the worst simulated trip of the systems shown, and the one that is
// to stand in place of the typical weather.
func (f *runFlags) single(answer *report.Run, study *sim.Study, format report.Format) error {
	if len(answer.Risks) == 0 {
		if f.worst || f.draw >= 0 {
			return usage("", "--worst and --draw choose from several trips: the weather file holds one")
		}
		return nil
	}
	answer.Worst = make([]report.Draw, len(answer.Results))
	answer.Instead = make([]report.Draw, len(answer.Results))
	for _, i := range answer.Shown {
		no := answer.Risks[i].WorstDraw
		if f.draw >= answer.Draws {
			return usage("", "--draw: %d is not one of %d recorded trips, which count from 0", f.draw, answer.Draws)
		}
		if f.draw >= 0 {
			no = uint64(f.draw)
		}
		r, err := study.RunDraw(answer.Results[i].System, no)
		if err != nil {
			return err
		}
		if f.worst || f.draw >= 0 {
			answer.Instead[i] = report.Draw{No: no, Result: r}
			r.Weather = answer.WeatherOf(i, format) // for the pictures
		} else {
			answer.Worst[i] = report.Draw{No: no, Result: r}
		}
	}
	return nil
}

// load reads a scenario and tells its warnings; with quiet they are left to the
// answer.
func load(c *console, dir string, quiet bool) (*scenario.Scenario, error) {
	sc, err := open(dir)
	if err != nil {
		return nil, badInput(err)
	}
	if !quiet {
		for _, w := range sc.Warnings {
			c.warn(w)
		}
	}
	return sc, nil
}

// open reads a scenario folder; a folder that is none is one mistake, not one for
// every table that it lacks.
func open(dir string) (*scenario.Scenario, error) {
	info, err := os.Stat(dir)
	var path *fs.PathError
	switch {
	case errors.As(err, &path):
		return nil, fmt.Errorf("%q is not a scenario folder: %w; 'tripsim new' makes one", dir, path.Err)
	case err != nil:
		return nil, err
	case !info.IsDir():
		return nil, fmt.Errorf("%q is not a folder; name the folder that holds the tables", dir)
	}
	return reader().Load(dir)
}

// chosen picks the systems by name; none named means all.
func chosen(sc *scenario.Scenario, names []string) ([]*sim.System, error) {
	var all []*sim.System
	var known []string
	for i := range sc.Systems {
		all = append(all, &sc.Systems[i])
		known = append(known, sc.Systems[i].Name)
	}
	if len(names) == 0 {
		return all, nil
	}
	var out []*sim.System
	for _, name := range names {
		i, err := pick("--system", "system", name, known)
		if err != nil {
			return nil, err
		}
		if !slices.Contains(out, all[i]) {
			out = append(out, all[i])
		}
	}
	return out, nil
}

// pick finds a name: the very one, or the only one that begins like it, whatever
// the case of the letters.
func pick(flag, what, name string, known []string) (int, error) {
	word := strings.ToLower(strings.TrimSpace(name))
	var begins []string
	at := -1
	for i, k := range known {
		lower := strings.ToLower(k)
		switch {
		case lower == word:
			return i, nil
		case word != "" && strings.HasPrefix(lower, word):
			begins, at = append(begins, k), i
		}
	}
	switch len(begins) {
	case 0:
		return 0, usage("", "%s: there is no %s %q%s (there are: %s)", flag, what, clean(name), didYouMean(name, known, ""), clean(strings.Join(known, ", ")))
	case 1:
		return at, nil
	}
	return 0, usage("", "%s: %q is the beginning of several: %s", flag, clean(name), clean(strings.Join(begins, ", ")))
}

func upTo(n int) []int {
	var out []int
	for i := range n {
		out = append(out, i)
	}
	return out
}

// simulate runs the systems in typical weather (or the days of a weather file)
// and, with draws, many times.
func simulate(ctx context.Context, c *console, sc *scenario.Scenario, systems []*sim.System, opt sim.Options, draws int, w *weatherFlags) (*report.Run, *sim.Study, error) {
	study, err := sim.NewStudy(&sc.Trip, sc.Loads, opt)
	if err != nil {
		return nil, nil, badInput(err)
	}
	if err := study.CheckMemory(len(systems)); err != nil {
		return nil, nil, badInput(err)
	}
	recorded, remarks, err := w.replay("run", study)
	if err != nil {
		return nil, nil, err
	}
	answer := &report.Run{
		Scenario: sc.Name, Title: sc.Job.Title, Customer: sc.Job.Customer, Hash: sc.Hash, Program: versionName(), Options: opt,
		Draws: draws, Goal: report.Goal{FlatRisk: sc.Job.TargetFlatRisk, Reserve: sc.Job.Reserve}, Currency: sc.Job.Currency, Warnings: slices.Concat(sc.Warnings, remarks), Sources: sc.Sources, Medical: report.MedicalOf(sc.Loads), Recorded: recorded,
	}
	for _, s := range systems {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		r, err := w.main(study, s)
		if err != nil {
			return nil, nil, fmt.Errorf("system %q: %w", s.Name, err)
		}
		answer.Results = append(answer.Results, r)
		if recorded != nil && recorded.Dates {
			r.Weather = answer.WeatherOf(len(answer.Results)-1, report.DefaultFormat())
		}
	}
	if recorded.One(study.Draws()) { // the results are that trip: it has no risk besides
		answer.Draws = 0
		return answer, study, nil
	}
	if draws > 0 {
		answer.Risks, err = study.Ensemble(ctx, systems, draws, c.progress("simulated trips"))
		c.clearProgress()
		if err != nil {
			return nil, nil, err
		}
		answer.Draws = answer.Risks[0].Draws // a weather file may hold fewer
	}
	return answer, study, nil
}

// flatFailure is the exit status 3 of --fail-if-flat.
func flatFailure(answer *report.Run) error {
	for _, i := range answer.Shown {
		risk := answer.Risk(i)
		if answer.Results[i].FlatH > 0 || risk != nil && risk.Flat.Share > answer.Goal.FlatRisk {
			return failure{status: statusFlat}
		}
	}
	return nil
}
