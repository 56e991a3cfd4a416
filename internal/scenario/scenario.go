package scenario

import (
	"crypto/sha256"
	"encoding/csv"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tripsim/internal/sim"
)

// Scenario is a checked scenario folder.
type Scenario struct {
	Name     string // of the folder
	Dir      string // "" when not from the file system
	Trip     sim.Trip
	Loads    []sim.Load
	Systems  []sim.System
	Job      Job
	Hash     string   // of what the tables say, 12 hexadecimal digits
	Warnings []string // what is probably a mistake, but can be run
	Sources  []string // attributions of the data that filled blank cells
	Tables   Tables   // the text, for editing

	reader Reader
}

// Load reads and checks the scenario in a directory. The error is of type
// Problems and lists everything that is wrong in the folder.
func Load(dir string) (*Scenario, error) { return Reader{}.Load(dir) }

// Load reads and checks the scenario in a directory, as the function does.
func (rd Reader) Load(dir string) (*Scenario, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		abs = dir
	}
	s, err := rd.LoadFS(os.DirFS(dir), filepath.Base(abs))
	if s != nil {
		s.Dir = dir
	}
	return s, err
}

// LoadFS reads and checks the scenario at the root of a file system.
func LoadFS(fsys fs.FS, name string) (*Scenario, error) { return Reader{}.LoadFS(fsys, name) }

// LoadFS reads and checks the scenario at the root of a file system.
func (rd Reader) LoadFS(fsys fs.FS, name string) (*Scenario, error) {
	files, notes, problems := readFiles(fsys)
	s, err := rd.FromFiles(name, files, problems...)
	if s != nil {
		s.Warnings = append(notes, s.Warnings...)
	}
	return s, err
}

// FromFiles checks a scenario given as CSV files by name. The scenario is nil
// when there is an error, which is of type Problems; earlier are problems found
// before, to be reported with the rest.
func FromFiles(name string, files map[string][]byte, earlier ...Problem) (*Scenario, error) {
	return Reader{}.FromFiles(name, files, earlier...)
}

// FromFiles checks a scenario given as CSV files by name, as the function does.
func (rd Reader) FromFiles(name string, files map[string][]byte, earlier ...Problem) (*Scenario, error) {
	tables, problems := Parse(files)
	return rd.build(name, tables, append(problems, earlier...))
}

// Changed is the scenario with other tables, read as it was read itself.
func (s *Scenario) Changed(tables Tables) (*Scenario, error) {
	return s.reader.FromFiles(s.Name, tables.Files())
}

// readFiles reads the tables of a folder. Its notes are about files that look
// like a table with a wrong name.
func readFiles(fsys fs.FS) (files map[string][]byte, notes []string, problems Problems) {
	files = map[string][]byte{}
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return files, nil, Problems{{File: "folder", Row: -1, Text: "cannot be read: " + reason(err)}}
	}
	for _, spec := range Specs() {
		data, err := readLimited(fsys, spec.File)
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			problems = append(problems, Problem{File: spec.File, Row: -1, Text: "cannot be read: " + reason(err)})
		default:
			files[spec.File] = data
		}
	}
	for _, e := range entries {
		if known := similarFile(e.Name()); known != "" && files[known] == nil {
			notes = append(notes, fmt.Sprintf("%s: is not read; did you mean %s?", e.Name(), known))
		}
	}
	return files, notes, problems
}

// readLimited reads a file up to one byte more than is accepted, so that a
// huge or endless one costs nothing.
func readLimited(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil {
		return nil, err
	} else if !info.Mode().IsRegular() {
		return nil, errors.New("it is not a regular file; put the table there")
	}
	return io.ReadAll(io.LimitReader(f, MaxFile+1))
}

// reason is the innermost cause of a file error, without paths.
func reason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}

// similarFile finds the table that a file of another name was meant to be.
func similarFile(name string) string {
	var known []string
	for _, s := range Specs() {
		if s.File == name {
			return ""
		}
		known = append(known, s.File)
	}
	if !strings.HasSuffix(strings.ToLower(name), ".csv") {
		return ""
	}
	base := strings.TrimSuffix(strings.ToLower(name), ".csv")
	for i := range known {
		known[i] = strings.TrimSuffix(known[i], ".csv")
	}
	if n := nearest(base, known); n != "" {
		return n + ".csv"
	}
	return ""
}

