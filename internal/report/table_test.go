package report

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func small() *Table {
	return &Table{
		Columns: []Column{
			{Key: "name", Head: "name", Wrap: true},
			{Key: "wh", Head: "Wh", Decimals: 1},
			{Key: "soc_pct", Head: "SoC", Percent: true},
			{Key: "flat", Head: ""},
			{Key: "remark", Head: "remark"},
		},
		Rows: []Row{
			{Cells: []Cell{Text("first"), Number(1234.56), Number(50), Yes(false), Text("")}},
			{Mark: BadMark, Cells: []Cell{Text("日本語の名前"), Number(-0.04), Number(9.6), Yes(true), Text("FLAT")}},
			{Cells: []Cell{Text("third"), Number(math.NaN()), {}}},
		},
		Total: &Row{Cells: []Cell{Text("total"), Number(1234.5)}},
		Notes: []string{"a note"},
	}
}

func TestATableStandsInColumns(t *testing.T) {
	got := small().Render(Screen{Width: 60, Format: DefaultFormat()})
	assert.Equal(t, strings.Join([]string{
		"  name               Wh   SoC  remark",
		"  first         1,234.6  50 %",
		"! 日本語の名前      0.0  10 %  FLAT",
		"  third",
		"-------------------------------------",
		"  total         1,234.5",
		"  a note",
		"",
	}, "\n"), got)
}

func TestColourComesOnTopOfSigns(t *testing.T) {
	with := small().Render(Screen{Width: 60, Colour: true, Format: DefaultFormat()})
	without := small().Render(Screen{Width: 60, Format: DefaultFormat()})
	assert.Contains(t, with, "\x1b[1;31m! 日本語の名前")
	assert.NotContains(t, without, "\x1b")
	assert.Equal(t, without, escapes.ReplaceAllString(with, ""), "the same but for colour")
}

// RFC 4180 (2005), section 2: CRLF (rule 1), header (3), quotes around what holds
// quotes, commas and line breaks (6), quotes doubled (7).
func TestCSVIsRFC4180(t *testing.T) {
	table := &Table{Columns: []Column{{Key: "a"}, {Key: "b_wh"}, {Key: "c"}}, Rows: []Row{
		{Cells: []Cell{Text(`say "hi", you`), Number(1.5), Yes(true)}},
		{Cells: []Cell{Text("two\nlines"), Number(math.Inf(1)), Text(" padded ")}},
		{Cells: []Cell{Text("")}},
	}}
	assert.Equal(t, "a,b_wh,c\r\n\"say \"\"hi\"\", you\",1.5,yes\r\n\"two\nlines\",,\" padded \"\r\n,,\r\n", string(table.CSV()))
}

func TestCSVReadsBackWhateverIsInIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("\"',;\n =+-@aé日\u00a0"))).Draw(t, "text")
		table := &Table{Columns: []Column{{Key: "a"}, {Key: "b"}}, Rows: []Row{{Cells: []Cell{Text(text), Number(-1)}}}}
		records, err := csv.NewReader(strings.NewReader(string(table.CSV()))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.TrimPrefix(records[1][0], "'"); records[1][0] != text && got != text {
			t.Fatalf("%q came back as %q", text, records[1][0])
		}
		if records[1][1] != "-1" {
			t.Fatalf("a number came back as %q", records[1][1])
		}
	})
}

// OWASP Application Security Verification Standard 5.0, requirement 1.2.10:
// = + - @ tab and NUL at the start of a field are escaped with a single quote;
// the carriage return as in the same project's page on CSV injection (from
// memory). Numbers stay numbers.
func TestASpreadsheetRunsNoFormula(t *testing.T) {
	for in, want := range map[string]string{
		"=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@sum": "'@sum", "\tx": "'\tx", "\rx": "'\rx", "  =1": "'  =1",
		"＝1": "'＝1", "a=1": "a=1", "'=1": "'=1", "": "", "\x00=1": "'=1", "\u00a0=1": "'\u00a0=1",
	} {
		assert.Equal(t, want, neutralised(in), "%q", in)
	}
	table := &Table{Columns: []Column{{Key: "a"}}, Rows: []Row{{Cells: []Cell{Number(-5)}}, {Cells: []Cell{Text("-5")}}}}
	assert.Equal(t, "a\r\n-5\r\n'-5\r\n", string(table.CSV()))
}

