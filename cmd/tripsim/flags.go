package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
	"tripsim/internal/spelling"
)

// tableFlags choose how a table is printed.
type tableFlags struct {
	json, csv bool
	locale    string
	degrees   string
}

func (t *tableFlags) add(fs *pflag.FlagSet) {
	fs.BoolVar(&t.json, "json", false, "print JSON")
	fs.BoolVar(&t.csv, "csv", false, "print the table as CSV")
	t.addLocale(fs)
}

func (t *tableFlags) addLocale(fs *pflag.FlagSet) {
	fs.StringVar(&t.locale, "locale", "en-GB", "form of numbers and dates: en-GB, en-US, de, fr, es")
	fs.StringVar(&t.degrees, "degrees", "", "temperatures in c or f; without it as in the locale")
}

// format checks the flags and returns the form of numbers and dates.
func (t *tableFlags) format(command string) (report.Format, error) {
	if t.json && t.csv {
		return report.Format{}, usage(command, "--json and --csv exclude each other")
	}
	f, err := report.NewFormat(t.locale, t.degrees)
	if err != nil {
		return f, usage(command, "%s", err)
	}
	return f, nil
}

// printTable prints a table in the form that the flags ask for.
func (t *tableFlags) printTable(c *console, table *report.Table, f report.Format) error {
	switch {
	case t.json:
		return c.print(string(table.JSON()))
	case t.csv:
		return c.print(string(table.CSV()))
	}
	return c.print(table.Render(c.screen(f)))
}

// forms are what an answer looks like in each form that it can be printed in.
type forms struct {
	text func(report.Screen) string
	json func() ([]byte, error)
	csv  func() []byte
}

// printAnswer prints an answer in the form that the flags ask for; below the text
// stands how many files were written, and where.
func (t *tableFlags) printAnswer(c *console, a forms, f report.Format, dir string, written int) error {
	switch {
	case t.json:
		doc, err := a.json()
		if err != nil {
			return err
		}
		return c.print(string(doc))
	case t.csv:
		return c.print(string(a.csv()))
	}
	text := a.text(c.screen(f))
	if written > 0 {
		text += fmt.Sprintf("\n%s written to %s\n", count(written, "file"), clean(dir))
	}
	return c.print(text)
}

// riskFlag is the accepted risk, %; NaN is the scenario's.
type riskFlag float64

func (r *riskFlag) add(fs *pflag.FlagSet) {
	fs.Float64Var((*float64)(r), "risk", math.NaN(), "accepted risk, %; without it as in job.csv")
	fs.Lookup("risk").DefValue = ""
}

func (r riskFlag) given() bool { return !math.IsNaN(float64(r)) }

func (r riskFlag) check(command string) error {
	if r.given() && !(r >= 0 && r <= 100) {
		return usage(command, "--risk: %g is not 0 to 100 %%; use e.g. 5", float64(r))
	}
	return nil
}

// or is the accepted risk as a share: the flag's, else the scenario's.
func (r riskFlag) or(scenarios float64) float64 {
	if r.given() {
		return float64(r) / 100
	}
	return scenarios
}

