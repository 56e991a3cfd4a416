package scenario

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestUnchangedTableIsWrittenByteForByte(t *testing.T) {
	for name, text := range map[string]string{
		"plain":         "a,b\n1,2\n",
		"no last end":   "a,b\n1,2",
		"crlf":          "a,b\r\n1,2\r\n",
		"bom":           "\ufeffa,b\n1,2\n",
		"semicolons":    "a;b\n1;\"2;3\"\n",
		"comments":      "# head\n\n#more\na,b\n# first\n1,2\n\n\n# tail\n",
		"quotes":        "\"a\",b\n\"1\",\"two \"\"quoted\"\"\"\n",
		"line in cell":  "a,b\n\"1\n2\",3\n",
		"crlf in cell":  "a,b\r\n\"1\r\n2\",3\r\n",
		"ragged":        "a,b,c\n1\n1,2,3,4\n",
		"blank rows":    "a,b\n,\n1,2\n,\n",
		"quoted remark": "\"# say \"\"hello\"\"\",\na,b\n\"# more\",\n1,2\n",
		"spaces":        " a , b \n 1 ,2\n",
		"header only":   "a,b\n",
		"mixed ends":    "a,b\r\n1,2\n3,4\r\n",
	} {
		table, problems := ParseTable("x.csv", []byte(text), 100)
		require.Empty(t, problems, name)
		assert.Equal(t, text, string(table.Bytes()), name)
	}
}

func TestEditedRowKeepsTheRest(t *testing.T) {
	text := "# head\na,b\n# about x\n\"x\",1\ny,2"
	table, problems := ParseTable("x.csv", []byte(text), 100)
	require.Empty(t, problems)
	table.Rows[1].Cells[1] = "3,5"
	table.Rows = append(table.Rows, Row{Cells: []string{"# not a comment", `"`}})
	assert.Equal(t, "# head\na,b\n# about x\n\"x\",1\ny,\"3,5\"\n\"# not a comment\",\"\"\"\"\n", string(table.Bytes()))
}

// What the local page sends back as JSON has lost the quoting of the file but
// nothing else, and is stable from then on.
func TestTableSurvivesJSON(t *testing.T) {
	text := "\ufeff# head\r\na;b\r\n# about x\r\n\"x\";1\r\n# end\r\n"
	table, problems := ParseTable("x.csv", []byte(text), 100)
	require.Empty(t, problems)
	sent, err := json.Marshal(table)
	require.NoError(t, err)
	var back Table
	require.NoError(t, json.Unmarshal(sent, &back))
	assert.Equal(t, strings.ReplaceAll(text, `"x"`, "x"), string(back.Bytes()))
}

func TestRenderedTableReadsAsTheSameCells(t *testing.T) {
	cellText := rapid.StringOfN(rapid.SampledFrom([]rune("ab,;\"\n #é0.= ")), 0, 8, -1)
	rapid.Check(t, func(t *rapid.T) {
		width := rapid.IntRange(2, 4).Draw(t, "width")
		table := &Table{
			File: "x.csv", Columns: []string{"c1", "c2", "c3", "c4"}[:width],
			Semicolon: rapid.Bool().Draw(t, "semicolon"), CRLF: rapid.Bool().Draw(t, "crlf"), BOM: rapid.Bool().Draw(t, "bom"),
		}
		for range rapid.IntRange(0, 5).Draw(t, "rows") {
			cells := rapid.SliceOfN(cellText, width, width).Draw(t, "cells")
			cells[1] = "x" + cells[1] // else a first cell with # alone is a comment
			table.Rows = append(table.Rows, Row{Cells: cells})
		}
		once := table.Bytes()
		read, problems := ParseTable("x.csv", once, 100)
		require.Empty(t, problems, "%q", once)
		require.Equal(t, table.Columns, read.Columns)
		require.Len(t, read.Rows, len(table.Rows), "%q", once)
		for i := range read.Rows {
			require.Equal(t, table.Rows[i].Cells, read.Rows[i].Cells, "%q", once)
		}
		require.Equal(t, string(once), string(read.Bytes()))
	})
}

func TestColumnsAreKnownInAnyCaseAndTheHeaderIsKeptAsItStands(t *testing.T) {
	text := "Date, PLACE ,latitude,Longitude\n2026-10-03,A,1,1\n"
	tables, problems := Parse(map[string][]byte{"trip.csv": []byte(text)})
	require.Empty(t, problems)
	assert.Equal(t, []string{"date", "place", "latitude", "longitude"}, tables["trip.csv"].Columns)
	assert.Equal(t, text, string(tables["trip.csv"].Bytes()))
	_, err := FromFiles("x", map[string][]byte{"trip.csv": []byte("Date,date,Plaice,latitude,longitude\n")})
	assert.ErrorContains(t, err, "trip.csv:1: column date stands here twice; delete one")
	assert.ErrorContains(t, err, `"Plaice" is not a column of this table; did you mean place?`)
}

