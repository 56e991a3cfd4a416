package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/report/quote"
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
	risk       riskFlag
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
			f.risk.add(fs)
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
	sc.Job.TargetFlatRisk = f.risk.or(sc.Job.TargetFlatRisk)
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
	what := "quote.html and quote.pdf"
	if len(f.formats) > 0 {
		what = "quote.html, quote.pdf and pictures"
	}
	return c.print(fmt.Sprintf("%s written to %s: %s\n", count(len(files), "file"), clean(dir), what))
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
	if err := f.risk.check("quote"); err != nil {
		return fail(err)
	}
	if f.optionRuns < 1 || f.optionRuns > maxDraws {
		return fail(usage("quote", "--option-draws: %d is not 1 to %d; use e.g. 300", f.optionRuns, maxDraws))
	}
	return in, opt, nil
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
