package quote

import (
	"slices"
	"strings"
	"unicode"

	"tripsim/internal/chart"
	"tripsim/internal/report"
)

// Document is a finished quote without its looks.
type Document struct {
	Language string // BCP 47, of the texts
	Title    string
	Kind     string // what sort of document it is
	Business Text
	Contact  Text
	Logo     *Logo
	Facts    []Fact // who, what, when
	Running  Text   // in the foot of every page: reference and date
	Sections []Section
	Colophon []Text // last lines: how it was made
	Paper    Paper
	Stamp    Stamp
}

// Section is a numbered part of the document. Number 0 is not numbered.
type Section struct {
	ID     string
	Number int
	Title  string
	Blocks []Block
}

// Contents lists the numbered sections.
func (d *Document) Contents() []Section {
	var out []Section
	for _, s := range d.Sections {
		if s.Number > 0 {
			out = append(out, s)
		}
	}
	return out
}

// Block is one of Paragraph, List, Facts, Callout, Figures, Table and Picture.
type Block interface{ block() }

// Paragraph is running text.
type Paragraph struct {
	Text Text
	Kind ParagraphKind
}

// ParagraphKind says how much weight a paragraph carries.
type ParagraphKind int

// The kinds of paragraph.
const (
	Body ParagraphKind = iota
	Lead               // opens a section
	Note               // small print under a table or picture
	Head               // a heading within a section
)

// List is a list with signs or numbers.
type List struct {
	Items    []Text
	Numbered bool
	Mark     report.Mark
}

// Facts are pairs of a label and a value.
type Facts struct{ Facts []Fact }

// Fact is a label and its value.
type Fact struct {
	Label string
	Value Text
}

// Callout is a box with the answer.
type Callout struct {
	Label string
	Title Text
	Texts []Text
	Mark  report.Mark
}

// Figures are a few large numbers side by side.
type Figures struct{ Figures []BigNumber }

// BigNumber is a number with what it says.
type BigNumber struct {
	Value string
	Label string
	Note  string
}

// Picture is a drawing with its caption.
type Picture struct {
	Number  int
	Caption Text
	Drawing *chart.Picture
}

// Table is a table. Its first column names the row.
type Table struct {
	Caption Text
	Columns []Column
	Rows    []Row
	Notes   []Text
	// Best is the index of the column to mark as recommended; 0 = none.
	Best  int
	Dense bool // many rows, set smaller
	Even  bool // all columns but the first are equally wide
}

// Column is the head of a column.
type Column struct {
	Head    Text
	Badge   string // above the head, e.g. "recommended"
	Numbers bool   // cells stand to the right
}

// RowKind sorts the rows of a table.
type RowKind int

// The kinds of row.
const (
	PlainRow RowKind = iota
	GroupRow         // one cell over the whole width
	TotalRow         // under a line
	StrongRow
)

// Row is one row of a table.
type Row struct {
	Kind  RowKind
	Mark  report.Mark
	Cells []Text
}

func (Paragraph) block() {}
func (List) block()      {}
func (Facts) block()     {}
func (Callout) block()   {}
func (Figures) block()   {}
func (Picture) block()   {}
func (*Table) block()    {}

// Text is a run of pieces.
type Text []Span

// Span is a piece of text in one style. Name marks what a person wrote.
type Span struct {
	S            string
	Name, Strong bool
}

// Pieces are the text of a span with places between them where a word longer
// than any line may be broken.
func (s Span) Pieces() []string {
	const longest = 24 // letters
	var out []string
	from, n := 0, 0
	for i, r := range s.S {
		if r == ' ' {
			n = 0
			continue
		}
		if n++; n > longest && !unicode.Is(unicode.M, r) {
			out = append(out, s.S[from:i])
			from, n = i, 1
		}
	}
	return append(out, s.S[from:])
}

// String is the text without its styles.
func (t Text) String() string {
	var b strings.Builder
	for _, s := range t {
		b.WriteString(s.S)
	}
	return b.String()
}

// plain is a text of this program in one piece.
func plain(s string) Text {
	if s == "" {
		return nil
	}
	return Text{{S: report.Tied(s)}}
}

// strong sets a text in bold.
func strong(t Text) Text {
	out := make(Text, len(t))
	for i, s := range t {
		s.Strong = true
		out[i] = s
	}
	return out
}

// nameMost is how much of a name running text shows, terminal columns.
const nameMost = 60

// name is what a person wrote, whole.
func name(s string) Text {
	s = report.Clean(s)
	if s == "" {
		return nil
	}
	return Text{{S: s, Name: true}}
}

// shortName is a name as it stands in running text.
func shortName(s string) Text { return name(report.Short(report.Clean(s), nameMost)) }

// say puts finished pieces (string, Text) in the places of %s in a text.
func say(text string, args ...any) Text {
	var out Text
	for i, piece := range strings.Split(text, "%s") {
		if i > 0 {
			switch a := args[i-1].(type) {
			case string:
				out = out.add(Span{S: report.Tied(a)})
			case Text:
				for _, s := range a {
					out = out.add(s)
				}
			default:
				panic("quote: say takes strings and texts only")
			}
		}
		out = out.add(Span{S: report.Tied(strings.ReplaceAll(piece, "%%", "%"))})
	}
	if n := strings.Count(text, "%s"); n != len(args) {
		panic("quote: number of pieces does not fit the text: " + text)
	}
	return out
}

// add appends a piece, joined to the last one when the style is the same.
func (t Text) add(s Span) Text {
	if s.S == "" {
		return t
	}
	if n := len(t); n > 0 && !s.Name && !t[n-1].Name && t[n-1].Strong == s.Strong {
		t = append(Text(nil), t...)
		t[n-1].S += s.S
		return t
	}
	return append(t[:len(t):len(t)], s)
}

// join puts texts in a row, with a separator between them.
func join(texts []Text, separator string) Text {
	var out Text
	for i, t := range texts {
		if i > 0 {
			out = out.add(Span{S: separator})
		}
		for _, s := range t {
			out = out.add(s)
		}
	}
	return out
}

// sentences puts texts in a row with a space between them; blank ones are left out.
func sentences(texts ...Text) Text {
	return join(slices.DeleteFunc(slices.Clone(texts), func(t Text) bool { return len(t) == 0 }), " ")
}
