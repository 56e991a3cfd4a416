package main

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"tripsim/internal/chart"
	"tripsim/internal/gazetteer"
	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
	"tripsim/internal/weather"
)

const sunHelp = `
Sun and heat of a place through the year, without a network: for every month the
mean daily sun and that of a clear sky, daylight, temperatures, what a panel gives
level and tilted, and how many days are dull.

The place is a name or a position, in degrees, north and east positive:

  tripsim sun Zagora
  tripsim sun "Springfield, Illinois"
  tripsim sun --at 30.92,-6.91 --elevation 1140 --name Ouarzazate
  tripsim sun --at -32.35,22.58 --panel 200 --csv

Writes sun.csv, sun.json and a picture of the year, month by hour, into --out.
With --json or --csv the answer goes to standard output instead, and files are
written only when --out is given.
`

// sunFlags are the flags of sun.
type sunFlags struct {
	tableFlags
	at, name string
	height   float64
	opt      sim.PlaceOptions
	sky      skyFlag
	out      string
	formats  []string
	noFiles  bool
	given    func(flag string) bool
}

func sunCommand() *command {
	return &command{
		name: "sun", args: "[PLACE]", most: 1, words: func() []string { return nil },
		short: "sun and heat of a place through the year",
		long:  sunHelp,
		setup: func(fs *pflag.FlagSet) action {
			f := sunFlags{opt: sim.DefaultPlaceOptions()}
			fs.StringVar(&f.at, "at", "", "position of the place, `LAT,LON` in degrees")
			fs.Float64Var(&f.height, "elevation", 0, "height above the sea, m (default: the climate data's)")
			fs.StringVar(&f.name, "name", "", "what to call the place")
			fs.Float64Var(&f.opt.PanelW, "panel", f.opt.PanelW, "rated power of the panel, W")
			fs.Float64Var(&f.opt.Albedo, "albedo", f.opt.Albedo, "reflectance of the ground, 0 to 1")
			f.sky.add(fs)
			fs.IntVar(&f.opt.Draws, "draws", f.opt.Draws, "simulated years behind the dull days; 0 = none")
			fs.Uint64Var(&f.opt.Seed, "seed", f.opt.Seed, "seed of the simulated weather")
			fs.StringVar(&f.out, "out", "", "`folder` for the files (default: out/ and the place's name)")
			fs.StringSliceVar(&f.formats, "format", []string{"svg", "png"}, "`kinds` of picture: svg, png, pdf or none")
			fs.BoolVar(&f.noFiles, "no-files", false, "print only, write nothing")
			f.tableFlags.add(fs)
			f.given = fs.Changed
			return f.act
		},
	}
}

func (f *sunFlags) act(ctx context.Context, c *console, args []string) error {
	format, err := f.format("sun")
	if err != nil {
		return err
	}
	if err := f.check(); err != nil {
		return err
	}
	place, found, notes, err := f.place(args)
	if err != nil {
		return err
	}
	for _, n := range append(notes, f.heightNote(place)...) {
		c.note(n)
	}
	name := scenario.ZoneNameAt(place.LatDeg, place.LonDeg)
	zone, err := time.LoadLocation(name)
	if err != nil {
		return fmt.Errorf("time zone %q: %w", name, err)
	}
	year, err := sim.YearAt(place, zone, f.opt)
	if err != nil {
		return usage("sun", "%s", clean(err.Error()))
	}
	sun := &report.Sun{Name: f.name, Found: found, Program: versionName(), Options: f.opt, Year: year}
	dir, written, err := f.write(ctx, sun)
	if err != nil {
		return err
	}
	table := func() []byte { return sun.Table(format).CSV() }
	return f.printAnswer(c, forms{sun.Text, sun.JSON, table}, format, dir, written)
}

func (f *sunFlags) check() error {
	switch {
	case !(f.opt.PanelW > 0 && f.opt.PanelW <= 1e6):
		return usage("sun", "--panel: %g W is not above 0; use e.g. 100", f.opt.PanelW)
	case !(f.opt.Albedo >= 0 && f.opt.Albedo <= 1):
		return usage("sun", "--albedo: %g is not 0 to 1; use e.g. 0.2", f.opt.Albedo)
	case f.opt.Draws < 0 || f.opt.Draws > 10_000:
		return usage("sun", "--draws: %d is not 0 to 10000; use e.g. 100", f.opt.Draws)
	case f.given("elevation") && !(f.height >= -500 && f.height <= 9000):
		return usage("sun", "--elevation: %g m is not -500 to 9000; use e.g. 1140", f.height)
	}
	var err error
	if f.opt.Sky, err = f.sky.model("sun"); err != nil {
		return err
	}
	f.formats, err = pictureFormats("sun", f.formats)
	return err
}

// place is where the flags or the name point to, the attribution of a name that
// was looked up, and what else may have been meant.
func (f *sunFlags) place(args []string) (p solar.Place, source string, notes []string, err error) {
	p = solar.Place{ElevationM: math.NaN()}
	if f.given("elevation") {
		p.ElevationM = f.height
	}
	switch {
	case len(args) == 0 && f.at == "":
		return p, "", nil, usage("sun", "a place is missing: its name, or --at with its position; use e.g. --at 30.92,-6.91")
	case len(args) > 0 && f.at != "":
		return p, "", nil, usage("sun", "give a name or --at, not both; --name says what to call a position")
	case f.at != "":
		p.LatDeg, p.LonDeg, err = position(f.at)
		return p, "", nil, err
	}
	found, others, err := named(args[0])
	if err != nil {
		return p, "", nil, err
	}
	if len(others) > 0 {
		notes = append(notes, fmt.Sprintf("this is %s; also known: %s", found.Label(), placesInLine(others)))
	}
	if f.name == "" {
		f.name = found.Label()
	}
	p.LatDeg, p.LonDeg = found.LatDeg, found.LonDeg
	return p, gazetteer.Attribution, notes, nil
}

