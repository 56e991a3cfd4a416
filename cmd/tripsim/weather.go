package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"tripsim/internal/sim"
	"tripsim/internal/weather"
)

// weatherFlags put real weather in the place of the synthetic.
type weatherFlags struct {
	file, zone, days string
}

func (w *weatherFlags) add(fs *pflag.FlagSet) {
	fs.StringVar(&w.file, "weather", "", "hourly weather `file`, EPW or CSV, instead of simulated weather")
	fs.StringVar(&w.days, "weather-days", "dates", "`days` of the file: dates (the trip's own dates in each of its years) or month (a start on each day of the month)")
	fs.StringVar(&w.zone, "time-zone", "", "IANA `zone` of a weather file whose times have no offset")
}

// replay makes the study's draws come from the file, if one is named.
func (w *weatherFlags) replay(command string, study *sim.Study) error {
	mode := weather.SameDates
	switch strings.ToLower(w.days) {
	case "dates":
	case "month":
		mode = weather.EveryStart
	default:
		return usage(command, "--weather-days: %q is not dates or month", clean(w.days))
	}
	if w.file == "" {
		return nil
	}
	rec, err := readRecord(w.file, w.zone)
	if err != nil {
		return badInput(err)
	}
	if err := study.Replay(rec, mode); err != nil {
		return badInput(err)
	}
	return nil
}

// main runs a system through the weather that an answer shows: the file's own
// days where the trip's dates are replayed, else the typical weather.
func (w *weatherFlags) main(study *sim.Study, sys *sim.System) (*sim.Result, error) {
	if w.file != "" && strings.EqualFold(w.days, "dates") {
		return study.RunDraw(sys, 0)
	}
	return study.Typical(sys)
}

// readRecord reads a weather file.
func readRecord(path, zone string) (*weather.Record, error) {
	var at *time.Location
	if zone != "" {
		var err error
		if at, err = time.LoadLocation(zone); err != nil {
			return nil, fmt.Errorf("--time-zone: %q is not an IANA time zone; use e.g. Europe/Oslo", clean(zone))
		}
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("weather file: %w", err)
	}
	return weather.ReadRecord(data, filepath.Base(path), at)
}
