package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"tripsim/internal/scenario"
)

const newHelp = `
Makes a folder with the tables of a scenario: an invented trip that runs as it is,
with every column explained in comment lines. Change it in any spreadsheet or text
editor. An existing table is never touched.

With --gpx the trip is that of a route file (GPX 1.0 or 1.1). Its stops are the
named points of a route, or the waypoints along a track, or the waypoints alone, or
a bare track cut into days: by its times where it has them, else by the longest
drive of a day. Look the stops over: nights at powered sites, shade and days of
rest are not in such a file.

Examples:
  tripsim new mytrip
  tripsim run mytrip
  tripsim new atlas --gpx atlas.gpx --start 2026-10-03 --speed 45 --max-drive 5

What the columns mean: tripsim help scenario.
`

// newFlags are the flags of new.
type newFlags struct {
	gpx, start string
	route      scenario.GPXOptions
	given      func(flag string) bool
}

func newCommand() *command {
	return &command{
		name: "new", args: "FOLDER", least: 1, most: 1,
		short: "make a scenario folder to fill in, or of a route file",
		long:  newHelp,
		setup: func(fs *pflag.FlagSet) action {
			f := newFlags{route: scenario.DefaultGPXOptions(), given: fs.Changed}
			fs.StringVar(&f.gpx, "gpx", "", "route `file` that makes the trip")
			fs.StringVar(&f.start, "start", "", "first `day` of the trip, e.g. 2026-10-03 (default: of the file's times)")
			fs.Float64Var(&f.route.AverageKmH, "speed", f.route.AverageKmH, "average driving speed with short stops, km/h")
			fs.Float64Var(&f.route.MaxDriveHours, "max-drive", f.route.MaxDriveHours, "longest drive of a day, h")
			return f.act
		},
	}
}

func (f *newFlags) act(_ context.Context, c *console, args []string) error {
	files := scenario.StarterFiles()
	what := "a scenario to change as you need"
	if f.gpx == "" {
		for _, flag := range []string{"start", "speed", "max-drive"} {
			if f.given(flag) {
				return usage("new", "--%s goes with --gpx", flag)
			}
		}
	} else {
		trip, err := f.trip()
		if err != nil {
			return err
		}
		files["trip.csv"] = trip.Bytes()
		what = fmt.Sprintf("the %s of %s, with invented appliances and systems to change as you need", count(len(trip.Rows), "stop"), clean(filepath.Base(f.gpx)))
	}
	if err := notAFile(args[0]); err != nil {
		return err
	}
	if err := scenario.WriteNew(args[0], files); err != nil {
		return failure{statusFailed, err, "-"}
	}
	folder := folderWord(clean(args[0]))
	return c.print(fmt.Sprintf("%s: %s.\n\nNext:\n  tripsim check %s\n  tripsim run %s\n", clean(args[0]), what, folder, folder))
}

// notAFile refuses a path that leads to or through a file.
func notAFile(path string) error {
	for p := filepath.Clean(path); ; p = filepath.Dir(p) {
		info, err := os.Stat(p)
		if err == nil && !info.IsDir() {
			return usage("new", "%s is a file; name a folder to make, e.g. mytrip", clean(p))
		}
		if err == nil || p == filepath.Dir(p) {
			return nil
		}
	}
}

// folderWord is a folder as a word for a shell, not to be taken for a flag.
func folderWord(path string) string {
	if strings.HasPrefix(path, "-") {
		path = "./" + path
	}
	return shellWord(path)
}

// trip reads the route file.
func (f *newFlags) trip() (*scenario.Table, error) {
	f.route.Name = f.gpx
	if f.given("start") {
		day, err := time.Parse(time.DateOnly, strings.TrimSpace(f.start))
		if err != nil {
			return nil, usage("new", "--start: %q is not a date; use e.g. 2026-10-03", clean(f.start))
		}
		f.route.Start = day
	}
	if err := f.route.Check(); err != nil {
		return nil, usage("new", "%s", err)
	}
	file, err := os.Open(f.gpx)
	if err != nil {
		return nil, badInput(err)
	}
	defer file.Close()
	trip, err := scenario.FromGPX(file, f.route)
	switch {
	case errors.Is(err, scenario.ErrNoStart):
		return nil, badInput(fmt.Errorf("%w: --start, e.g. --start 2026-10-03", err))
	case err != nil:
		return nil, badInput(err)
	}
	return trip, nil
}
