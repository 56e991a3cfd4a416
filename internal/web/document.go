package web

import (
	"bytes"
	"fmt"
	"slices"
	"strings"

	"tripsim/internal/scenario"
)

// Limits of what is edited in a browser; far above any trip.
const (
	maxColumns = 100
	maxCell    = 20_000 // bytes
)

// sheet is a table as the page sees it: cells of text. From names the row of
// the table as it was read that a row descends from, -1 for a new one: what
// nobody touched goes back byte for byte, comments and quoting included.
type sheet struct {
	Columns []string   `json:"columns"`
	Rows    []sheetRow `json:"rows"`
}

type sheetRow struct {
	From  int      `json:"from"`
	Cells []string `json:"cells"`
}

// sheets are the tables of a document by file name.
type sheets map[string]*sheet

// document is a scenario in editing: as it was read, and as it stands now.
type document struct {
	name   string
	source int               // number of what was read; see sources
	base   scenario.Tables   // as read
	now    sheets            // as edited
	files  map[string][]byte // now, rendered
	rows   map[string][]int  // per file: parsed row -> row of now
	reader scenario.Reader   // finds positions by name
}

// openDocument takes the files of a scenario. It refuses files that cannot be
// read as tables, since editing would lose what could not be read; cells that
// are wrong can be mended on the page.
func openDocument(name string, files map[string][]byte) (*document, error) {
	base, problems := scenario.Parse(files)
	if len(problems) > 0 {
		return nil, problems
	}
	if len(base) == 0 {
		return nil, fmt.Errorf("holds no table of a scenario; put trip.csv, loads.csv and systems.csv there")
	}
	d := &document{name: name, base: base}
	now := sheets{}
	for file, t := range base {
		s := &sheet{Columns: t.Columns, Rows: make([]sheetRow, len(t.Rows))}
		for i := range t.Rows {
			s.Rows[i] = sheetRow{i, t.Rows[i].Cells}
		}
		now[file] = s
	}
	if err := d.set(now); err != nil {
		return nil, err
	}
	return d, nil
}

// edited returns the document with other cells.
func (d *document) edited(now sheets) (*document, error) {
	next := &document{name: d.name, source: d.source, base: d.base, reader: d.reader}
	if err := next.set(now); err != nil {
		return nil, err
	}
	return next, nil
}

func (d *document) set(now sheets) error {
	d.now, d.files, d.rows = sheets{}, map[string][]byte{}, map[string][]int{}
	for _, spec := range scenario.Specs() {
		s, base := now[spec.File], d.base[spec.File]
		if s == nil {
			s = &sheet{}
		}
		if err := s.check(spec); err != nil {
			return err
		}
		d.now[spec.File] = s
		if base == nil && len(s.Rows) == 0 && len(s.Columns) == 0 {
			continue
		}
		d.files[spec.File] = d.render(spec.File, s, base)
	}
	return nil
}

// check refuses what no page of ours sends.
func (s *sheet) check(spec *scenario.TableSpec) error {
	switch {
	case len(s.Columns) > maxColumns:
		return fmt.Errorf("%s: %d columns; at most %d are edited here", spec.File, len(s.Columns), maxColumns)
	case len(s.Rows) > spec.MaxRows:
		return fmt.Errorf("%s: the table has more than %d rows; split the job into several scenarios", spec.File, spec.MaxRows)
	case len(s.Rows) > 0 && len(s.Columns) == 0:
		return fmt.Errorf("%s: rows without columns", spec.File)
	}
	for i := range s.Rows {
		if n := len(s.Rows[i].Cells); n > maxColumns {
			return fmt.Errorf("%s: row %d has %d cells; at most %d are edited here", spec.File, i+1, n, maxColumns)
		}
	}
	for _, cells := range append([][]string{s.Columns}, cellsOf(s.Rows)...) {
		if slices.ContainsFunc(cells, func(c string) bool { return len(c) > maxCell || strings.ContainsRune(c, 0) }) {
			return fmt.Errorf("%s: a cell is too long or holds a NUL", spec.File)
		}
	}
	return nil
}

func cellsOf(rows []sheetRow) [][]string {
	out := make([][]string, len(rows))
	for i := range rows {
		out[i] = rows[i].Cells
	}
	return out
}

// render makes the file of a sheet: rows that descend from a row of the base
// keep its comments, and its very bytes where nothing changed.
func (d *document) render(file string, s *sheet, base *scenario.Table) []byte {
	t := &scenario.Table{File: file}
	if base != nil {
		copied := *base
		t = &copied
	}
	same := slices.Equal(t.Columns, s.Columns)
	t.Columns, t.Rows = s.Columns, nil
	used := map[int]bool{}
	var index []int
	for i := range s.Rows {
		var row scenario.Row
		width := len(s.Columns)
		if from := s.Rows[i].From; base != nil && from >= 0 && from < len(base.Rows) && !used[from] {
			used[from] = true
			row = base.Rows[from]
			if same {
				width = len(row.Cells)
			}
		}
		row.Cells = fitted(s.Rows[i].Cells, width)
		if vanishes(row.Cells) {
			continue
		}
		t.Rows = append(t.Rows, row)
		index = append(index, i)
	}
	d.rows[file] = index
	return t.Bytes()
}

// fitted makes a row at least so wide, and no wider than its last cell that is
// not blank asks for.
func fitted(cells []string, width int) []string {
	n := len(cells)
	for n > width && cells[n-1] == "" {
		n--
	}
	out := make([]string, max(n, width))
	copy(out, cells[:n])
	return out
}

// vanishes recognises a row that would be read as a comment.
func vanishes(cells []string) bool {
	return len(cells) > 0 && strings.HasPrefix(cells[0], "#") &&
		!slices.ContainsFunc(cells[1:], func(c string) bool { return strings.TrimSpace(c) != "" })
}

// read checks the document's files. Rows of the problems are those of the page.
func (d *document) read() (*scenario.Scenario, scenario.Problems) {
	sc, err := d.reader.FromFiles(d.name, d.files)
	if err == nil {
		return sc, nil
	}
	problems, ok := err.(scenario.Problems)
	if !ok {
		return nil, scenario.Problems{{Row: -1, Text: err.Error()}}
	}
	for i := range problems {
		p := &problems[i]
		if rows := d.rows[p.File]; p.Row >= 0 && p.Row < len(rows) {
			p.Row = rows[p.Row]
		}
	}
	return nil, problems
}

// changedFrom reports whether any file differs.
func (d *document) changedFrom(files map[string][]byte) bool {
	if len(files) != len(d.files) {
		return true
	}
	for name, data := range d.files {
		if old, ok := files[name]; !ok || !bytes.Equal(old, data) {
			return true
		}
	}
	return false
}
