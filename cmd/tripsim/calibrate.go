package main

import (
	"context"

	"github.com/spf13/pflag"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

const calibrateHelp = `
Holds the forecast flat risk against real weather: over an hourly weather file
(EPW, or CSV with time, ghi and temp) the trip is started on every day, once under
the file's own weather and --draws times under synthetic weather for the same date.
Prints by month how many starts went flat and what was forecast, the Brier score
and how reliable the forecasts are.

All stops are put at the file's place, on its clock; a CSV file does not say where
it is, so the trip then keeps its own places. The trip's own figures of sun and
temperature are put aside. With --own-means the forecast takes the file's monthly
means instead of the built-in climate, so that only the variation from day to day
is tested.

Examples:
  tripsim calibrate scenarios/norway-september --weather bergen.epw
  tripsim calibrate mytrip --system weekend --weather year.csv --time-zone Europe/Oslo --own-means

Exit status: 0 done, 1 failed, 2 bad input.
`

type calibrateFlags struct {
	adviceFlags
	file string
	zone string
	own  bool
}

func calibrateCommand() *command {
	return &command{
		name: "calibrate", args: "SCENARIO", least: 1, most: 1,
		short: "the forecast risk against a year of real weather",
		long:  calibrateHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f calibrateFlags
			fs.StringVar(&f.file, "weather", "", "hourly weather `file`, EPW or CSV")
			fs.StringVar(&f.zone, "time-zone", "", "IANA `zone` of a CSV file whose times have no offset")
			fs.BoolVar(&f.own, "own-means", false, "forecast around the file's monthly means, not the climate's")
			f.adviceFlags.add(fs, "calibrate", 200)
			return f.act
		},
	}
}

func (f *calibrateFlags) act(ctx context.Context, c *console, args []string) error {
	if f.file == "" {
		return usage("calibrate", "--weather is missing: name an hourly weather file, e.g. --weather year.epw")
	}
	t, err := f.start(c, args[0])
	if err != nil {
		return err
	}
	rec, err := readRecord(f.file, f.zone)
	if err != nil {
		return badInput(err)
	}
	result, err := sim.Calibrate(ctx, &t.sc.Trip, t.sc.Loads, t.opt, t.systems, rec, f.own, f.draws, c.progress("starts in the record"))
	if err != nil {
		return err
	}
	t.basis.Weather = result.Record
	a := &report.CalibrationAdvice{Basis: t.basis, Calibration: result}
	return f.deliver(ctx, c, t, answer{name: "calibrate", text: a.Text, json: a.JSON, csv: a.CSV,
		pictures: func(ctx context.Context) ([]report.File, error) {
			var files []report.File
			for i := range result.Systems {
				name := "reliability"
				if len(result.Systems) > 1 {
					name = report.Slug(result.Systems[i].System.Name) + "-reliability"
				}
				more, err := f.draw(ctx, name, func(opts ...chart.Option) (*chart.Picture, error) {
					return chart.Reliability(calibrationOf(t, result, i), opts...)
				})
				if err != nil {
					return nil, err
				}
				files = append(files, more...)
			}
			return files, nil
		}})
}
