package report

import (
	"slices"
	"strings"
)

// Table is what a command prints: the same rows serve the terminal (Render),
// spreadsheets (CSV) and programs (JSON).
type Table struct {
	Title   string
	Columns []Column
	Rows    []Row
	Total   *Row     // printed under a line; left out of CSV and JSON
	Notes   []string // footnotes, below the legend; left out of CSV and JSON
	// Elsewhere says what has the columns that a narrow terminal lacks; "" = CSV.
	Elsewhere string
}

// Column is one column of a table.
type Column struct {
	Key      string // for machines: snake_case with the unit, e.g. solar_wh
	Head     string // for people; blank = left out on a terminal
	Doc      string // one sentence, with unit
	Decimals int    // of numbers on the terminal
	Percent  bool   // number is 0..100 and shown with its sign
	Wrap     bool   // text that may be broken over several lines
	// Legend explains the column in a note, where it is shown; what several columns
	// have in common is said once.
	Legend []string
	// Drop says which columns go first on a narrow terminal: those with the
	// highest number; 0 = as long as anything else can go. Columns with 4 and
	// more are extras: they go before wrapped columns give way.
	Drop int
}

// softHyphen is where a head may be broken.
const softHyphen = "\u00ad"

// broken is the head with its soft hyphens as breaks.
func (c *Column) broken() string { return strings.ReplaceAll(c.Head, softHyphen, "- ") }

// Row is one row of a table.
type Row struct {
	Cells []Cell
	Mark  Mark
}

// Cell is a text, a number or nothing. Show, if given, is what the terminal
// prints instead.
type Cell struct {
	text   string
	number float64
	kind   cellKind
	Show   string
}

type cellKind int

const (
	blankCell cellKind = iota
	textCell
	numberCell
	flagCell
)

// Text is a cell of text that a person or this program wrote.
func Text(s string) Cell { return Cell{text: s, kind: textCell} }

// Number is a cell with a number; NaN leaves it blank.
func Number(x float64) Cell {
	if x != x {
		return Cell{}
	}
	return Cell{number: x, kind: numberCell}
}

// Yes is a cell that is yes or no.
func Yes(yes bool) Cell {
	c := Cell{kind: flagCell, text: "no"}
	if yes {
		c.text, c.number = "yes", 1
	}
	return c
}

// Shown gives the cell another face on the terminal.
func (c Cell) Shown(s string) Cell {
	c.Show = s
	return c
}

// Mark says how a row stands out: by a sign in front of it and, where there is
// colour, by colour as well.
type Mark int

// The marks.
const (
	NoMark   Mark = iota
	BadMark       // runs flat, fails
	WarnMark      // needs a look
	GoodMark      // recommended
)

func (m Mark) sign() string { return [...]string{" ", "!", "?", ">"}[m] }

func (m Mark) colour() string {
	return [...]string{"", "\x1b[1;31m", "\x1b[33m", "\x1b[1;32m"}[m]
}

const (
	bold     = "\x1b[1m"
	noColour = "\x1b[0m"
)

// Screen is what a text is laid out for.
type Screen struct {
	Width  int  // terminal columns; 0 = 80
	Colour bool // colour on top of signs and words
	Format Format
}

func (s Screen) width() int {
	if s.Width <= 0 {
		return 80
	}
	return max(s.Width, 30)
}

// paint colours a whole piece of text when there is colour.
func (s Screen) paint(colour, text string) string {
	if !s.Colour || colour == "" || text == "" {
		return text
	}
	return colour + text + noColour
}

// Paragraph lays out running text, with a hanging indent.
func (s Screen) Paragraph(first, rest, text string) string {
	var b strings.Builder
	lead := first
	for _, line := range wrap(Tied(text), min(s.width(), longestLine)-max(Width(first), Width(rest))) {
		b.WriteString(plainSpaces.Replace(strings.TrimRight(lead+line, " ")) + "\n")
		lead = rest
	}
	return b.String()
}

// Heading is a line that stands out.
func (s Screen) Heading(text string) string {
	var b strings.Builder
	for _, line := range wrap(Tied(Clean(text)), s.width()) {
		b.WriteString(s.paint(bold, plainSpaces.Replace(line)) + "\n")
	}
	return b.String()
}

// Render lays the table out for a terminal.
func (t *Table) Render(s Screen) string {
	var b strings.Builder
	if t.Title != "" {
		b.WriteString(s.Heading(t.Title))
	}
	columns, gap, dropped := t.layout(s)
	b.WriteString(t.renderHead(s, columns, gap))
	for i := range t.Rows {
		b.WriteString(t.renderRow(s, columns, gap, &t.Rows[i]))
	}
	if t.Total != nil {
		n := gutter - gap
		for _, c := range columns {
			n += c.width + gap
		}
		b.WriteString(strings.Repeat("-", n) + "\n")
		b.WriteString(t.renderRow(s, columns, gap, t.Total))
	}
	if legend := t.legend(columns); legend != "" {
		b.WriteString(s.Paragraph("  ", "  ", legend))
	}
	for _, note := range t.Notes {
		b.WriteString(s.Paragraph("  ", "  ", note))
	}
	if len(dropped) > 0 {
		b.WriteString(s.Paragraph("  ", "  ", t.hidden(dropped, s.Format)))
	}
	return b.String()
}

