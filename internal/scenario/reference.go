package scenario

import (
	"fmt"
	"slices"
	"strings"
)

// Reference is the reference of tables and columns as Markdown, made from the
// schema. The README holds it between ReferenceBegin and ReferenceEnd.
func Reference() string {
	var b strings.Builder
	for _, s := range Specs() {
		need := "May be left out."
		if s.Required {
			need = "Required."
		}
		fmt.Fprintf(&b, "#### `%s`: %s per row\n\n%s %s\n\n", s.File, s.Row, s.About, need)
		columns := s.Columns
		if s == &jobSpec {
			columns = jobKeys.Columns
			b.WriteString("Its columns are `key` and `value`.\n\n| key | unit | meaning | blank | example |\n|---|---|---|---|---|\n")
		} else {
			b.WriteString("| column | unit | meaning | blank | example |\n|---|---|---|---|---|\n")
		}
		for i := range columns {
			c := &columns[i]
			fmt.Fprintf(&b, "| `%s` | %s | %s | %s | %s |\n", c.Name, c.Unit, cellText(c.Meaning()), cellText(c.BlankMeans()), cellText(c.Example))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// The markers around the generated reference in the README.
const (
	ReferenceBegin = "<!-- columns: begin (generated, see internal/scenario) -->"
	ReferenceEnd   = "<!-- columns: end -->"
)

func cellText(s string) string { return strings.ReplaceAll(s, "|", "\\|") }

// Meaning is the column's line of explanation with choices and range.
func (c *Column) Meaning() string {
	s := c.About
	switch c.Kind {
	case Choice:
		if !slices.ContainsFunc(c.Choices, func(v string) bool { return !strings.Contains(s, v) }) {
			break // the explanation names them all
		}
		s += ": " + strings.Join(c.Choices, ", ")
	case Number, Integer:
		s += "; " + plain(c.Min) + " to " + plain(c.Max)
	case Clock, ClockList:
		s += "; HH:MM"
	}
	return s
}

// BlankMeans says what a blank cell stands for.
func (c *Column) BlankMeans() string {
	switch {
	case c.Required:
		return "not allowed"
	case c.Blank != "":
		return c.Blank
	case c.Default != "":
		return c.Default
	default:
		return "nothing"
	}
}
