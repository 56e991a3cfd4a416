package quote

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

var update = flag.Bool("update", false, "write the golden files anew")

func splitPages(s string) []string { return strings.Split(strings.TrimSuffix(s, "\f"), "\f") }

// outline lists sections, kinds of block and captions: what the document
// consists of, without the numbers in it.
func outline(d *Document) string {
	var b strings.Builder
	for _, s := range d.Sections {
		fmt.Fprintf(&b, "%d %s: %s\n", s.Number, s.ID, s.Title)
		for _, block := range s.Blocks {
			switch v := block.(type) {
			case Paragraph:
				kind := [...]string{"text", "lead", "note", "heading"}[v.Kind]
				if v.Kind == Head {
					kind += ": " + v.Text.String()
				}
				fmt.Fprintf(&b, "    %s\n", kind)
			case List:
				fmt.Fprintf(&b, "    list of %d\n", len(v.Items))
			case Facts:
				fmt.Fprintf(&b, "    %d facts\n", len(v.Facts))
			case Callout:
				fmt.Fprintf(&b, "    callout: %s\n", v.Label)
			case Figures:
				fmt.Fprintf(&b, "    %d large numbers\n", len(v.Figures))
			case *Table:
				heads := make([]string, len(v.Columns))
				for i := range v.Columns {
					heads[i] = v.Columns[i].Head.String()
				}
				fmt.Fprintf(&b, "    table, %d rows: %s\n        %s\n", len(v.Rows), v.Caption, strings.Join(heads, " | "))
			case Picture:
				fmt.Fprintf(&b, "    figure %d (%s): %s\n", v.Number, v.Drawing.Name, v.Caption)
			}
		}
	}
	return b.String()
}

func TestOutlineOfTheDocument(t *testing.T) {
	for label, in := range map[string]*Input{"holding": holding(t), "flat": flat(t)} {
		got := outline(build(t, in))
		file := "testdata/" + label + ".outline"
		if *update {
			require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
		}
		want, err := os.ReadFile(file)
		require.NoError(t, err)
		assert.Equal(t, string(want), got, label)
	}
}

func TestRecommendationIsThreeSentencesWithRiskIntervalAndDraws(t *testing.T) {
	in := holding(t)
	d := build(t, in)
	box := d.Sections[0].Blocks[0].(Callout)
	assert.Equal(t, report.GoodMark, box.Mark)
	assert.Equal(t, "Middle", box.Title.String())
	text := box.Texts[0].String()
	assert.Len(t, regexp.MustCompile(`[.] |[.]$`).FindAllString(text, -1), 3, text)
	assert.Contains(t, text, "Of 40 simulated trips")
	assert.Contains(t, text, "95\u00a0% interval")
	assert.Contains(t, text, "in 19 of 20 simulated trips")
}

// The words of the result are those of people: a share of trips, never a
// quantile's short name, which solar trade reads the other way round.
func TestNoQuantileNames(t *testing.T) {
	for _, in := range []*Input{holding(t), flat(t), long(t)} {
		page, err := build(t, in).HTML()
		require.NoError(t, err)
		text := htmlText(t, page)
		for _, bad := range []string{`\bP\d\d\b`, "percentile", "%!", `%s`, "NaN", `\bInf`} {
			assert.Empty(t, regexp.MustCompile(bad).FindAllString(text, -1))
		}
	}
}

func TestEveryFlatRiskHasItsIntervalAndDraws(t *testing.T) {
	for _, in := range []*Input{holding(t), flat(t), long(t)} {
		for _, s := range build(t, in).Sections {
			for _, block := range s.Blocks {
				table, ok := block.(*Table)
				if !ok {
					continue
				}
				var heads, rows string
				for i := range table.Columns {
					heads += table.Columns[i].Head.String() + "\n"
				}
				for i := range table.Rows {
					rows += table.Rows[i].Cells[0].String() + "\n"
				}
				for _, labels := range []string{heads, rows} {
					if strings.Contains(labels, rowFlatRisk+"\n") {
						assert.Contains(t, labels, rowInterval+"\n", table.Caption.String())
					}
				}
			}
		}
	}
}