// heightNote tells that a height was taken from climate data of mountains.
func (f *sunFlags) heightNote(p solar.Place) []string {
	p.ElevationM = math.NaN()
	n, err := weather.NormalsAt(p)
	if f.given("elevation") || err != nil || n.ReliefM <= scenario.MountainReliefM {
		return nil
	}
	return []string{fmt.Sprintf("the height of the place is not given: %.0f m are taken from the climate data, whose heights differ by %.0f m around it; "+
		"temperatures follow the height, about 3 °C for 500 m: give --elevation", n.ElevationM, n.ReliefM)}
}

// position reads "30.92,-6.91"; a space or semicolon may stand for the comma.
func position(text string) (lat, lon float64, err error) {
	parts := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' || r == ' ' })
	if len(parts) == 2 {
		var errLat, errLon error
		lat, errLat = strconv.ParseFloat(parts[0], 64)
		lon, errLon = strconv.ParseFloat(parts[1], 64)
		if errLat == nil && errLon == nil {
			switch {
			case !(lat >= -90 && lat <= 90):
				return 0, 0, usage("sun", "--at: latitude %g is not between -90 and 90", lat)
			case !(lon >= -180 && lon <= 180):
				return 0, 0, usage("sun", "--at: longitude %g is not between -180 and 180", lon)
			}
			return lat, lon, nil
		}
	}
	return 0, 0, usage("sun", "--at: %q is not a latitude and a longitude in degrees; use e.g. 30.92,-6.91", clean(text))
}

const listedPlaces = 12 // namesakes that are listed

// named looks a place up; others are further places that may have been meant.
func named(query string) (place gazetteer.Place, others []gazetteer.Place, err error) {
	found, sure := gazetteer.Meant(query)
	switch {
	case len(found) == 0:
		return gazetteer.Place{}, nil, unknownPlace(query)
	case sure:
		return found[0], found[1:], nil
	}
	var b strings.Builder
	fmt.Fprintf(&b, "there are %d places called %q; say which, or give --at:", len(found), clean(query))
	b.WriteString(listPlaces(found))
	return gazetteer.Place{}, nil, usage("sun", "%s", b.String())
}

func listPlaces(places []gazetteer.Place) string {
	var b strings.Builder
	for _, p := range places[:min(len(places), listedPlaces)] {
		fmt.Fprintf(&b, "\n  %q  --at %.2f,%.2f", p.Label(), p.LatDeg, p.LonDeg)
	}
	if more := len(places) - listedPlaces; more > 0 {
		fmt.Fprintf(&b, "\n  and %d more", more)
	}
	return b.String()
}

// placesInLine is listPlaces in a sentence, of fewer.
func placesInLine(places []gazetteer.Place) string {
	const most = 3
	var parts []string
	for _, p := range places[:min(len(places), most)] {
		parts = append(parts, fmt.Sprintf("%q", p.Label()))
	}
	if more := len(places) - most; more > 0 {
		parts = append(parts, fmt.Sprintf("%d more", more))
	}
	return strings.Join(parts, ", ")
}

func unknownPlace(query string) error {
	near := gazetteer.Suggest(query, 5)
	if len(near) == 0 {
		return usage("sun", "no place called %q is known; give its position: --at LAT,LON, e.g. --at 30.92,-6.91", clean(query))
	}
	return usage("sun", "no place called %q is known; did you mean:%s", clean(query), listPlaces(near))
}

// write writes the files that the flags ask for and tells where and how many.
func (f *sunFlags) write(ctx context.Context, sun *report.Sun) (dir string, written int, err error) {
	if f.noFiles || (f.json || f.csv) && !f.given("out") {
		return "", 0, nil
	}
	files, err := sun.Files()
	if err != nil {
		return "", 0, err
	}
	picture, err := f.draw(sun)
	if err != nil {
		return "", 0, err
	}
	painted, err := paint(ctx, picture, "sun", f.formats)
	if err != nil {
		return "", 0, err
	}
	files = append(files, painted...)
	dir = f.out
	if dir == "" {
		label := f.name
		if label == "" {
			label = fmt.Sprintf("%.2f %.2f", sun.Year.Position.LatDeg, sun.Year.Position.LonDeg)
			label = strings.ReplaceAll(label, "-", "minus ")
		}
		dir = filepath.Join("out", "sun-"+report.Slug(label))
	}
	return dir, len(files), report.WriteSet(dir, files)
}

func (f *sunFlags) draw(sun *report.Sun) (*chart.Picture, error) {
	var opts []chart.Option
	if l, ok := chart.LocaleFor(f.locale); ok {
		opts = append(opts, chart.In(l))
	}
	y := sun.Year
	table := chart.SunTable{Place: sun.Label(report.DefaultFormat()), Clock: sun.Clock(), GHIWm2: y.GHIWm2, Sunrise: y.Sunrise, Sunset: y.Sunset}
	for m := range 12 {
		table.DailyKWh[m] = y.Months[m].GHIKWhM2
	}
	return chart.SunYear(table, opts...)
}
