package main

import (
	"context"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

const calibrateHelp = `
Holds the forecast flat risk against real weather: over an hourly weather file
(EPW, or CSV with time, ghi and temp) the trip is started on every day, once under
the file's own weather and --draws times under synthetic weather for the same date.
Prints by month how many starts went flat and what was forecast, the Brier score
and how reliable the forecasts are.

All stops are put at the file's place and its local clock. A CSV file does not say
where it was made: name it with --at, else the trip keeps its own places. The trip's own figures of sun and
temperature are put aside. With --own-means the forecast takes the file's monthly
means instead of the built-in climate, so that only the variation from day to day
is tested.

Examples:
  tripsim calibrate scenarios/norway-september --weather bergen.epw
  tripsim calibrate mytrip --system weekend --weather year.csv --at 60.4,5.3 --own-means

Exit status: 0 done, 1 failed, 2 bad input.
`

type calibrateFlags struct {
	adviceFlags
	file string
	zone string
	own  bool
	at   string
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
			fs.StringVar(&f.at, "at", "", "`latitude,longitude` at which a CSV file was made, e.g. 60.4,5.3")
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
	if f.at != "" {
		if rec.Place, err = f.place(); err != nil {
			return err
		}
	}
	result, err := sim.Calibrate(ctx, &t.sc.Trip, t.sc.Loads, t.opt, t.systems, rec, f.own, f.draws, c.progress("starts in the record"))
	if err != nil {
		return err
	}
	t.basis.Weather = result.Record
	a := &report.CalibrationAdvice{Basis: t.basis, Calibration: result}
	return f.deliver(ctx, c, t, answer{
		name: "calibrate", text: a.Text, json: a.JSON, csv: a.CSV,
		pictures: func(ctx context.Context) ([]report.File, error) {
			var files []report.File
			for i := range result.Systems {
				name := "reliability"
				if len(result.Systems) > 1 {
					name = report.Slug(result.Systems[i].System.Name) + "-reliability"
				}
				more, err := f.draw(ctx, name, func(opts ...chart.Option) (*chart.Picture, error) {
					return chart.Reliability(chart.CalibrationOf(result, i, t.tripName()), opts...)
				})
				if err != nil {
					return nil, err
				}
				files = append(files, more...)
			}
			return files, nil
		},
	})
}

// place reads --at.
func (f *calibrateFlags) place() (solar.Place, error) {
	p := solar.Place{ElevationM: math.NaN()}
	lat, lon, ok := strings.Cut(f.at, ",")
	var errLat, errLon error
	p.LatDeg, errLat = strconv.ParseFloat(strings.TrimSpace(lat), 64)
	p.LonDeg, errLon = strconv.ParseFloat(strings.TrimSpace(lon), 64)
	if !ok || errLat != nil || errLon != nil || !(math.Abs(p.LatDeg) <= 90 && math.Abs(p.LonDeg) <= 180) {
		return p, usage("calibrate", "--at: %q is not a latitude and longitude in degrees; use e.g. 60.4,5.3", clean(f.at))
	}
	return p, nil
}
