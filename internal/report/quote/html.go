package quote

import (
	"bytes"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"strings"
	"unicode"

	"tripsim/internal/report"
)

//go:embed quote.gohtml
var pageText string

//go:embed quote.css
var styleText string

var page = template.Must(template.New("quote").Parse(pageText))

// htmlPage is what the template sees.
type htmlPage struct {
	*Document
	Style         template.CSS
	Foot          template.CSS
	LogoURL       template.URL
	LogoWide      bool
	Parts         []htmlSection
	Generator     string
	ContentsTitle string
}

type htmlSection struct {
	ID, Heading string
	Number      int
	Blocks      []htmlBlock
}

// htmlBlock holds one kind of block; the others are nil.
type htmlBlock struct {
	Paragraph *Paragraph
	List      *htmlList
	Facts     *Facts
	Callout   *Callout
	Figures   *Figures
	Table     *htmlTable
	Picture   *htmlPicture
}

type htmlList struct {
	List
	Class string
}

type htmlTable struct {
	*Table
	Class string
	Kept  string
	Head  []htmlCell
	Body  []htmlRow
}

type htmlRow struct {
	Class string
	Group bool
	Flag  string // word behind the flag; blank = none
	Cells []htmlCell
}

type htmlCell struct {
	Text  Text
	Badge string
	Class string
}

type htmlPicture struct {
	Picture
	SVG template.HTML
}

// HTML paints the document as one page that needs nothing from anywhere: style,
// pictures and logo are inside, and its own policy forbids it to fetch.
func (d *Document) HTML() ([]byte, error) {
	p := htmlPage{Document: d, Style: template.CSS(styleText), Foot: cssString(d.Running.String()), Generator: d.Stamp.Program, ContentsTitle: titleContents}
	if d.Logo != nil {
		p.LogoURL = template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(d.Logo.PNG))
		p.LogoWide = d.Logo.WidthPx > 2*d.Logo.HeightPx
	}
	for i := range d.Sections {
		s := &d.Sections[i]
		part := htmlSection{ID: s.ID, Heading: s.Title, Number: s.Number}
		for _, b := range s.Blocks {
			hb, err := htmlOf(b)
			if err != nil {
				return nil, err
			}
			part.Blocks = append(part.Blocks, hb)
		}
		p.Parts = append(p.Parts, part)
	}
	var out bytes.Buffer
	if err := page.Execute(&out, &p); err != nil {
		return nil, fmt.Errorf("quote as HTML: %w", err)
	}
	return out.Bytes(), nil
}

// cssString writes a text as a string of a style sheet, with everything but
// letters and digits of ASCII as numbers, so that nothing can end it.
func cssString(s string) template.CSS {
	var b strings.Builder
	for _, r := range s {
		if r < 0x80 && (unicode.IsLetter(r) || unicode.IsDigit(r)) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, "\\%06x", r)
		}
	}
	return template.CSS(`"` + b.String() + `"`)
}

func htmlOf(b Block) (htmlBlock, error) {
	switch v := b.(type) {
	case Paragraph:
		return htmlBlock{Paragraph: &v}, nil
	case List:
		return htmlBlock{List: &htmlList{v, markClasses[v.Mark]}}, nil
	case Facts:
		return htmlBlock{Facts: &v}, nil
	case Callout:
		return htmlBlock{Callout: &v}, nil
	case Figures:
		return htmlBlock{Figures: &v}, nil
	case *Table:
		return htmlBlock{Table: htmlTableOf(v)}, nil
	case Picture:
		svg, err := v.Drawing.InlineSVG()
		return htmlBlock{Picture: &htmlPicture{v, template.HTML(svg)}}, err
	}
	panic("quote: a block of an unknown kind")
}

var markClasses = map[report.Mark]string{report.NoMark: "", report.BadMark: "bad", report.WarnMark: "warn", report.GoodMark: "good"}

// Class names the callout's style.
func (c Callout) Class() string { return markClasses[c.Mark] }

// Class names the paragraph's style.
func (p Paragraph) Class() string { return [...]string{"body", "lead", "note", "head"}[p.Kind] }

// keptRows and keptLetters are how much a table may hold and still be kept on one
// page.
const (
	keptRows    = 22
	keptLetters = 1300
)

func (t *Table) letters() int {
	n := 0
	for i := range t.Rows {
		for _, c := range t.Rows[i].Cells {
			n += len(c.String())
		}
	}
	return n
}

func htmlTableOf(t *Table) *htmlTable {
	out := &htmlTable{Table: t}
	if t.Dense {
		out.Class = "dense"
	}
	if t.Even {
		out.Class += " even"
	}
	if t.Even || len(t.Rows) <= keptRows && t.letters() <= keptLetters {
		out.Kept = "kept"
	}
	for i := range t.Columns {
		out.Head = append(out.Head, htmlCell{t.Columns[i].Head, t.Columns[i].Badge, cellClass(t, i)})
	}
	for i := range t.Rows {
		r := &t.Rows[i]
		row := htmlRow{Class: rowClasses[r.Kind], Group: r.Kind == GroupRow}
		if c := markClasses[r.Mark]; c != "" {
			row.Class += " " + c
		}
		if r.Mark == report.BadMark {
			row.Flag = wordFlat
		}
		for c, text := range r.Cells {
			row.Cells = append(row.Cells, htmlCell{Text: text, Class: cellClass(t, c)})
		}
		for c := 1; row.Group && c < len(t.Columns); c++ {
			row.Cells = append(row.Cells, htmlCell{Class: cellClass(t, c)})
		}
		out.Body = append(out.Body, row)
	}
	return out
}

var rowClasses = map[RowKind]string{PlainRow: "row", GroupRow: "group", TotalRow: "total", StrongRow: "strong"}

func cellClass(t *Table, i int) string {
	class := ""
	if t.Columns[i].Numbers {
		class = "n"
	}
	if i > 0 && i == t.Best {
		class += " best"
	}
	return class
}