func TestNumbersInFilesAreShortAndPlain(t *testing.T) {
	for x, want := range map[float64]string{
		0: "0", 1234567: "1234567", 12345.678: "12345.7", 136.469046: "136.469", 0.1 + 0.2: "0.3", -0.0000001: "0",
		-7.25: "-7.25", 31.123456: "31.1235", 1e21: "1000000000000000000000",
	} {
		assert.Equal(t, want, string(appendNumber(nil, x)), "%v", x)
	}
	assert.Empty(t, appendNumber(nil, math.NaN()))
	assert.Empty(t, appendNumber(nil, math.Inf(-1)))
}

func TestJSONOfATableIsOfObjects(t *testing.T) {
	var rows []map[string]any
	require.NoError(t, json.Unmarshal(small().JSON(), &rows))
	require.Len(t, rows, 3)
	assert.Equal(t, map[string]any{"name": "日本語の名前", "wh": -0.04, "soc_pct": 9.6, "flat": true, "remark": "FLAT"}, rows[1])
	assert.Equal(t, map[string]any{"name": "third", "wh": nil, "soc_pct": nil, "flat": nil, "remark": nil}, rows[2])
	hostile := &Table{Columns: []Column{{Key: "a"}}, Rows: []Row{{Cells: []Cell{Text("\"</script>\n\x00\xff")}}}}
	require.NoError(t, json.Unmarshal(hostile.JSON(), &rows))
	assert.Equal(t, "\"</script>\n\x00\ufffd", rows[0]["a"])
	var none []any
	require.NoError(t, json.Unmarshal((&Table{}).JSON(), &none))
	assert.Empty(t, none)
}

func TestATableFitsTheScreen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := &Table{}
		n := rapid.IntRange(1, 9).Draw(t, "columns")
		for range n {
			table.Columns = append(table.Columns, Column{Key: "k", Head: "head", Wrap: true, Drop: rapid.IntRange(0, 6).Draw(t, "drop")})
		}
		table.Columns[0].Drop = 0
		for range rapid.IntRange(1, 4).Draw(t, "rows") {
			row := Row{}
			for range n {
				row.Cells = append(row.Cells, Text(rapid.StringN(0, 60, -1).Draw(t, "text")))
			}
			table.Rows = append(table.Rows, row)
		}
		never := 0
		for _, c := range table.Columns {
			if c.Drop == 0 {
				never++
			}
		}
		width := rapid.IntRange(30, 150).Draw(t, "width")
		most := max(width, gutter+never*(minWrapped+1))
		for line := range strings.Lines(table.Render(Screen{Width: width, Format: DefaultFormat()})) {
			if w := Width(strings.TrimSuffix(line, "\n")); w > most {
				t.Fatalf("%q takes %d columns of %d", line, w, most)
			}
		}
	})
}

func TestLeftOutColumnsAreOwnedUpTo(t *testing.T) {
	table := &Table{
		Columns: []Column{{Key: "a", Head: "a"}, {Key: "b", Head: "b", Drop: 1}, {Key: "c", Head: "c", Drop: 9}},
		Rows:    []Row{{Cells: []Cell{Text(strings.Repeat("a", 20)), Text(strings.Repeat("b", 20)), Text(strings.Repeat("c", 20))}}},
	}
	assert.NotContains(t, table.Render(Screen{Width: 80, Format: DefaultFormat()}), "left out")
	narrower := table.Render(Screen{Width: 60, Format: DefaultFormat()})
	assert.NotContains(t, narrower, "ccc", "an extra goes first")
	assert.Contains(t, narrower, "Columns left out at this width: c; --csv has them.")
	table.Elsewhere = textInJSON
	assert.Contains(t, table.Render(Screen{Width: 40, Format: DefaultFormat()}), "Columns left out at this width: b, c;\n  --json has them.")
}

// Where nothing may be dropped and words are torn already, columns go from the
// right: a line is never wider than the screen.
func TestNoTableIsWiderThanTheScreen(t *testing.T) {
	table := &Table{Rows: []Row{{}}}
	for i := range 12 {
		table.Columns = append(table.Columns, Column{Key: fmt.Sprint(i), Head: fmt.Sprintf("head%02d", i)})
		table.Rows[0].Cells = append(table.Rows[0].Cells, Number(1234567))
	}
	for _, width := range []int{30, 40, 60, 80, 120, 140} {
		text := table.Render(Screen{Width: width, Format: DefaultFormat()})
		for line := range strings.Lines(text) {
			assert.LessOrEqual(t, Width(strings.TrimSuffix(line, "\n")), width, line)
		}
		assert.Equal(t, width < 140, strings.Contains(text, "Columns left out"), "%d", width)
	}
}
