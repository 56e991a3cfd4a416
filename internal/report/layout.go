package report

import (
	"slices"
	"strings"
)

const (
	gutter      = 2   // columns for the row's sign
	longestLine = 100 // of running text: longer ones tire the eye
	minWrapped  = 9   // least width of a wrapped column
	maxRowLines = 4   // lines of a cell before it is cut
	roomy       = 20  // width that a wrapped column keeps as long as there are extras to drop
	longWord    = 18  // longer words may be split
	extraColumn = 4   // Drop from which a column goes before others give way
)

// placed is a column as laid out.
type placed struct {
	index  int
	width  int
	least  int // width that it can be shrunk to without splitting words
	drop   int // see Column.Drop; a column of noughts goes with the extras
	wrap   bool
	number bool
}

// layout chooses columns, their widths and the gap between them so that they fit
// the screen; dropped are the columns left out. First the extras go, then the gaps
// shrink, then wrapped columns down to whole words, then the columns that may be
// dropped, then wrapped columns break words, and at last any but the first column
// goes.
func (t *Table) layout(s Screen) (columns []placed, gap int, dropped []int) {
	columns, gap = t.measure(s), 2
	for {
		highest := 0
		for _, c := range columns {
			highest = max(highest, c.drop)
		}
		over, spare, torn := gutter-gap-s.width(), 0, 0
		for _, c := range columns {
			over += c.width + gap
			if highest < extraColumn {
				spare += c.width - c.least
			} else {
				spare += max(0, c.width-max(c.least, roomy))
			}
			torn += c.width - c.tornTo()
		}
		switch {
		case over > spare && highest < extraColumn && gap > 1:
			gap = 1
			continue
		case over <= spare, highest == 0 && (over <= torn || len(columns) == 1):
			shrink(columns, over)
			return columns, gap, dropped
		}
		last := len(columns) - 1
		columns = slices.DeleteFunc(columns, func(c placed) bool {
			goes := highest > 0 && c.drop == highest || highest == 0 && c.index == columns[last].index
			if goes {
				dropped = append(dropped, c.index)
			}
			return goes
		})
	}
}

// tornTo is the width that a column can be shrunk to when words may be split.
func (c placed) tornTo() int {
	if c.wrap {
		return min(c.least, minWrapped)
	}
	return c.least
}

// measure finds the widths that the columns would like to have. Columns without
// head or without anything in them are left out.
func (t *Table) measure(s Screen) []placed {
	var columns []placed
	for i := range t.Columns {
		c := &t.Columns[i]
		if c.Head == "" {
			continue
		}
		head := Width(longestWord(c.broken()))
		p := placed{index: i, width: head, least: head, drop: c.Drop, wrap: c.Wrap, number: t.isNumber(i)}
		empty, nought := len(t.Rows) > 0, true
		for r := range t.Rows {
			text := t.show(s, &t.Rows[r], i)
			empty = empty && text == ""
			nought = nought && t.isNought(r, i)
			p.width = max(p.width, Width(text))
			p.least = max(p.least, min(Width(longestWord(text)), longWord))
		}
		if empty {
			continue
		}
		if nought && p.drop > 0 {
			p.drop = max(p.drop, extraColumn)
		}
		if t.Total != nil {
			p.width = max(p.width, Width(t.show(s, t.Total, i)))
		}
		if c.Wrap {
			p.least = min(p.width, max(p.least, minWrapped))
		} else {
			p.least = p.width
		}
		columns = append(columns, p)
	}
	return columns
}

// shrink takes over terminal columns away from the columns that can give way,
// widest first: down to whole words, and if that is not enough further.
func shrink(columns []placed, over int) {
	for _, hard := range []bool{false, true} {
		for ; over > 0; over-- {
			widest := -1
			for i, c := range columns {
				least := c.least
				if hard {
					least = c.tornTo()
				}
				if c.width > least && (widest < 0 || c.width > columns[widest].width) {
					widest = i
				}
			}
			if widest < 0 {
				break
			}
			columns[widest].width--
		}
	}
}

func longestWord(s string) string {
	longest := ""
	for word := range strings.SplitSeq(s, " ") { // a no-break space is none
		if Width(word) > Width(longest) {
			longest = word
		}
	}
	return longest
}