// build checks the tables and makes the scenario of them.
func (rd Reader) build(name string, ts Tables, problems Problems) (*Scenario, error) {
	k := &checker{problems: problems, places: rd.Places}
	unread := func(file string) bool {
		return slices.ContainsFunc(problems, func(p Problem) bool { return p.File == file })
	}
	k.strayStops = unread(tripSpec.File)
	k.straySystems = unread(systemsSpec.File)
	k.strayUnits = k.straySystems || unread(chargersSpec.File) || ts[chargersSpec.File].misses(&chargersSpec)
	for _, spec := range Specs() {
		if ts[spec.File] == nil && spec.Required && !unread(spec.File) {
			k.problems = append(k.problems, Problem{
				File: spec.File, Row: -1,
				Text: "is missing; a scenario needs " + spec.File + " with " + spec.Row + " per row (tripsim new writes an example)",
			})
		}
	}
	s := &Scenario{Name: name, Tables: ts, reader: rd}
	rows := bind[tripRow](k, ts["trip.csv"], &tripSpec)
	s.Trip = k.trip(rows)
	s.Trip.Name = name
	k.checkTrip(rows, &s.Trip)
	loads := bind[loadRow](k, ts["loads.csv"], &loadsSpec)
	s.Loads = k.loads(loads)
	s.Systems = k.systems(bind[systemRow](k, ts["systems.csv"], &systemsSpec),
		bind[chargerRow](k, ts["chargers.csv"], &chargersSpec), bind[panelRow](k, ts["panels.csv"], &panelsSpec))
	s.Job = k.job(bind[jobRow](k, ts["job.csv"], &jobSpec), name)
	k.checkNotEmpty(ts, &tripSpec, len(s.Trip.Stops))
	k.checkNotEmpty(ts, &systemsSpec, len(s.Systems))
	if len(k.problems) > 0 {
		return nil, k.problems.sorted().orNil()
	}
	k.checkOutlets(&s.Trip, s.Loads, s.Systems)
	k.checkSources(s.Systems)
	k.checkNeverRuns(&s.Trip, loads, s.Loads, s.Systems)
	k.checkRepeatedDrives(rows, &s.Trip)
	s.Warnings = k.warnings
	if k.zonesFound {
		s.Sources = []string{ZoneSource}
	}
	if len(k.taken) > 0 {
		s.Sources = append(s.Sources, rd.Places.Source)
	}
	s.Hash = ts.hash()
	return s, nil
}

// checkNotEmpty finds a table with a header and nothing below it.
func (k *checker) checkNotEmpty(ts Tables, spec *TableSpec, rows int) {
	t := ts[spec.File]
	if t == nil || t.refused || rows > 0 || slices.ContainsFunc(k.problems, func(p Problem) bool { return p.File == spec.File }) {
		return
	}
	k.report(&cell{at: position{table: t, row: -1, line: t.header.line}}, "has no row below the header; a scenario needs at least %s", spec.Row)
}

// hash digests what the tables say: columns in the order of the schema, cells
// trimmed, blank rows and columns, comments, separators and line ends left out.
func (ts Tables) hash() string {
	h := sha256.New()
	for _, spec := range Specs() {
		t := ts[spec.File]
		if t == nil {
			continue
		}
		var columns []string
		var at []int
		for _, name := range spec.Names() {
			if j := t.Column(name); j >= 0 && t.columnUsed(j) {
				columns, at = append(columns, name), append(at, j)
			}
		}
		fmt.Fprintf(h, "%s\n", spec.File)
		w := csv.NewWriter(h)
		_ = w.Write(columns) // a hash takes everything
		for i := range t.Rows {
			if t.Rows[i].blank() {
				continue
			}
			cells := make([]string, len(at))
			for c, j := range at {
				cells[c] = trim(t.Rows[i].Cell(j))
			}
			_ = w.Write(cells)
		}
		w.Flush()
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}
