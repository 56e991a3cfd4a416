package main

import (
	"context"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/report/quote"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

const quoteHelp = `
Makes the document for the customer, as one HTML file that needs nothing else
(quote.html) and as a PDF with the same content (quote.pdf): the recommendation
in plain words, the systems side by side, the battery over the trip, every day,
the trip and the appliances as they were understood, what the numbers rest on,
and cautions. The pictures are also written as files of their own.

Who it is from and for stands in job.csv of the scenario: business, contact,
customer, reference, prepared_by, notes, logo (PNG, JPEG or SVG file).

The date of the document is --date, else SOURCE_DATE_EPOCH, else today. The same
scenario, flags and date make the same bytes again.

With --weather the hours of a weather file take the place of simulated weather, and
the document says so; the section season is then left out, as it needs simulated
weather.

Sections for --sections:
%s
Heading, recommendation and cautions are always there.

Examples:
  tripsim quote scenarios/morocco-october
  tripsim quote mytrip --out /tmp/quote --paper letter --locale en-US
  tripsim quote mytrip --sections systems,charge,days,trip,appliances
`

// quoteFlags are the flags of quote.
type quoteFlags struct {
	tableFlags
	simFlags
	weatherFlags
	risk       float64 // accepted, %; counts when it was given
	systems    []string
	out        string
	date       string
	paper      string
	sections   []string
	formats    []string
	optionRuns int
	changed    func(string) bool
	setFlags   func() []string
}

func quoteCommand() *command {
	return &command{
		name: "quote", args: "SCENARIO", least: 1, most: 1,
		short: "make the document for the customer (HTML and PDF)",
		long:  fmt.Sprintf(quoteHelp, quoteSectionHelp()),
		setup: func(fs *pflag.FlagSet) action {
			var f quoteFlags
			fs.StringVar(&f.out, "out", "", "`folder` for the files (default: out/, the scenario's name, /quote)")
			fs.StringArrayVar(&f.systems, "system", nil, "only the system with this `name` (may be repeated)")
			fs.StringSliceVar(&f.sections, "sections", nil, "`ids` of the sections, separated by commas (default: all)")
			fs.StringVar(&f.date, "date", "", "`date` of the document, YYYY-MM-DD (default: today)")
			fs.StringVar(&f.paper, "paper", "", "a4 or letter (default: by the locale)")
			fs.StringSliceVar(&f.formats, "format", []string{"svg", "png"}, "`kinds` of picture files: svg, png, pdf or none")
			f.simFlags.add(fs, 1000)
			f.weatherFlags.add(fs)
			fs.Float64Var(&f.risk, "risk", math.NaN(), "accepted risk, %; without it as in job.csv")
			fs.Lookup("risk").DefValue = ""
			fs.IntVar(&f.optionRuns, "option-draws", 300, "simulated trips for each start and for each point of the map of sizes")
			f.addLocale(fs)
			f.changed = fs.Changed
			f.setFlags = func() []string { return givenFlags(fs) }
			return f.act
		},
	}
}

// quoteSectionHelp lists the sections that can be chosen.
func quoteSectionHelp() string {
	var b strings.Builder
	for _, s := range quote.SectionDocs() {
		fmt.Fprintf(&b, "  %-11s %s\n", s.ID, s.About)
	}
	return b.String()
}

func (f *quoteFlags) act(ctx context.Context, c *console, args []string) error {
	in, opt, err := f.check()
	if err != nil {
		return err
	}
	sc, err := load(c, args[0], false)
	if err != nil {
		return err
	}
	systems, err := chosen(sc, f.systems)
	if err != nil {
		return err
	}
	if f.changed("risk") {
		sc.Job.TargetFlatRisk = f.risk / 100
	}
	if in.Job, err = jobOf(sc); err != nil {
		return err
	}
	if in.Run, _, err = simulate(ctx, c, sc, systems, opt, f.draws, &f.weatherFlags); err != nil {
		return err
	}
	for _, w := range in.Run.Warnings[len(sc.Warnings):] { // of the weather file
		c.warn(w)
	}
	if f.file != "" && f.changed("sections") && in.Wants("season") {
		c.warn("the section season is left out: it needs simulated weather")
	}
	in.Loads, in.Remake = sc.Loads, f.remake(sc, in.Date)
	if err := f.answer(ctx, c, sc, in); err != nil {
		return err
	}
	files, err := f.files(ctx, in)
	if err != nil {
		return err
	}
	dir := f.out
	if dir == "" {
		dir = filepath.Join("out", report.Slug(sc.Name), "quote")
	}
	if err := report.WriteSet(dir, files); err != nil {
		return err
	}
	return c.print(fmt.Sprintf("%s written to %s: quote.html, quote.pdf and pictures\n", count(len(files), "file"), clean(dir)))
}

// check checks the flags and begins the input of the document.
func (f *quoteFlags) check() (*quote.Input, sim.Options, error) {
	fail := func(err error) (*quote.Input, sim.Options, error) { return nil, sim.Options{}, err }
	format, err := f.format("quote")
	if err != nil {
		return fail(err)
	}
	opt, err := f.options("quote")
	if err != nil {
		return fail(err)
	}
	if f.formats, err = pictureFormats("quote", f.formats); err != nil {
		return fail(err)
	}
	in := &quote.Input{Format: format}
	if in.Date, err = documentDate(f.date); err != nil {
		return fail(err)
	}
	if f.paper == "" {
		f.paper = "a4"
		if format.Locale() == "en-US" {
			f.paper = "letter"
		}
	}
	if in.Paper, err = quote.PaperNamed(f.paper); err != nil {
		return fail(usage("quote", "--paper: %s", err))
	}
	if f.changed("sections") {
		in.Sections = []string{}
		for _, id := range f.sections {
			if id = strings.ToLower(strings.TrimSpace(id)); id != "" {
				in.Sections = append(in.Sections, id)
			}
		}
		if err := quote.CheckSections(in.Sections); err != nil {
			return fail(usage("quote", "--sections: %s", err))
		}
	}
	if f.changed("risk") && !(f.risk >= 0 && f.risk <= 100) {
		return fail(usage("quote", "--risk: %g is not 0 to 100 %%; use e.g. 5", f.risk))
	}
	if f.optionRuns < 1 || f.optionRuns > maxDraws {
		return fail(usage("quote", "--option-draws: %d is not 1 to %d; use e.g. 300", f.optionRuns, maxDraws))
	}
	return in, opt, nil
}

// pictureFormats checks the kinds of picture that are asked for.
func pictureFormats(command string, asked []string) ([]string, error) {
	var out []string
	for _, name := range asked {
		name = strings.ToLower(strings.TrimSpace(name))
		switch {
		case name == "none":
			return nil, nil
		case !slices.Contains([]string{"svg", "png", "pdf"}, name):
			return nil, usage(command, "--format: %q is not svg, png, pdf or none", clean(name))
		}
		out = append(out, name)
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// documentDate is the date that a document bears: as asked for, else of
// SOURCE_DATE_EPOCH, else today.
func documentDate(asked string) (time.Time, error) {
	if asked != "" {
		t, err := time.Parse(time.DateOnly, strings.TrimSpace(asked))
		if err != nil {
			return t, usage("quote", "--date: %q is not a date; use e.g. 2026-05-31", clean(asked))
		}
		return t, nil
	}
	if epoch := os.Getenv("SOURCE_DATE_EPOCH"); epoch != "" {
		s, err := strconv.ParseInt(epoch, 10, 64)
		if err != nil || s < 0 || s > 1<<40 {
			return time.Time{}, usage("quote", "SOURCE_DATE_EPOCH: %q is not a number of seconds since 1970", clean(epoch))
		}
		return time.Unix(s, 0).UTC(), nil
	}
	return time.Now(), nil
}

// jobOf takes over who the document is from and for, with the logo.
func jobOf(sc *scenario.Scenario) (quote.Job, error) {
	j := &sc.Job
	job := quote.Job{
		Business: j.Business, Contact: j.Contact, Customer: j.Customer, Reference: j.Reference,
		PreparedBy: j.PreparedBy, Notes: j.Notes,
	}
	if j.Logo == "" || sc.Dir == "" {
		return job, nil
	}
	data, err := readLogo(sc.Dir, j.Logo)
	if err != nil {
		return job, badInput(fmt.Errorf("job.csv: logo: %s cannot be read: %w; put the file into the scenario folder", clean(j.Logo), err))
	}
	if job.Logo, err = quote.NewLogo(clean(j.Logo), data); err != nil {
		return job, badInput(fmt.Errorf("job.csv: %w", err))
	}
	return job, nil
}

// readLogo reads a file of the scenario folder, up to one byte more than a logo
// may have.
func readLogo(dir, file string) ([]byte, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, reasonOf(err)
	}
	defer root.Close()
	info, err := root.Stat(file)
	if err != nil {
		return nil, reasonOf(err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("it is not a regular file")
	}
	r, err := root.Open(file)
	if err != nil {
		return nil, reasonOf(err)
	}
	defer r.Close()
	return io.ReadAll(io.LimitReader(r, quote.LogoMaxBytes+1))
}

// reasonOf is a file error without the path, which the reader knows.
func reasonOf(err error) error {
	if pe, ok := err.(*fs.PathError); ok {
		return pe.Err
	}
	return err
}

// remake is the command line that makes the document again.
func (f *quoteFlags) remake(sc *scenario.Scenario, date time.Time) string {
	words := []string{program, "quote", sc.Name}
	words = append(words, f.setFlags()...)
	if f.date == "" {
		words = append(words, "--date="+date.Format(time.DateOnly))
	}
	for i := range words {
		words[i] = shellWord(words[i])
	}
	return strings.Join(words, " ")
}

// givenFlags lists the flags that change what the document says, as they were
// given.
func givenFlags(fs *pflag.FlagSet) []string {
	var words []string
	fs.Visit(func(fl *pflag.Flag) {
		switch fl.Name {
		case "out", "format":
			return
		}
		if list, ok := fl.Value.(pflag.SliceValue); ok {
			if fl.Value.Type() == "stringArray" {
				for _, v := range list.GetSlice() {
					words = append(words, "--"+fl.Name+"="+v)
				}
				return
			}
			words = append(words, "--"+fl.Name+"="+strings.Join(list.GetSlice(), ","))
			return
		}
		words = append(words, "--"+fl.Name+"="+fl.Value.String())
	})
	return words
}

// shellWord quotes a word for a shell when it needs it.
func shellWord(s string) string {
	plain := !strings.ContainsFunc(s, func(r rune) bool {
		return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || strings.ContainsRune("-_=./,:+", r))
	})
	if plain && s != "" {
		return s
	}
	return "'" + strings.ReplaceAll(s, "'", `'\''`) + "'"
}

// answer asks the further questions about the systems, as far as sections and
// simulated trips are wanted.
func (f *quoteFlags) answer(ctx context.Context, c *console, sc *scenario.Scenario, in *quote.Input) error {
	defer c.clearProgress()
	var err error
	run, answers := in.Run, &in.Answers
	var systems []*sim.System
	for _, r := range run.Results {
		systems = append(systems, r.System)
		if in.Wants("chargers") {
			hours, err := sim.DrivingTime(r.System, 0.2, 0.8)
			if err != nil {
				return err
			}
			answers.DrivingH = append(answers.DrivingH, hours)
		}
	}
	if run.Draws == 0 {
		return nil
	}
	best, shown := report.Recommend(run.Results, run.Risks, run.Goal)
	sys := systems[shown]
	study, err := sim.NewStudy(&sc.Trip, sc.Loads, run.Options)
	if err != nil {
		return err
	}
	if f.file != "" {
		if _, _, err := f.replay("quote", study); err != nil {
			return err
		}
	}
	goal := sim.Goal{FlatRisk: run.Goal.FlatRisk} // the reserve is wanted in typical weather, as in the recommendation
	if in.Wants("fixes") && best < 0 {
		if answers.Advice, err = study.Advise(ctx, sys, f.draws, c.progress("single changes")); err != nil {
			return err
		}
	}
	if in.Wants("chargers") {
		if sizes := sizesAround(sim.ChargerSizes(sys), sim.ChargerSize.Size(sys)); sim.ChargerOf(sys) >= 0 && len(sizes) > 1 {
			answers.Chargers, err = study.SizeFor(ctx, sys, sim.ChargerSize, sim.Sizes(sizes), goal, f.draws, c.progress("sizes of charger"))
			if err != nil {
				return err
			}
		}
	}
	if in.Wants("season") && f.file == "" {
		answers.Season, err = sim.RunSeason(ctx, &sc.Trip, sc.Loads, run.Options, fewSystems(systems, shown), sim.MonthlyStarts(&sc.Trip),
			f.optionRuns, c.progress("starts in other months"))
		if err != nil {
			return err
		}
	}
	if in.Wants("sizing") {
		answers.Map, err = f.sizeMap(ctx, c, study, sys, goal, systems)
	}
	return err
}

// fewSystems are the system shown and others beside it, at most six, in their
// order.
func fewSystems(systems []*sim.System, shown int) []*sim.System {
	const most = 6
	from := max(0, min(shown-most/2, len(systems)-most))
	return systems[from:min(len(systems), from+most)]
}

// sizeMap maps battery sizes against charging current or, where the system has
// panels and no other charger, panels.
func (f *quoteFlags) sizeMap(ctx context.Context, c *console, study *sim.Study, sys *sim.System, goal sim.Goal, systems []*sim.System) (*sim.SizeMap, error) {
	var banks []float64
	for _, b := range sim.BankSizes(sys) {
		banks = append(banks, b.Ah)
	}
	across, sizes := sim.PanelSize, sim.PanelSizes()
	if sim.ChargerOf(sys) >= 0 && sys.PanelW() == 0 {
		across, sizes = sim.ChargerSize, sim.ChargerSizes(sys)
	}
	return study.SizeMap(ctx, sys, across, sizesAround(banks, sys.BankAh()), sizesAround(sizes, across.Size(sys)), goal,
		sim.PricesFrom(systems), f.optionRuns, c.progress("map of sizes"))
}

// sizesAround adds the own size to those that are sold, and keeps what is
// within a quarter and four times of it, at most nine.
func sizesAround(sizes []float64, own float64) []float64 {
	sizes = append(slices.Clone(sizes), own)
	slices.Sort(sizes)
	sizes = slices.CompactFunc(sizes, func(a, b float64) bool { return math.Abs(a-b) < 0.5 })
	if own > 0 {
		sizes = slices.DeleteFunc(sizes, func(v float64) bool { return v < own/4 || v > own*4 })
	}
	const most = 9
	for len(sizes) > most { // thin out the far end first
		at := slices.IndexFunc(sizes, func(v float64) bool { return math.Abs(v-own) < 0.5 })
		if at > most/2 {
			sizes = slices.Delete(sizes, 0, 1)
		} else {
			sizes = slices.Delete(sizes, len(sizes)-1, len(sizes))
		}
	}
	return sizes
}

// files makes the document and its pictures.
func (f *quoteFlags) files(ctx context.Context, in *quote.Input) ([]report.File, error) {
	doc, err := quote.Build(in)
	if err != nil {
		return nil, err
	}
	page, err := doc.HTML()
	if err != nil {
		return nil, err
	}
	pdf, err := doc.PDF()
	if err != nil {
		return nil, err
	}
	files := []report.File{{Name: "quote.html", Data: page}, {Name: "quote.pdf", Data: pdf}}
	pictures, err := quote.Pictures(in)
	if err != nil {
		return nil, err
	}
	for i, p := range pictures {
		painted, err := paint(ctx, p, fmt.Sprintf("pictures/%02d-%s", i+1, report.Slug(p.Name)), f.formats)
		if err != nil {
			return nil, err
		}
		files = append(files, painted...)
	}
	return files, nil
}
