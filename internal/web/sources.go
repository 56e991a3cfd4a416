package web

import (
	"slices"

	"tripsim/internal/scenario"
)

// sources are the scenarios as they were read: the one at the start and those
// that were imported. A page keeps the history of its edits; each entry names the
// source that its rows descend from, so that undoing an import gives the earlier
// files back byte for byte.
type sources struct {
	kept []*document // oldest first
	next int         // number of the next one
}

// sourcesMost is how much of the files of all sources is kept, bytes.
const sourcesMost = 64 << 20

// add numbers a scenario that has just been read; the same one read again keeps
// its number. The oldest are forgotten when there is too much, the one in use
// never.
func (s *sources) add(d *document, inUse int) {
	for _, old := range s.kept {
		if old.name == d.name && !old.changedFrom(d.files) {
			d.source = old.source
			return
		}
	}
	d.source = s.next
	s.next++
	s.kept = append(s.kept, d)
	total := 0
	for i := len(s.kept) - 1; i >= 0; i-- {
		if total += s.kept[i].bytes(); total > sourcesMost && i < len(s.kept)-1 && s.kept[i].source != inUse {
			s.kept = slices.Delete(s.kept, i, i+1)
		}
	}
}

// edited returns a document with the cells of a page, which descend from a source.
// Rows of one that is not known count as new.
func (s *sources) edited(number int, now sheets, current *document) (*document, error) {
	for _, d := range s.kept {
		if d.source == number {
			return d.edited(now)
		}
	}
	anew := &document{name: current.name, source: current.source, reader: current.reader, base: scenario.Tables{}}
	for file, sheet := range now {
		if sheet == nil || len(sheet.Columns) == 0 {
			continue
		}
		if base := current.base[file]; base != nil {
			anew.base[file] = base // its separators
		}
		for i := range sheet.Rows {
			sheet.Rows[i].From = -1
		}
	}
	return anew.edited(now)
}

// bytes is the size of the document's files.
func (d *document) bytes() (n int) {
	for _, data := range d.files {
		n += len(data)
	}
	return n
}