func TestFilesThatAreNoTables(t *testing.T) {
	header := "date,place,latitude,longitude\n2026-10-03,A,1,1\n"
	for text, want := range map[string]string{
		header + "a\x00b":                     "x.csv:3: the file holds a NUL byte; save it as CSV in UTF-8",
		header + "\xe9,2":                     "x.csv:3: the text is not UTF-8 but perhaps Latin-1 (code page 1252), which many spreadsheets write as plain CSV; save it as CSV in UTF-8",
		"\xff\xfea\x00":                       "x.csv:1: the file is saved as UTF-16; save it as CSV in UTF-8",
		"PK\x03\x04...":                       "x.csv:1: the file is a spreadsheet or zip; save the sheet as CSV",
		"a,b\r1,2\r":                          "x.csv:1: lines end in bare carriage returns; save the file with LF or CRLF line ends",
		"a,b\n\"1,2\n":                        "x.csv:2: a quoted cell is not closed, or text follows its closing quotation mark",
		"a,b\n" + strings.Repeat("1,2\n", 11): "x.csv:12: the table has more than 10 rows; split the job into several scenarios",
		"a,b\n1,2\n" + strings.Repeat("# remark\n", 2000000): "x.csv: the file is larger than 16 MiB; a scenario's table is far smaller",
	} {
		_, problems := ParseTable("x.csv", []byte(text), 10)
		assert.EqualError(t, problems, want)
	}
}

func TestDeepQuotesAndWideRowsEndSoon(t *testing.T) {
	for _, text := range []string{
		strings.Repeat(`"`, 1<<20),
		"a,b\n" + strings.Repeat(`""`, 1<<20) + "\n",
		strings.Repeat(",", 1<<20) + "\n",
		"a,b\n" + strings.Repeat("1,2\n", 1000000),
	} {
		files := map[string][]byte{"trip.csv": []byte(text)}
		_, err := FromFiles("x", files)
		assert.Error(t, err)
		assert.LessOrEqual(t, len(err.(Problems)), maxProblems+1)
	}
}

// The same scenario in other clothes: with a byte-order mark, carriage returns,
// semicolons with decimal commas, columns moved, comments and blank rows.
func TestClothesDoNotMatter(t *testing.T) {
	base := baseFiles(t)
	want, err := FromFiles("base", base)
	require.NoError(t, err)
	for name, dress := range map[string]func(*Table){
		"bom":  func(t *Table) { t.BOM = true },
		"crlf": func(t *Table) { t.CRLF = true },
		"moved": func(t *Table) {
			slices.Reverse(t.Columns)
			for i := range t.Rows {
				slices.Reverse(t.Rows[i].Cells)
			}
		},
		"blank rows": func(t *Table) { t.Rows = append(t.Rows, Row{Cells: make([]string, len(t.Columns))}) },
		"comments":   func(t *Table) { t.Head = "# head\n"; t.Rows[0].Before = "# first\n\n"; t.Tail = "# end" },
		"spaces": func(t *Table) {
			for i := range t.Rows {
				for j := range t.Rows[i].Cells {
					t.Rows[i].Cells[j] = " " + t.Rows[i].Cells[j] + "\u00a0"
				}
			}
		},
	} {
		files := maps.Clone(base)
		for _, spec := range Specs() {
			table, problems := ParseTable(spec.File, base[spec.File], spec.MaxRows)
			require.Empty(t, problems)
			dress(table)
			table.header.read = ""
			for i := range table.Rows {
				table.Rows[i].read = ""
			}
			files[spec.File] = table.Bytes()
		}
		got, err := FromFiles("base", files)
		require.NoError(t, err, name)
		assert.Equal(t, want.Hash, got.Hash, name)
		assert.Equal(t, len(want.Trip.Stops), len(got.Trip.Stops), name)
	}
}

func TestDecimalCommaOnlyBesideSemicolons(t *testing.T) {
	files := baseFiles(t)
	comma := strings.ReplaceAll(string(files["chargers.csv"]), ",", ";")
	files["chargers.csv"] = []byte(strings.Replace(comma, "Small;DC charger;25;25;;25", "Small;DC charger;25,5;25.5;;25,5", 1))
	s, err := FromFiles("x", files)
	require.NoError(t, err)
	assert.Equal(t, 25.5, s.Systems[0].Chargers[0].AlternatorA)
	assert.Equal(t, 25.5, s.Systems[0].Chargers[0].SolarA)

	files = baseFiles(t)
	files["chargers.csv"] = []byte(strings.Replace(string(files["chargers.csv"]), "Small,DC charger,25,25,,25", `Small,DC charger,"25,5",25,,25`, 1))
	_, err = FromFiles("x", files)
	assert.EqualError(t, err, `chargers.csv:2: alternator_a: "25,5" is not a number of amperes; use e.g. 40`)
}
