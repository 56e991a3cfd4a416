package main

import (
	"context"

	"github.com/spf13/pflag"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

const seasonHelp = `
Starts the same trip in every month of a year, on its own day of the month, or
with --every week on its weekday in every week, and tells for each start and system
how many of the simulated trips are not carried. Itinerary, hours and appliances stay; sun and air follow the
date. The trip's own figures of sun and temperature are put aside.

Examples:
  tripsim season scenarios/norway-september
  tripsim season mytrip --system weekend --every week --draws 300

Exit status: 0 done, 1 failed, 2 bad input.
`

type seasonFlags struct {
	adviceFlags
	every string
}

func seasonCommand() *command {
	return &command{
		name: "season", args: "SCENARIO", least: 1, most: 1,
		short: "the same trip through the year",
		long:  seasonHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f seasonFlags
			fs.StringVar(&f.every, "every", "month", "a start in every `month|week`")
			f.adviceFlags.add(fs, "season", 500)
			return f.act
		},
	}
}

func (f *seasonFlags) act(ctx context.Context, c *console, args []string) error {
	if f.every != "month" && f.every != "week" {
		return usage("season", "--every: %q is not month or week", clean(f.every))
	}
	t, err := f.start(c, args[0])
	if err != nil {
		return err
	}
	starts := sim.MonthlyStarts(&t.sc.Trip)
	if f.every == "week" {
		starts = sim.WeeklyStarts(&t.sc.Trip)
	}
	result, err := sim.RunSeason(ctx, &t.sc.Trip, t.sc.Loads, t.opt, t.systems, starts, f.draws, c.progress("starts through the year"))
	if err != nil {
		return err
	}
	t.basis.Weather = result.Starts[0].Risks[0].Weather
	a := &report.SeasonAdvice{Basis: t.basis, Season: result}
	return f.deliver(ctx, c, t, answer{
		name: "season", text: a.Text, json: a.JSON, csv: func() []byte { return a.Table().CSV() },
		pictures: func(ctx context.Context) ([]report.File, error) {
			return f.draw(ctx, "season", func(opts ...chart.Option) (*chart.Picture, error) {
				return chart.Season(chart.SeasonOf(result, t.tripName(), t.goal), opts...)
			})
		},
	})
}
