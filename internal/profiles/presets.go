package profiles

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
)

//go:embed presets/*.csv
var presetFiles embed.FS

// presetTable is one embedded table. Its accessors panic: a malformed preset
// is a programmer's error, and a test reads every table.
type presetTable struct {
	name   string
	column map[string]int
	rows   [][]string
}

func readPresets(name string) presetTable {
	f, err := presetFiles.Open("presets/" + name)
	if err != nil {
		panic(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	head, err := r.Read()
	if err != nil {
		panic(fmt.Errorf("presets/%s: %w", name, err))
	}
	t := presetTable{name: name, column: make(map[string]int, len(head))}
	for i, h := range head {
		t.column[h] = i
	}
	for {
		row, err := r.Read()
		if err == io.EOF {
			return t
		}
		if err != nil {
			panic(fmt.Errorf("presets/%s: %w", name, err))
		}
		t.rows = append(t.rows, row)
	}
}

func (t presetTable) text(row int, column string) string {
	i, ok := t.column[column]
	if !ok {
		panic(fmt.Sprintf("presets/%s: no column %q", t.name, column))
	}
	return t.rows[row][i]
}

// number gives NaN for a blank cell.
func (t presetTable) number(row int, column string) float64 {
	s := t.text(row, column)
	if s == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(fmt.Sprintf("presets/%s: row %d, column %q: %v", t.name, row+1, column, err))
	}
	return v
}

// numberOr gives a default for a blank cell.
func (t presetTable) numberOr(row int, column string, blank float64) float64 {
	if v := t.number(row, column); !math.IsNaN(v) {
		return v
	}
	return blank
}

func (t presetTable) yes(row int, column string) bool { return t.text(row, column) == "yes" }