// explain gives the column of a key its legend.
func (t *Table) explain(key string, legend ...string) {
	for i := range t.Columns {
		if t.Columns[i].Key == key {
			t.Columns[i].Legend = legend
		}
	}
}

// legend explains the columns that are shown; "" without anything to explain.
func (t *Table) legend(shown []placed) string {
	var parts []string
	for _, c := range shown {
		for _, part := range t.Columns[c.index].Legend {
			if !slices.Contains(parts, part) {
				parts = append(parts, part)
			}
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return strings.Join(parts, "; ") + "."
}

// hidden names the columns that are left out, and where they are.
func (t *Table) hidden(dropped []int, f Format) string {
	slices.Sort(dropped)
	var heads []string
	for _, i := range dropped {
		heads = append(heads, strings.NewReplacer(" ", "\u00a0", softHyphen, "").Replace(t.Columns[i].Head))
	}
	where := t.Elsewhere
	if where == "" {
		where = textInCSV
	}
	return f.Text(textHidden, strings.Join(heads, ", "), where)
}

// isNumber reports whether a column holds numbers, which stand to the right.
func (t *Table) isNumber(i int) bool {
	for r := range t.Rows {
		if i < len(t.Rows[r].Cells) {
			switch t.Rows[r].Cells[i].kind {
			case numberCell:
				return true
			case textCell:
				return false
			}
		}
	}
	return false
}

// isNought reports whether a cell is a number that is nothing.
func (t *Table) isNought(row, i int) bool {
	cells := t.Rows[row].Cells
	return i >= len(cells) || cells[i].kind == blankCell || cells[i].kind == numberCell && cells[i].number == 0
}

// show is the text of a cell on the terminal.
func (t *Table) show(s Screen, row *Row, i int) string {
	if i >= len(row.Cells) {
		return ""
	}
	c := &row.Cells[i]
	switch {
	case c.Show != "":
		return isolated(c.Show)
	case c.kind == numberCell && t.Columns[i].Percent:
		return s.Format.Percent(c.number / 100)
	case c.kind == numberCell:
		return s.Format.Number(c.number, t.Columns[i].Decimals)
	}
	return isolated(Clean(c.text))
}

func (t *Table) renderHead(s Screen, columns []placed, gap int) string {
	heads := make([][]string, len(columns))
	lines := 0
	for i, c := range columns {
		heads[i] = wrap(t.Columns[c.index].broken(), c.width)
		lines = max(lines, len(heads[i]))
	}
	var b strings.Builder
	for n := range lines {
		line := strings.Repeat(" ", gutter)
		for i, c := range columns {
			text := ""
			if at := n - (lines - len(heads[i])); at >= 0 { // heads stand on the rows
				text = heads[i][at]
			}
			line += pad(text, c.width, gap, c.number)
		}
		b.WriteString(s.paint(bold, plainSpaces.Replace(strings.TrimRight(line, " "))) + "\n")
	}
	return b.String()
}

func (t *Table) renderRow(s Screen, columns []placed, gap int, row *Row) string {
	cells := make([][]string, len(columns))
	lines := 1
	for i, c := range columns {
		text := t.show(s, row, c.index)
		if Width(text) <= c.width {
			cells[i] = []string{text}
			continue
		}
		cells[i] = wrap(text, c.width)
		if len(cells[i]) > maxRowLines {
			cells[i] = cells[i][:maxRowLines]
			cells[i][maxRowLines-1] = strings.TrimSuffix(Short(cells[i][maxRowLines-1], c.width-1), "…") + "…"
		}
		lines = max(lines, len(cells[i]))
	}
	var b strings.Builder
	for n := range lines {
		line := strings.Repeat(" ", gutter)
		if n == 0 {
			line = pad(row.Mark.sign(), gutter, 0, false)
		}
		for i, c := range columns {
			text := ""
			if n < len(cells[i]) {
				text = cells[i][n]
			}
			line += pad(text, c.width, gap, c.number)
		}
		line = plainSpaces.Replace(strings.TrimRight(line, " "))
		b.WriteString(s.paint(row.Mark.colour(), line) + "\n")
	}
	return b.String()
}

// pad fills text to a column's width, with the gap behind it.
func pad(text string, columns, gap int, right bool) string {
	fill := strings.Repeat(" ", max(0, columns-Width(text)))
	if right {
		text = fill + text
	} else {
		text += fill
	}
	return text + strings.Repeat(" ", gap)
}