// pictureFormats checks the kinds of picture that are asked for.
func pictureFormats(command string, asked []string) ([]string, error) {
	var out []string
	none := false
	for _, name := range asked {
		name = strings.ToLower(strings.TrimSpace(name))
		if !slices.Contains([]string{"svg", "png", "pdf", "none"}, name) {
			return nil, usage(command, "--format: %q is not svg, png, pdf or none", clean(name))
		}
		none = none || name == "none"
		out = append(out, name)
	}
	if none {
		return nil, nil
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// simFlags are the choices of a simulation.
type simFlags struct {
	step   time.Duration
	seed   uint64
	draws  int
	albedo float64
	sky    skyFlag
	linke  float64
	spread float64
}

func (s *simFlags) add(fs *pflag.FlagSet, draws int) {
	d := sim.DefaultOptions()
	fs.IntVar(&s.draws, "draws", draws, "simulated trips for the flat risk; 0 = typical weather only")
	fs.Uint64Var(&s.seed, "seed", d.Seed, "seed of the simulated weather")
	fs.DurationVar(&s.step, "step", d.Step, "time step; divides an hour, e.g. 5m, 15m or 1h")
	fs.Float64Var(&s.albedo, "albedo", d.Albedo, "reflectance of the ground, 0 to 1")
	s.sky.add(fs)
	fs.Float64Var(&s.linke, "linke", 0, "Linke turbidity of the clear sky, 1 to 10: shapes the days and limits clear ones, their mean sun stays the climate's; 0 = by place and month")
	fs.Float64Var(&s.spread, "use-spread", 0, "how far use differs from the plan between simulated trips, as a standard deviation, %; 0 = used as planned; 20 = in 2 of 3 trips within a fifth of the plan")
}

// maxDraws bounds what one command may ask for.
const maxDraws = sim.MaxDraws

// options checks the flags.
func (s *simFlags) options(command string) (sim.Options, error) {
	switch {
	case s.step <= 0 || s.step < time.Minute || s.step > time.Hour || time.Hour%s.step != 0:
		return sim.Options{}, usage(command, "--step: %s does not divide an hour; use e.g. 5m, 15m or 1h", s.step)
	case s.draws < 0 || s.draws > maxDraws:
		return sim.Options{}, usage(command, "--draws: %d is not 0 to %d; use e.g. 1000", s.draws, maxDraws)
	case !(s.albedo >= 0 && s.albedo <= 1):
		return sim.Options{}, usage(command, "--albedo: %g is not 0 to 1; use e.g. 0.2", s.albedo)
	case !(s.linke == 0 || s.linke >= 1 && s.linke <= 10):
		return sim.Options{}, usage(command, "--linke: %g is not 1 to 10; use e.g. 3", s.linke)
	case !(s.spread >= 0 && s.spread <= 100):
		return sim.Options{}, usage(command, "--use-spread: %g is not 0 to 100 %%; use e.g. 20", s.spread)
	}
	sky, err := s.sky.model(command)
	return sim.Options{Step: s.step, Seed: s.seed, Sky: sky, Albedo: s.albedo, Linke: s.linke, UseSpread: s.spread / 100}, err
}

// skyFlag chooses the model of diffuse light on a panel.
type skyFlag string

func (s *skyFlag) add(fs *pflag.FlagSet) {
	fs.StringVar((*string)(s), "sky", solar.HayDavies.String(), "model of diffuse light on a panel: "+strings.Join(solar.SkyModelNames(), " or "))
}

func (s *skyFlag) model(command string) (solar.SkyModel, error) {
	m, ok := solar.SkyModelNamed(string(*s))
	if !ok {
		return m, usage(command, "--sky: %q is not %s", clean(string(*s)), strings.Join(solar.SkyModelNames(), " or "))
	}
	return m, nil
}

// flagMessage turns the library's error into one line of ours.
func flagMessage(err error, fs *pflag.FlagSet) string {
	var missing *pflag.NotExistError
	var needs *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	switch {
	case errors.As(err, &missing):
		name := missing.GetSpecifiedName()
		if group := missing.GetSpecifiedShortnames(); group != "" {
			return fmt.Sprintf("unknown flag -%s%s", clean(group), didYouMean(group, flagNames(fs), "--"))
		}
		return fmt.Sprintf("unknown flag --%s%s", clean(name), didYouMean(name, flagNames(fs), "--"))
	case errors.As(err, &needs):
		return fmt.Sprintf("--%s needs a value", needs.GetSpecifiedName())
	case errors.As(err, &invalid):
		f := invalid.GetFlag()
		return fmt.Sprintf("--%s: %q is not %s", f.Name, clean(invalid.GetValue()), kindOf(f))
	}
	return clean(err.Error())
}

// kindOf names what a flag's value has to be, with an example.
func kindOf(f *pflag.Flag) string {
	switch f.Value.Type() {
	case "int", "uint64":
		return "a whole number; use e.g. " + f.DefValue
	case "float64":
		return "a number; use e.g. " + f.DefValue
	case "duration":
		return "a length of time; use e.g. 15m"
	case "bool":
		return "true or false"
	}
	return "a " + f.Value.Type()
}

func flagNames(fs *pflag.FlagSet) []string {
	names := []string{"help"}
	fs.VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
	return names
}

// didYouMean suggests the nearest of the known names, if one is near: few letters
// apart, or the only one that begins like it.
func didYouMean(word string, known []string, prefix string) string {
	word = strings.ToLower(strings.TrimSpace(word))
	best, distance := "", 1+max(1, len(word)/3)
	begins := 0
	for _, name := range known {
		lower := strings.ToLower(name)
		if len(word) >= 2 && strings.HasPrefix(lower, word) {
			if begins++; begins == 1 {
				best, distance = name, 1
			}
			continue
		}
		if d := spelling.Distance(word, lower, distance); d < distance {
			best, distance = name, d
		}
	}
	if best == "" || begins > 1 && distance > 0 {
		return ""
	}
	if strings.Contains(best, " ") {
		best = strconv.Quote(best)
	}
	return fmt.Sprintf("; did you mean %s%s?", prefix, clean(best))
}