func TestTripThatGoesFlatSaysWhatWouldFixIt(t *testing.T) {
	d := build(t, flat(t))
	box := d.Sections[0].Blocks[0].(Callout)
	assert.Equal(t, report.BadMark, box.Mark)
	text := box.Texts[0].String()
	assert.Contains(t, text, "None of the 2 systems compared carries this trip as planned")
	assert.Contains(t, text, "comes nearest, and section 2 says what would fix it.")
	assert.Contains(t, text, ", more than the accepted 5\u00a0%")
	assert.Len(t, regexp.MustCompile(`[.] |[.]$`).FindAllString(text, -1), 3, text)
	fixes := d.Sections[2]
	require.Equal(t, "fixes", fixes.ID)
	table := fixes.Blocks[1].(*Table)
	assert.Greater(t, len(table.Rows), 2)
	for i := range table.Rows {
		for _, cell := range table.Rows[i].Cells[:3] {
			assert.NotEmpty(t, cell)
		}
	}
	var flagged int
	for _, s := range d.Sections {
		if s.ID == "days" {
			for _, row := range s.Blocks[1].(*Table).Rows {
				if row.Mark == report.BadMark {
					flagged++
					assert.Contains(t, row.Cells[len(row.Cells)-1].String(), "flat")
				}
			}
		}
	}
	assert.Positive(t, flagged)
}

func TestSectionsCanBeLeftOutButCautionsStay(t *testing.T) {
	in := holding(t)
	in.Sections = []string{"trip", "days"}
	var ids []string
	var numbers []int
	for _, s := range build(t, in).Sections {
		ids = append(ids, s.ID)
		numbers = append(numbers, s.Number)
	}
	assert.Equal(t, []string{"recommendation", "days", "trip", "cautions"}, ids)
	assert.Equal(t, []int{0, 1, 2, 3}, numbers)

	in.Sections = []string{}
	assert.Len(t, build(t, in).Sections, 2)
	in.Sections = []string{"summary"}
	_, err := Build(in)
	assert.ErrorContains(t, err, `"summary" is not a section; there are: systems, fixes, charge`)
}

func TestSectionsWithoutResultsAreLeftOut(t *testing.T) {
	in := holding(t)
	run := *in.Run
	run.Risks, run.Draws = nil, 0
	in.Run, in.Answers, in.Loads = &run, Answers{}, nil
	text := outline(build(t, in))
	for _, id := range []string{"fixes", "chargers", "season", "sizing", "appliances"} {
		assert.NotContains(t, text, " "+id+":")
	}
	page, err := build(t, in).HTML()
	require.NoError(t, err)
	holds(t, htmlText(t, page), "was not simulated")
}

func TestTenSystemsStandInTwoTablesOfFive(t *testing.T) {
	d := build(t, long(t))
	var columns []int
	badges := 0
	for _, block := range d.Sections[1].Blocks {
		if table, ok := block.(*Table); ok {
			columns = append(columns, len(table.Columns)-1)
			for i := range table.Columns {
				if table.Columns[i].Badge != "" {
					badges++
					assert.Equal(t, i, table.Best)
				}
			}
		}
	}
	assert.Equal(t, []int{5, 5}, columns)
	assert.Equal(t, 1, badges)
}

func TestMedicalAppliancesAreNamedInTheCautions(t *testing.T) {
	d := build(t, holding(t))
	list := d.Sections[len(d.Sections)-1].Blocks[0].(List)
	assert.Contains(t, list.Items[len(list.Items)-1].String(), "Breathing aid: somebody's health depends on it")
}

// Dates and numbers: Unicode Common Locale Data Repository, release 44 (forms of
// dates, decimal separators), from memory.
func TestNumbersAndDatesOfTheReader(t *testing.T) {
	for _, row := range []struct{ locale, degrees, date, unit, decimal string }{
		{"en-GB", "", "31 May 2026", "°C", "."},
		{"en-US", "", "May 31, 2026", "°F", "."},
		{"de", "", "31. Mai 2026", "°C", ","},
		{"fr", "f", "31 mai 2026", "°F", ","},
		{"es", "c", "31 de mayo de 2026", "°C", ","},
	} {
		in := holding(t)
		f, err := report.NewFormat(row.locale, row.degrees)
		require.NoError(t, err)
		in.Format = f
		page, err := build(t, in).HTML()
		require.NoError(t, err)
		text := htmlText(t, page)
		holds(t, spaced(text), row.date)
		holds(t, text, "Air "+row.unit)
		assert.True(t, regexp.MustCompile(`\d`+regexp.QuoteMeta(row.decimal)+`\d`+"\u00a0days").MatchString(text), row.locale)
	}
}

