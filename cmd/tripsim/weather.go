package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
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

// replay makes the study's draws come from the file, if one is named, and tells
// what the file is and what is odd about it.
func (w *weatherFlags) replay(command string, study *sim.Study) (*report.Recorded, []string, error) {
	mode := weather.SameDates
	switch strings.ToLower(w.days) {
	case "dates":
	case "month":
		mode = weather.EveryStart
	default:
		return nil, nil, usage(command, "--weather-days: %q is not dates or month", clean(w.days))
	}
	if w.file == "" {
		return nil, nil, nil
	}
	rec, err := readRecord(w.file, w.zone)
	if err != nil {
		return nil, nil, badInput(err)
	}
	if err := study.Replay(rec, mode); err != nil {
		return nil, nil, badInput(err)
	}
	out := &report.Recorded{
		Name: rec.Name, Typical: rec.Typical, LatDeg: rec.Place.LatDeg, LonDeg: rec.Place.LonDeg, ElevationM: rec.Place.ElevationM,
		Dates: mode == weather.SameDates, Overlap: mode == weather.EveryStart,
	}
	out.First, out.Last = rec.Span()
	return out, farFrom(rec, study.Trip()), nil
}

// Weather that was made farther away than this is not that of the stop.
const (
	farKM = 100
	farM  = 300
)

// farFrom remarks on the stops that lie far from where a file was made.
func farFrom(rec *weather.Record, trip *sim.Trip) []string {
	worstKM, worstM := 0.0, 0.0
	farPlace, highPlace := "", ""
	far, high := 0, 0
	for i := range trip.Stops {
		st := &trip.Stops[i]
		if km := rec.Place.DistanceKM(st.Position); km > farKM {
			if far++; km > worstKM {
				worstKM, farPlace = km, st.Place
			}
		}
		if m := math.Abs(st.Position.ElevationM - rec.Place.ElevationM); m > farM {
			if high++; m > worstM {
				worstM, highPlace = m, st.Place
			}
		}
	}
	var out []string
	if far > 0 {
		out = append(out, fmt.Sprintf("%s was made more than %d km from %s of %d, up to %.0f km (%s): their sun and air may be others", rec.Name, farKM,
			count(far, "stop"), len(trip.Stops), worstKM, farPlace))
	}
	if high > 0 {
		out = append(out, fmt.Sprintf("%s was made more than %d m above or below %s of %d, up to %.0f m (%s): its air temperature is brought to their heights, its sun is not", rec.Name, farM,
			count(high, "stop"), len(trip.Stops), worstM, highPlace))
	}
	return out
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
