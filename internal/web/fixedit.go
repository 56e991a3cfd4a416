package web

import (
	"fmt"
	"slices"
	"strings"

	"tripsim/internal/scenario"
)

// fixEdit writes a change that sim has tried for a system as edits of the
// tables that it was read from. The document itself stays as it is.
type fixEdit struct {
	doc *document
	sc  *scenario.Scenario // as read from doc
	at  int                // the system
	now sheets             // copies of what has been touched
}

// table is the copy of a table that is edited.
func (e *fixEdit) table(file string) *sheet {
	if t := e.now[file]; t != nil {
		return t
	}
	t := &sheet{Columns: slices.Clone(e.doc.now[file].Columns), Rows: slices.Clone(e.doc.now[file].Rows)}
	e.now[file] = t
	return t
}

// seen is a table as it stands, to read.
func (e *fixEdit) seen(file string) *sheet {
	if t := e.now[file]; t != nil {
		return t
	}
	return e.doc.now[file]
}

func columnOf(t *sheet, name string) int {
	return slices.IndexFunc(t.Columns, func(c string) bool { return strings.TrimSpace(c) == name })
}

func (e *fixEdit) cell(file string, row int, name string) string {
	t := e.seen(file)
	j := columnOf(t, name)
	if j < 0 || j >= len(t.Rows[row].Cells) {
		return ""
	}
	return strings.TrimSpace(t.Rows[row].Cells[j])
}

// rows lists the rows that are read, in order: not the blank ones.
func (e *fixEdit) rows(file string) (out []int) {
	t := e.seen(file)
	for i := range t.Rows {
		blank := !slices.ContainsFunc(t.Rows[i].Cells, func(c string) bool { return strings.TrimSpace(c) != "" })
		if !blank && !vanishes(t.Rows[i].Cells) {
			out = append(out, i)
		}
	}
	return out
}

// own lists the rows of the system.
func (e *fixEdit) own(file string) (out []int) {
	for _, i := range e.rows(file) {
		if strings.EqualFold(e.cell(file, i, "system"), e.sc.Systems[e.at].Name) {
			out = append(out, i)
		}
	}
	return out
}

// free finds a name that no row of the system has yet.
func (e *fixEdit) free(file, column, name string) string {
	taken := func(s string) bool {
		return slices.ContainsFunc(e.own(file), func(i int) bool { return strings.EqualFold(e.cell(file, i, column), s) })
	}
	try := name
	for n := 2; taken(try); n++ {
		try = fmt.Sprintf("%s %d", name, n)
	}
	return try
}

// insert adds a row of the system below its others.
func (e *fixEdit) insert(file string) int {
	t, at := e.table(file), len(e.seen(file).Rows)
	if own := e.own(file); len(own) > 0 {
		at = own[len(own)-1] + 1
	}
	t.Rows = slices.Insert(t.Rows, at, sheetRow{From: -1})
	e.write(file, at, "system", e.sc.Systems[e.at].Name)
	return at
}

// write puts a cell; a column that is not there yet comes where the schema has it.
func (e *fixEdit) write(file string, row int, name, cell string) {
	t := e.table(file)
	j := columnOf(t, name)
	if j < 0 {
		j = e.addColumn(file, t, name)
	}
	cells := slices.Clone(t.Rows[row].Cells)
	for len(cells) <= j {
		cells = append(cells, "")
	}
	cells[j] = cell
	t.Rows[row].Cells = cells
}

func (e *fixEdit) addColumn(file string, t *sheet, name string) int {
	var order []string
	for _, spec := range scenario.Specs() {
		if spec.File == file {
			order = spec.Names()
		}
	}
	j := 0
	for k, c := range t.Columns {
		if slices.Index(order, strings.TrimSpace(c)) < slices.Index(order, name) && slices.Contains(order, strings.TrimSpace(c)) {
			j = k + 1
		}
	}
	t.Columns = slices.Insert(t.Columns, j, name)
	for i := range t.Rows {
		if cells := t.Rows[i].Cells; len(cells) > j {
			t.Rows[i].Cells = slices.Insert(slices.Clone(cells), j, "")
		}
	}
	return j
}
