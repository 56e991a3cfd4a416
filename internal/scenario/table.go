package scenario

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Table is one CSV file as cells of text. What Parse read and nobody changed
// is rendered byte for byte as it was, comments and quoting included.
type Table struct {
	File      string   `json:"file"`
	Columns   []string `json:"columns"`
	Rows      []Row    `json:"rows"`
	Head      string   `json:"head,omitempty"` // comment and blank lines above the header
	Tail      string   `json:"tail,omitempty"` // and below the last row
	Semicolon bool     `json:"semicolon,omitempty"`
	CRLF      bool     `json:"crlf,omitempty"`
	BOM       bool     `json:"bom,omitempty"` // starts with a UTF-8 byte-order mark

	header  Row      // as read
	named   []string // the columns as Parse named them
	refused bool     // unreadable or too long: its rows are not looked at
}

// Row is one record of a table.
type Row struct {
	Cells  []string `json:"cells"`
	Before string   `json:"before,omitempty"` // comment and blank lines above the row

	read string   // the record as it stood in the file, line end included
	was  []string // the cells as read
	line int      // of the first cell
	cols []int    // byte columns of the cells
}

// Cell returns the text of column j, "" beyond the end of a short row.
func (r *Row) Cell(j int) string {
	if j < 0 || j >= len(r.Cells) {
		return ""
	}
	return r.Cells[j]
}

func (r *Row) blank() bool {
	return !slices.ContainsFunc(r.Cells, func(s string) bool { return trim(s) != "" })
}

// trim removes blanks, no-break spaces included, at both ends.
func trim(s string) string { return strings.TrimSpace(s) }

// ParseTable reads one table; file is its name and only labels the problems.
// It keeps what it could read when there are problems.
func ParseTable(file string, data []byte, maxRows int) (*Table, Problems) {
	t := &Table{File: file}
	if p := refuse(file, data); p != nil {
		t.refused = true
		return t, Problems{*p}
	}
	body, bom := bytes.CutPrefix(data, []byte("\ufeff"))
	t.BOM = bom
	t.CRLF = bytes.Contains(body, []byte("\r\n"))
	t.Semicolon = sniffSemicolon(body)
	return t, t.readRecords(body, maxRows)
}

// refuse finds what makes a file unreadable as a table at all.
func refuse(file string, data []byte) *Problem {
	fail := func(line int, text string) *Problem {
		return &Problem{File: file, Line: line, Row: -1, Text: text}
	}
	lineOf := func(offset int) int { return bytes.Count(data[:offset], []byte("\n")) + 1 }
	switch {
	case len(data) > MaxFile:
		return fail(0, fmt.Sprintf("the file is larger than %d MiB; a scenario's table is far smaller", MaxFile>>20))
	case bytes.HasPrefix(data, []byte{0xff, 0xfe}) || bytes.HasPrefix(data, []byte{0xfe, 0xff}):
		return fail(1, "the file is saved as UTF-16; save it as CSV in UTF-8")
	case bytes.HasPrefix(data, []byte("PK\x03\x04")):
		return fail(1, "the file is a spreadsheet or zip; save the sheet as CSV")
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return fail(lineOf(i), "the file holds a NUL byte; save it as CSV in UTF-8")
	}
	if !utf8.Valid(data) {
		i := 0
		for {
			r, n := utf8.DecodeRune(data[i:])
			if r == utf8.RuneError && n <= 1 {
				break
			}
			i += n
		}
		return fail(lineOf(i), "the text is not UTF-8 but perhaps Latin-1 (code page 1252), which many spreadsheets write as plain CSV; save it as CSV in UTF-8")
	}
	if header, line := headerLine(data); bytes.ContainsRune(header, '\t') && !bytes.ContainsAny(header, ",;") {
		return fail(line, "cells are separated by tabs; save the table with commas or semicolons")
	}
	if bytes.IndexByte(data, '\r') >= 0 && bytes.IndexByte(data, '\n') < 0 {
		return fail(1, "lines end in bare carriage returns; save the file with LF or CRLF line ends")
	}
	return nil
}

// headerLine finds the first line that is neither blank nor a comment, and its
// number.
func headerLine(body []byte) (header []byte, number int) {
	for line := range bytes.Lines(body) {
		number++
		line = bytes.TrimSpace(line)
		if len(line) > 0 && !bytes.HasPrefix(bytes.TrimLeft(line, `"`), []byte("#")) {
			return line, number
		}
	}
	return nil, number
}

// sniffSemicolon looks in the header for the separator that stands there more
// often outside quotes.
func sniffSemicolon(body []byte) bool {
	header, _ := headerLine(body)
	commas, semicolons, quoted := 0, 0, false
	for _, c := range header {
		switch {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == ',':
			commas++
		case c == ';':
			semicolons++
		}
	}
	return semicolons > commas
}

func (t *Table) comma() rune {
	if t.Semicolon {
		return ';'
	}
	return ','
}

func (t *Table) eol() string {
	if t.CRLF {
		return "\r\n"
	}
	return "\n"
}

