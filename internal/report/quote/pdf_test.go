package quote

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// pagesOf counts the page objects of a PDF (ISO 32000-1:2008, 7.7.3.3).
func pagesOf(data []byte) int { return len(regexp.MustCompile(`/Type /Page\b[^s]`).FindAll(data, -1)) }

// words is a page's text with its spaces made one.
func words(s string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(s, "\u00a0", " ")), " ")
}

func TestPDFHoldsWhatTheDocumentHolds(t *testing.T) {
	for label, in := range map[string]*Input{"holding": holding(t), "flat": flat(t)} {
		d := build(t, in)
		data, err := d.PDF()
		require.NoError(t, err)
		pages := pdfText(t, data)
		require.Len(t, pages, pagesOf(data), label)
		all := ""
		for i, p := range pages {
			all += words(p) + " "
			holds(t, words(p), fmt.Sprintf("%d of %d", i+1, len(pages)))
			holds(t, words(p), "31 May 2026 · Reference 2026-1")
		}
		for _, s := range d.Sections {
			if s.Number > 0 {
				holds(t, all, words(s.Title))
			}
			for _, block := range s.Blocks {
				switch v := block.(type) {
				case Callout:
					for _, text := range v.Texts {
						holds(t, all, words(text.String()))
					}
				case *Table:
					holds(t, all, words(v.Caption.String()))
					for r := range v.Rows {
						first := words(v.Rows[r].Cells[0].String())
						holds(t, all, strings.SplitN(first, " ", 2)[0])
					}
				case Picture:
					holds(t, all, words(v.Caption.String()))
				}
			}
		}
		for _, line := range d.Colophon {
			holds(t, all, words(line.String()))
		}
	}
}

func TestContentsNameThePagesOfTheSections(t *testing.T) {
	d := build(t, holding(t))
	data, err := d.PDF()
	require.NoError(t, err)
	pages := pdfText(t, data)
	for _, s := range d.Contents() {
		entry := regexp.MustCompile(fmt.Sprintf(`\b%d +%s +(\d+)`, s.Number, regexp.QuoteMeta(s.Title))).FindStringSubmatch(pages[0])
		require.NotNil(t, entry, s.Title)
		found := 0
		for i, p := range pages[1:] {
			if regexp.MustCompile(fmt.Sprintf(`(?m)^ *%d +%s$`, s.Number, regexp.QuoteMeta(s.Title))).MatchString(p) {
				found = i + 2
			}
		}
		assert.Equal(t, entry[1], fmt.Sprint(found), s.Title)
	}
}

func TestSixtyDaysRunOverPagesWithTheirHeads(t *testing.T) {
	d := build(t, long(t))
	data, err := d.PDF()
	require.NoError(t, err)
	pages := pdfText(t, data)
	heads, rows := 0, 0
	day := regexp.MustCompile(`(?m)^ *(Mon|Tue|Wed|Thu|Fri|Sat|Sun).\d+.(Oct|Nov|Dec) +Place \d+ +[\d.–]+ +[\d.–]+ +\d\.\d `)
	for _, p := range pages {
		n := len(day.FindAllString(p, -1))
		rows += n
		if n > 0 {
			heads++
			holds(t, words(p), "Date Place Drive h Mains h Sun kWh/m²")
		}
	}
	assert.Equal(t, 60, rows)
	assert.GreaterOrEqual(t, heads, 2)
}

func TestEveryTableFitsThePage(t *testing.T) {
	for label, in := range map[string]*Input{"holding": holding(t), "flat": flat(t), "long": long(t), "hostile": hostile(t)} {
		for _, paper := range []Paper{A4, Letter} {
			in.Paper = paper
			d := build(t, in)
			p := newPDF(d, 0, false)
			p.newPage()
			for _, s := range d.Sections {
				for _, block := range s.Blocks {
					table, ok := block.(*Table)
					if !ok {
						continue
					}
					g := p.layGrid(table)
					assert.InDelta(t, p.right-p.left, sum(g.widths), 0.01, "%s: %s", label, table.Caption)
					assert.GreaterOrEqual(t, g.s.sizePt, 6.5)
					for r := range table.Rows {
						laid := p.layRow(g, &table.Rows[r])
						assert.Less(t, laid.height, p.bottom-p.top-p.headHeight(g), "a row higher than a page")
						for c, lines := range laid.cells {
							if table.Rows[r].Kind == GroupRow {
								continue
							}
							for _, l := range lines {
								assert.LessOrEqual(t, p.width(l, rowStyle(g.s, &table.Rows[r])), g.widths[c]+0.05,
									"%s: %s, row %d, column %d", label, table.Caption, r, c)
							}
						}
					}
				}
			}
		}
	}
}

