package scenario

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Problem is one mistake in a scenario folder, with its place.
type Problem struct {
	File   string `json:"file"`
	Line   int    `json:"line"`   // from 1; 0 = the file as a whole
	Col    int    `json:"col"`    // byte in the line, from 1; 0 = the line as a whole
	Row    int    `json:"row"`    // index into Table.Rows; -1 = header or file
	Column string `json:"column"` // name of the column, if one is to blame
	Text   string `json:"text"`   // what is wrong and how to mend it
}

// Error gives the problem as one line: file:line: column: text.
func (p Problem) Error() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Line > 0 {
		fmt.Fprintf(&b, ":%d", p.Line)
	}
	b.WriteString(": ")
	if p.Column != "" {
		b.WriteString(p.Column + ": ")
	}
	b.WriteString(p.Text)
	return b.String()
}

// Problems are all mistakes of a folder, sorted by file, line and column.
type Problems []Problem

// Error gives one line per problem.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// maxProblems is how many problems of a folder are reported; a table that is
// wrong throughout would else give one per cell.
const maxProblems = 200

func (ps Problems) sorted() Problems {
	order := map[string]int{}
	for i, s := range Specs() {
		order[s.File] = i + 1
	}
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(order[a.File], order[b.File]), cmp.Compare(a.File, b.File),
			cmp.Compare(a.Line, b.Line), cmp.Compare(a.Col, b.Col))
	})
	ps = slices.Compact(ps)
	if n := len(ps) - maxProblems; n > 0 {
		last := ps[maxProblems-1]
		ps = append(ps[:maxProblems:maxProblems], Problem{
			File: last.File, Row: -1,
			Text: fmt.Sprintf("%d more problems are not shown; mend these first", n),
		})
	}
	return ps
}

// orNil keeps an empty list from becoming a non-nil error.
func (ps Problems) orNil() error {
	if len(ps) == 0 {
		return nil
	}
	return ps
}

// quoted shows a cell's text in a message: shortened, control characters visible.
func quoted(s string) string {
	if r := []rune(s); len(r) > 40 {
		s = string(r[:37]) + "..."
	}
	return fmt.Sprintf("%q", s)
}