func (t *Table) readRecords(body []byte, maxRows int) Problems {
	starts := lineStarts(body)
	cr := csv.NewReader(bytes.NewReader(body))
	cr.Comma, cr.Comment, cr.FieldsPerRecord = t.comma(), '#', -1
	from, pending := 0, 0 // pending: where the comments above the record begin
	var problems Problems
	for len(problems) < maxProblems {
		cells, err := cr.Read()
		if errors.Is(err, io.EOF) {
			t.Tail = string(body[pending:])
			break
		}
		if err != nil { // go on in the next line; the text stays in Before or Tail
			problems = append(problems, t.syntaxProblem(err))
			continue
		}
		end := int(cr.InputOffset())
		line, _ := cr.FieldPos(0)
		from = starts[line-1]
		r := Row{
			Cells: cells, was: slices.Clone(cells), line: line, cols: make([]int, len(cells)),
			Before: string(body[pending:from]), read: string(body[from:end]),
		}
		for j := range cells {
			_, r.cols[j] = cr.FieldPos(j)
		}
		if quotedComment(cells) {
			continue
		}
		pending = end
		if t.Columns == nil {
			t.Columns, t.named, t.Head, t.header = slices.Clone(cells), cells, r.Before, r
			continue
		}
		if len(t.Rows) == maxRows {
			t.refused = true
			t.Tail = string(body[end-len(r.read)-len(r.Before):])
			return append(problems, Problem{
				File: t.File, Line: line, Row: -1,
				Text: fmt.Sprintf("the table has more than %d rows; split the job into several scenarios", maxRows),
			})
		}
		t.Rows = append(t.Rows, r)
	}
	if t.Columns == nil && len(problems) == 0 {
		t.refused = true
		return Problems{{File: t.File, Line: 1, Row: -1, Text: "the table is empty; its first line names the columns"}}
	}
	return problems
}

// quotedComment recognises a comment line that a spreadsheet has put in quotes.
func quotedComment(cells []string) bool {
	return strings.HasPrefix(cells[0], "#") &&
		!slices.ContainsFunc(cells[1:], func(s string) bool { return trim(s) != "" })
}

func lineStarts(b []byte) []int {
	starts := []int{0}
	for i, c := range b {
		if c == '\n' {
			starts = append(starts, i+1)
		}
	}
	return starts
}

func (t *Table) syntaxProblem(err error) Problem {
	p := Problem{File: t.File, Row: -1, Text: err.Error()}
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		p.Line, p.Col = pe.StartLine, pe.Column
		if pe.Line != pe.StartLine {
			p.Col = 0
		}
		switch {
		case errors.Is(pe.Err, csv.ErrBareQuote):
			p.Text = `a quotation mark inside a cell; put the whole cell in quotes and double the mark: "5"" pipe"`
		case errors.Is(pe.Err, csv.ErrQuote):
			p.Text = `a quoted cell is not closed, or text follows its closing quotation mark`
		default:
			p.Text = pe.Err.Error()
		}
	}
	return p
}

// Bytes renders the table as CSV.
func (t *Table) Bytes() []byte {
	var b bytes.Buffer
	if t.BOM {
		b.WriteString("\ufeff")
	}
	write := func(s string) {
		if n := b.Len(); s != "" && n > 0 && b.Bytes()[n-1] != '\n' && !(t.BOM && n == 3) {
			b.WriteString(t.eol())
		}
		b.WriteString(s)
	}
	write(t.Head)
	if t.header.read != "" && slices.Equal(t.Columns, t.named) {
		write(t.header.read)
	} else if len(t.Columns) > 0 {
		write(t.record(t.Columns))
	}
	for i := range t.Rows {
		r := &t.Rows[i]
		write(r.Before)
		if r.read != "" && slices.Equal(r.Cells, r.was) {
			write(r.read)
		} else {
			write(t.record(r.Cells))
		}
	}
	write(t.Tail)
	return b.Bytes()
}

// record writes one record, quoting only what needs it.
func (t *Table) record(cells []string) string {
	var b strings.Builder
	for j, s := range cells {
		if j > 0 {
			b.WriteRune(t.comma())
		}
		if strings.ContainsAny(s, "\"\r\n"+string(t.comma())) || j == 0 && (strings.HasPrefix(s, "#") || s == "" && len(cells) == 1) {
			s = `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
		}
		b.WriteString(s)
	}
	b.WriteString(t.eol())
	return b.String()
}

// nameColumns gives the columns their names in the schema, whatever the case and
// the blanks around them in the file.
func (t *Table) nameColumns(spec *TableSpec) {
	for j, raw := range t.Columns {
		name := trim(raw)
		for i := range spec.Columns {
			if known := spec.Columns[i].Name; strings.EqualFold(known, name) {
				t.Columns[j] = known
			}
		}
	}
	t.named = slices.Clone(t.Columns)
}

// Number reads a number as the cells of the table are read: the decimal point
// may be a comma where semicolons separate the cells.
func (t *Table) Number(text string) (value float64, ok bool) {
	s := trim(text)
	if t.Semicolon && strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	if !plainNumber.MatchString(s) {
		return math.NaN(), false
	}
	value, err := strconv.ParseFloat(s, 64) // infinite when it is too large
	return value + 0, err == nil            // no negative zero
}

// Column returns the index of a column, -1 if the table has none of that name.
func (t *Table) Column(name string) int {
	return slices.IndexFunc(t.Columns, func(c string) bool { return trim(c) == name })
}

// Tables are the tables of a folder; a file that is not there is absent.
type Tables map[string]*Table

// Parse reads the tables among files (by name); other names are ignored.
func Parse(files map[string][]byte) (Tables, Problems) {
	tables := Tables{}
	var problems Problems
	for _, s := range Specs() {
		data, ok := files[s.File]
		if !ok {
			continue
		}
		t, ps := ParseTable(s.File, data, s.MaxRows)
		t.nameColumns(s)
		tables[s.File] = t
		problems = append(problems, ps...)
	}
	return tables, problems
}

// Files renders the tables, by name.
func (ts Tables) Files() map[string][]byte {
	files := make(map[string][]byte, len(ts))
	for name, t := range ts {
		files[name] = t.Bytes()
	}
	return files
}
