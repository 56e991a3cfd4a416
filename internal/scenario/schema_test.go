package scenario

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The structs that gocsv binds have exactly the columns of the schema, in order.
func TestRowStructsMatchTheSchema(t *testing.T) {
	for spec, row := range map[*TableSpec]any{
		&tripSpec: tripRow{}, &loadsSpec: loadRow{}, &systemsSpec: systemRow{},
		&chargersSpec: chargerRow{}, &panelsSpec: panelRow{}, &jobSpec: jobRow{},
	} {
		var tags []string
		typ := reflect.TypeOf(row)
		for i := range typ.NumField() {
			tags = append(tags, typ.Field(i).Tag.Get("csv"))
		}
		assert.Equal(t, spec.Names(), tags, spec.File)
	}
}

// Every default and every example of the schema is a value that the reader takes.
func TestDefaultsAndExamplesAreValid(t *testing.T) {
	for _, spec := range append(Specs(), &jobKeys) {
		seen := map[string]bool{}
		for i := range spec.Columns {
			c := &spec.Columns[i]
			require.False(t, seen[c.Name], "%s twice", c.Name)
			seen[c.Name] = true
			assert.NotEmpty(t, c.About, c.Name)
			assert.NotEmpty(t, c.Example, c.Name)
			assert.False(t, c.Required && c.Default != "", "%s: required with a default", c.Name)
			values := []string{c.Default}
			for _, example := range strings.Split(c.Example, " or ") {
				values = append(values, strings.Split(example, ", ")[0])
			}
			for _, v := range values {
				if v == "" {
					continue
				}
				var k checker
				k.convertAny(&cell{text: v, col: c, at: position{table: &Table{File: spec.File}}})
				assert.Empty(t, k.problems, "%s %s", spec.File, c.Name)
			}
		}
	}
}

// convertAny converts a cell by the kind of its column.
func (k *checker) convertAny(c *cell) {
	switch c.col.Kind {
	case Number, Integer:
		k.number(c)
	case YesNo:
		k.yesNo(c)
	case Clock:
		k.clock(c)
	case ClockList:
		k.clockList(c)
	case Date:
		k.date(c)
	case Choice:
		k.choice(c)
	case ZoneName:
		k.zone(c)
	case Operation:
		k.operation(c)
	}
}

// go test ./internal/scenario -run Readme -update writes the block anew.
func TestReadmeHoldsTheColumnReference(t *testing.T) {
	const path = "../../README.md"
	text, err := os.ReadFile(path)
	if err != nil {
		t.Skip("no README.md yet")
	}
	before, rest, ok := strings.Cut(string(text), ReferenceBegin)
	if !ok {
		t.Skip("README.md has no block for the columns yet")
	}
	block, after, ok := strings.Cut(rest, ReferenceEnd)
	require.True(t, ok, "README.md: %s is missing", ReferenceEnd)
	want := "\n\n" + Reference()
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(before+ReferenceBegin+want+ReferenceEnd+after), 0o644))
		return
	}
	assert.Equal(t, want, block, "the columns in README.md are stale; run this test with -update")
}

func TestReferenceNamesEveryColumn(t *testing.T) {
	ref := Reference()
	for _, spec := range Specs() {
		for _, c := range spec.Columns {
			assert.Contains(t, ref, "`"+c.Name+"`")
		}
	}
	for _, c := range JobKeys() {
		assert.Contains(t, ref, "| `"+c.Name+"` |")
	}
}