func TestSameInputMakesTheSameBytes(t *testing.T) {
	one, two := build(t, holding(t)), build(t, holding(t))
	page, err := one.HTML()
	require.NoError(t, err)
	again, err := two.HTML()
	require.NoError(t, err)
	assert.True(t, string(page) == string(again), "HTML differs")
	pdf, err := one.PDF()
	require.NoError(t, err)
	pdf2, err := two.PDF()
	require.NoError(t, err)
	assert.True(t, string(pdf) == string(pdf2), "PDF differs")
	holds(t, string(pdf), "/CreationDate (D:20260531120000")

	in := holding(t)
	in.Date = in.Date.Add(5 * time.Hour) // still the same day
	pdf3, err := build(t, in).PDF()
	require.NoError(t, err)
	assert.True(t, string(pdf) == string(pdf3), "the hour shows")
}

func TestPicturesAreThoseOfTheDocumentWithTitles(t *testing.T) {
	in := holding(t)
	pictures, err := Pictures(in)
	require.NoError(t, err)
	var drawn []string
	for _, s := range build(t, in).Sections {
		for _, block := range s.Blocks {
			if p, ok := block.(Picture); ok {
				drawn = append(drawn, p.Drawing.Name)
			}
		}
	}
	var got []string
	for _, p := range pictures {
		got = append(got, p.Name)
		assert.NotEmpty(t, p.Title)
	}
	assert.Equal(t, drawn, got)
	assert.Contains(t, got, "state-of-charge")
}

func TestNoResultIsAnError(t *testing.T) {
	_, err := Build(&Input{})
	assert.Error(t, err)
	_, err = Build(&Input{Run: &report.Run{}})
	assert.Error(t, err)
}

func TestPaperByName(t *testing.T) {
	p, err := PaperNamed(" Letter ")
	require.NoError(t, err)
	assert.Equal(t, Letter, p)
	_, err = PaperNamed("a5")
	assert.ErrorContains(t, err, "use a4 or letter")
}

// A4 after ISO 216:2007; Letter is 8.5 by 11 inches (ANSI/ASME Y14.1).
func TestSizesOfPaper(t *testing.T) {
	assert.Equal(t, 210.0, A4.WidthMM)
	assert.Equal(t, 297.0, A4.HeightMM)
	assert.InDelta(t, 8.5*25.4, Letter.WidthMM, 1e-9)
	assert.InDelta(t, 11*25.4, Letter.HeightMM, 1e-9)
}

func TestEveryModelTextNamesItsSource(t *testing.T) {
	for _, m := range modelTexts {
		assert.NotEmpty(t, m.number)
		assert.NotEmpty(t, m.how)
		assert.NotEmpty(t, m.source, m.number)
	}
}

func TestEveryKindOfChangeHasItsSentence(t *testing.T) {
	b := newBuilder(holding(t))
	day := time.Date(2026, 10, 5, 0, 0, 0, 0, time.UTC)
	for _, kind := range []sim.FixKind{
		sim.MoreDriving, sim.PoweredNight, sim.PortablePanel, sim.LargerCharger, sim.LargerBattery,
		sim.WarmerFridge, sim.InverterOffAtNight, sim.InverterWhenNeeded, sim.WithoutLoad, sim.FullStart, sim.BatteryHeater,
	} {
		text := b.fixText(&sim.Fix{Kind: kind, Day: day, Place: "P", What: "W", From: 1, To: 2, Adds: "unit"}).String()
		assert.NotContains(t, text, "%s", kind)
		assert.Contains(t, text, "; this needs besides: unit", kind)
		assert.NotEqual(t, string(kind)+"; this needs besides: unit", text, "no sentence of its own")
	}
}
