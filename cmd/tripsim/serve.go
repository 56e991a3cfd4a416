package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	"github.com/spf13/pflag"

	"tripsim/internal/report"
	"tripsim/internal/report/quote"
	"tripsim/internal/scenario"
	"tripsim/internal/web"
)

const serveHelp = `
Opens a local page on which the trip, the appliances and the systems of a scenario
are edited and the answer follows every edit: open the address that it prints in a
browser on this machine. It needs no network and sends nothing anywhere.

Without a SCENARIO it starts from the tables that 'tripsim new' writes. Edits are
kept while the program runs, also when the browser is closed; with --write they are
saved into the folder as they are made, and what stood there before is kept once
per file, as trip.csv.bak and so on. Export and import on the page exchange the
same tables as a zip archive.

The page is reached from this machine only. With another address for --listen
everybody on that network can read and change the scenario. End with Ctrl+C.

Examples:
  tripsim serve scenarios/morocco-october
  tripsim serve mytrip --write --listen 127.0.0.1:8300
`

// serveFlags are the flags of serve.
type serveFlags struct {
	simFlags
	tableFlags
	listen   string
	write    bool
	setFlags func() []string
}

func serveCommand() *command {
	return &command{
		name: "serve", args: "[SCENARIO]", most: 1,
		short: "edit a scenario on a local page and see the answer",
		long:  serveHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f serveFlags
			fs.StringVar(&f.listen, "listen", "127.0.0.1:0", "`address` and port to listen on; port 0 = any that is free")
			fs.BoolVar(&f.write, "write", false, "save edits into the scenario folder")
			f.simFlags.add(fs, 1000)
			f.addLocale(fs)
			f.setFlags = func() []string { return givenFlags(fs) }
			return f.act
		},
	}
}

func (f *serveFlags) act(ctx context.Context, c *console, args []string) error {
	format, err := f.format("serve")
	if err != nil {
		return err
	}
	opt, err := f.options("serve")
	if err != nil {
		return err
	}
	cfg := web.Config{
		Name: "new trip", Files: scenario.StarterFiles(), Write: f.write, Options: opt, Draws: f.draws,
		Format: format, Program: versionName(), Warn: c.warn, Quote: f.quote(c, format), Reader: reader(),
	}
	if len(args) == 0 && f.write {
		return usage("serve", "--write needs a SCENARIO to write to; make one with '%s new mytrip'", program)
	}
	if len(args) == 1 {
		if cfg.Name, cfg.Files, err = readScenario(args[0]); err != nil {
			return err
		}
		cfg.Dir = args[0]
	}
	server, err := web.New(cfg)
	if err != nil {
		return badInput(err)
	}
	l, err := web.Listen(f.listen)
	if err != nil {
		return usage("serve", "--listen: %s", err)
	}
	if text := web.Exposed(l); text != "" {
		c.warn(text)
	}
	if err := c.print(fmt.Sprintf("%s is open at %s\nEnd with Ctrl+C.\n", clean(cfg.Name), web.URL(l))); err != nil {
		_ = l.Close()
		return err
	}
	return server.Serve(ctx, l, f.listen)
}

// quoteOptionDraws is the default of --option-draws of the command quote.
const quoteOptionDraws = 300

// quote makes the same document as the command quote, with all its sections.
func (f *serveFlags) quote(c *console, format report.Format) web.MakeQuote {
	quiet := newConsole(c.in, io.Discard, io.Discard) // nobody looks at the terminal meanwhile
	return func(ctx context.Context, sc *scenario.Scenario, run *report.Run) (page, pdf []byte, err error) {
		q := quoteFlags{
			tableFlags: f.tableFlags, simFlags: f.simFlags, optionRuns: quoteOptionDraws, risk: riskFlag(math.NaN()),
			changed: func(string) bool { return false }, setFlags: f.setFlags,
		}
		in, _, err := q.check()
		if err != nil {
			return nil, nil, err
		}
		if in.Job, err = jobOf(sc); err != nil {
			return nil, nil, err
		}
		in.Run, in.Loads, in.Format = run, sc.Loads, format
		if saved(sc) {
			in.Remake = q.remake(sc, in.Date)
		}
		if err := q.answer(ctx, quiet, sc, in); err != nil {
			return nil, nil, err
		}
		doc, err := quote.Build(in)
		if err != nil {
			return nil, nil, err
		}
		if page, err = doc.HTML(); err != nil {
			return nil, nil, err
		}
		pdf, err = doc.PDF()
		return page, pdf, err
	}
}

// saved reports whether the folder of a scenario holds its tables as they stand on
// the page.
func saved(sc *scenario.Scenario) bool {
	if sc.Dir == "" {
		return false
	}
	stored, err := reader().Load(sc.Dir)
	return err == nil && stored.Hash == sc.Hash
}

// readScenario reads the tables of a folder as they are: what is wrong in them
// is shown on the page, where it can be mended.
func readScenario(dir string) (name string, files map[string][]byte, err error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return "", nil, err
	}
	info, err := os.Stat(dir)
	switch {
	case err != nil:
		return "", nil, badInput(fmt.Errorf("%s cannot be read: %w", clean(dir), reasonOf(err)))
	case !info.IsDir():
		return "", nil, badInput(fmt.Errorf("%s is not a folder; name the folder that holds trip.csv", clean(dir)))
	}
	files = map[string][]byte{}
	for _, spec := range scenario.Specs() {
		data, err := readTable(filepath.Join(dir, spec.File))
		switch {
		case errors.Is(err, os.ErrNotExist):
		case err != nil:
			return "", nil, badInput(fmt.Errorf("%s cannot be read: %w", spec.File, reasonOf(err)))
		default:
			files[spec.File] = data
		}
	}
	if len(files) == 0 {
		return "", nil, badInput(fmt.Errorf("%s holds no table of a scenario; '%s new %s' writes an example", clean(dir), program, clean(dir)))
	}
	return report.Clean(filepath.Base(abs)), files, nil
}

// readTable reads a regular file of at most scenario.MaxFile bytes and one more.
func readTable(path string) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		return nil, errors.New("it is not a regular file; put the table there")
	}
	if info.Size() > scenario.MaxFile {
		return nil, fmt.Errorf("the file is larger than %d MiB; a scenario's table is far smaller", scenario.MaxFile>>20)
	}
	return os.ReadFile(path)
}