func TestHostileNamesStandInThePDF(t *testing.T) {
	d := build(t, hostile(t))
	data, err := d.PDF()
	require.NoError(t, err)
	all := strings.Join(strings.Fields(strings.Join(pdfText(t, data), " ")), "")
	for _, name := range []string{"<script>alert(1)</script>", "=cmd|'/Ccalc'!A0", "{{.Style}}", "□"} {
		holds(t, all, name)
	}
	holds(t, all, "□standsforlettersandsigns")
}

func TestMissingLettersAreSaidToBeMissing(t *testing.T) {
	in := holding(t)
	in.Job.Customer = "旅行"
	data, err := build(t, in).PDF()
	require.NoError(t, err)
	all := strings.Join(pdfText(t, data), "")
	holds(t, all, "□□")
	holds(t, words(all), "□ stands for letters and signs that the typefaces of this PDF lack")

	in.Job.Customer = "Łukasz Ünïcödé Ελλάδα Киев שלום مرحبا → ✓"
	data, err = build(t, in).PDF()
	require.NoError(t, err)
	all = strings.Join(pdfText(t, data), "")
	assert.NotContains(t, all, "□")
	holds(t, all, "Łukasz Ünïcödé Ελλάδα Киев")
}

func TestPDFIsItsOwnAndBearsNoClock(t *testing.T) {
	data, err := build(t, holding(t)).PDF()
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(data, []byte("%PDF-1.")))
	for _, no := range []string{"/JavaScript", "/Launch", "/URI", "/OpenAction <<", "/Type /EmbeddedFile"} {
		assert.False(t, bytes.Contains(data, []byte(no)), no)
	}
	assert.Equal(t, 12, len(regexp.MustCompile(`/Title `).FindAll(data, -1))-1, "bookmarks and the document's title")
	for _, m := range regexp.MustCompile(`D:(\d{14})`).FindAllSubmatch(data, -1) {
		assert.Equal(t, "20260531120000", string(m[1]))
	}
}

func TestLinesHoldAllLettersAndKeepTheWidth(t *testing.T) {
	d := build(t, holding(t))
	p := newPDF(d, 0, false)
	p.newPage()
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.StringOf(rapid.RuneFrom([]rune("abc ÄßŁ -/–.,  WWWiii1234567890\u00a0"))).Draw(t, "text")
		width := rapid.Float64Range(6, 80).Draw(t, "width")
		var got strings.Builder
		for _, l := range p.lines(Text{{S: s}}, bodyStyle, width) {
			if len(l) > 0 && len([]rune(l[0].s)) > 1 && p.width(l, bodyStyle) > width+0.05 {
				t.Fatalf("a line of %.1f mm on %.1f mm", p.width(l, bodyStyle), width)
			}
			for _, f := range l {
				got.WriteString(f.s)
			}
		}
		if want := strings.ReplaceAll(s, " ", ""); strings.ReplaceAll(got.String(), " ", "") != want {
			t.Fatalf("%q became %q", want, got.String())
		}
	})
}

// Contrast after W3C, Web Content Accessibility Guidelines 2.1 (2018),
// definitions of relative luminance and contrast ratio; criterion 1.4.6 asks for
// 7:1, criterion 1.4.3 for 4.5:1.
func TestTextsStandOutFromTheirGround(t *testing.T) {
	luminance := func(c colour) float64 {
		var v [3]float64
		for i, x := range c {
			s := float64(x) / 255
			if s <= 0.03928 {
				v[i] = s / 12.92
			} else {
				v[i] = math.Pow((s+0.055)/1.055, 2.4)
			}
		}
		return 0.2126*v[0] + 0.7152*v[1] + 0.0722*v[2]
	}
	contrast := func(a, b colour) float64 {
		x, y := luminance(a), luminance(b)
		return (max(x, y) + 0.05) / (min(x, y) + 0.05)
	}
	require.InDelta(t, 21, contrast(white, colour{}), 1e-9)
	for _, c := range []colour{ink, muted, accent} {
		assert.GreaterOrEqual(t, contrast(c, white), 7.0)
		assert.GreaterOrEqual(t, contrast(c, tint), 7.0)
		assert.GreaterOrEqual(t, contrast(c, warm), 7.0)
	}
	assert.GreaterOrEqual(t, contrast(alert, warm), 4.5)
	for _, c := range []struct {
		name string
		c    colour
	}{{"ink", ink}, {"muted", muted}, {"accent", accent}, {"tint", tint}, {"warm", warm}, {"alert", alert}} {
		holds(t, styleText, fmt.Sprintf("--%s: #%02x%02x%02x", c.name, c.c[0], c.c[1], c.c[2]))
	}
}
