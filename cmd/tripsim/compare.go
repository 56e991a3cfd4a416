package main

import (
	"context"

	"github.com/spf13/pflag"

	"tripsim/internal/chart"
	"tripsim/internal/report"
)

const compareHelp = `
Puts the systems of a scenario side by side on the same simulated weather: flat
risk, flat days, reserve, unserved energy, spilled sun, energy and hours of charging
by source, the time from 20 to 80 % in steady driving, wear, price, and the price
of each percentage point of risk avoided. Differences are to one system (the
first, or --reference), trip by trip, with their 95 % interval.

With --vary one figure of the systems is varied instead: any column of numbers in
systems.csv, chargers.csv or panels.csv, named system.COLUMN, charger.COLUMN or
panel.COLUMN; charger[NAME].COLUMN where a system has several units.

Examples:
  tripsim compare scenarios/morocco-october
  tripsim compare mytrip --system weekend --system touring --reference weekend
  tripsim compare mytrip --system weekend --vary charger.alternator_a=25,40,50,60
  tripsim compare mytrip --vary panel.watts=0.1,100,200,300

Exit status: 0 done, 1 failed, 2 bad input.
`

type compareFlags struct {
	adviceFlags
	priceFlags
	reference string
	vary      string
}

func compareCommand() *command {
	return &command{
		name: "compare", args: "SCENARIO", least: 1, most: 1,
		short: "systems side by side, or one figure varied",
		long:  compareHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f compareFlags
			fs.StringVar(&f.reference, "reference", "", "`system` that the others are held against")
			fs.StringVar(&f.vary, "vary", "", "vary a `figure`, e.g. charger.alternator_a=25,40,50,60")
			f.priceFlags.add(fs)
			f.adviceFlags.add(fs, "compare", 1000)
			return f.act
		},
	}
}

func (f *compareFlags) act(ctx context.Context, c *console, args []string) error {
	t, err := f.start(c, args[0])
	if err != nil {
		return err
	}
	if f.vary != "" {
		if f.reference != "" {
			return usage("compare", "--reference is not for --vary: every system is held against its own value")
		}
		return f.varied(ctx, c, t)
	}
	reference := 0
	if f.reference != "" {
		var names []string
		for _, s := range t.systems {
			names = append(names, s.Name)
		}
		if reference, err = pick("--reference", "system compared", f.reference, names); err != nil {
			return err
		}
	}
	study, err := t.study()
	if err != nil {
		return err
	}
	result, err := study.Compare(ctx, t.systems, reference, f.draws, c.progress("simulated trips"))
	if err != nil {
		return err
	}
	t.basis.Weather, t.basis.Draws = result.Weather, result.Draws
	a := &report.CompareAdvice{Basis: t.basis, Comparison: result}
	return f.deliver(ctx, c, t, answer{
		name: "compare", text: a.Text, json: a.JSON, csv: a.CSV,
		pictures: func(ctx context.Context) ([]report.File, error) {
			return f.draw(ctx, "compare", func(opts ...chart.Option) (*chart.Picture, error) {
				return chart.Compare(chart.ComparisonOf(result, t.tripName(), t.sc.Job.Currency, t.goal, -1), opts...)
			})
		},
	})
}
