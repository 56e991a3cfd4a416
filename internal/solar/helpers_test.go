package solar

import (
	"embed"
	"encoding/csv"
	"math"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

//go:embed testdata/*.csv
var testdata embed.FS

// row is one line of a reference table, by column name.
type row struct {
	t     *testing.T
	cells map[string]string
}

func (r row) text(column string) string {
	r.t.Helper()
	v, ok := r.cells[column]
	require.True(r.t, ok, "no column %q", column)
	return v
}

func (r row) f(column string) float64 {
	r.t.Helper()
	v, err := strconv.ParseFloat(r.text(column), 64)
	require.NoError(r.t, err)
	return v
}

func (r row) time(column string) time.Time {
	r.t.Helper()
	v, err := time.Parse(time.RFC3339, r.text(column))
	require.NoError(r.t, err)
	return v
}

// table reads a reference table; each file's header names its source.
func table(t *testing.T, name string) []row {
	t.Helper()
	file, err := testdata.Open("testdata/" + name)
	require.NoError(t, err)
	defer file.Close()
	r := csv.NewReader(file)
	r.Comment = '#'
	lines, err := r.ReadAll()
	require.NoError(t, err)
	var rows []row
	for _, line := range lines[1:] {
		cells := map[string]string{}
		for i, v := range line {
			cells[lines[0][i]] = v
		}
		rows = append(rows, row{t, cells})
	}
	require.NotEmpty(t, rows)
	return rows
}

// deviations collects |got-want| of one quantity.
type deviations struct {
	name   string
	values []float64
	worst  string
	max    float64
}

func (d *deviations) add(got, want float64, what ...string) {
	e := math.Abs(got - want)
	if math.IsNaN(e) {
		e = math.Inf(1)
	}
	if e > d.max || len(d.values) == 0 {
		d.max, d.worst = e, strings.Join(what, " ")
	}
	d.values = append(d.values, e)
}

// relative adds the deviation relative to want, absolute where want is small.
func (d *deviations) relative(got, want float64, what ...string) {
	scale := math.Max(1, math.Abs(want))
	d.add(got/scale, want/scale, what...)
}

// within logs median and worst, and fails when the worst passes the tolerance.
func (d *deviations) within(t *testing.T, tolerance float64) {
	t.Helper()
	require.NotEmpty(t, d.values, d.name)
	sort.Float64s(d.values)
	t.Logf("%-34s n %5d  median %.3g  worst %.3g  (allowed %.3g) %s",
		d.name, len(d.values), d.values[len(d.values)/2], d.max, tolerance, d.worst)
	require.LessOrEqual(t, d.max, tolerance, "%s: %s", d.name, d.worst)
}

func utc(s string) time.Time {
	v, err := time.Parse("2006-01-02 15:04:05", s)
	if err != nil {
		panic(err)
	}
	return v
}
