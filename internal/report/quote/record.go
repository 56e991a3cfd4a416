package quote

import (
	"strings"
	"time"
)

// replaced reports whether the trip itself runs in the weather of a file, not
// only the trips of the risk.
func (b *builder) replaced() bool { return b.run.Recorded != nil && b.run.Recorded.Dates }

// recordLine is the weather among the facts on the first page; blank when it is
// the simulated one.
func (b *builder) recordLine() Text {
	w := b.run.Recorded
	if w == nil {
		return nil
	}
	return say(textRecordLine, shortName(w.Name), b.recordPeriod())
}

// recordPeriod names the time that a weather file covers.
func (b *builder) recordPeriod() string {
	w := b.run.Recorded
	switch {
	case w.Typical:
		return textTypicalYear
	case w.First.Year() == w.Last.Year() && w.First.YearDay() == 1 && w.Last.Month() == time.December && w.Last.Day() == 31:
		return say(textRecordedYear, w.First.Format("2006")).String()
	}
	return say(textSpan, b.f.Date(w.First), b.f.Date(w.Last)).String()
}

// recordText says what the weather file is for in this document.
func (b *builder) recordText() Text {
	what := textRecordDates
	if !b.replaced() {
		what = textRecordTrips
	}
	return say(what, name(b.run.Recorded.Name), b.recordPeriod())
}

// recordedWords changes the words on weather and trips where they come from a
// file; nil when there is none.
func (b *builder) recordedWords() *strings.Replacer {
	switch {
	case b.run.Recorded == nil:
		return nil
	case b.replaced():
		return strings.NewReplacer(append(recordedWeather, recordedTrips...)...)
	}
	return strings.NewReplacer(recordedTrips...)
}

// reword changes every text of the document that no person wrote.
func (d *Document) reword(change func(string) string) {
	d.eachText(func(t Text) {
		for i := range t {
			if !t[i].Name {
				t[i].S = change(t[i].S)
			}
		}
	})
	for _, s := range d.Sections {
		for _, block := range s.Blocks {
			if v, ok := block.(Figures); ok {
				for k := range v.Figures {
					v.Figures[k].Note = change(v.Figures[k].Note)
				}
			}
		}
	}
}

// eachText visits the texts of the sections and of the last lines.
func (d *Document) eachText(visit func(Text)) {
	each := func(all []Text) {
		for _, t := range all {
			visit(t)
		}
	}
	each(d.Colophon)
	for _, s := range d.Sections {
		for _, block := range s.Blocks {
			switch v := block.(type) {
			case Paragraph:
				visit(v.Text)
			case List:
				each(v.Items)
			case Facts:
				for _, f := range v.Facts {
					visit(f.Value)
				}
			case Callout:
				each(v.Texts)
			case Picture:
				visit(v.Caption)
			case *Table:
				visit(v.Caption)
				each(v.Notes)
				for c := range v.Columns {
					visit(v.Columns[c].Head)
				}
				for r := range v.Rows {
					each(v.Rows[r].Cells)
				}
			}
		}
	}
}
