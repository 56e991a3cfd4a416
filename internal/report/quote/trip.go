package quote

import (
	"fmt"
	"math"

	"tripsim/internal/sim"
)

// trip is the itinerary as it was understood.
func (b *builder) trip() []Block {
	stops := b.r.Trip.Stops
	b.table++
	t := &Table{Caption: say(captionTrip, fmt.Sprint(b.table)), Dense: len(stops) > 20}
	columns := b.tripColumns()
	for _, c := range columns {
		t.Columns = append(t.Columns, Column{Head: plain(c.head)})
	}
	for i := range stops {
		row := Row{}
		for _, c := range columns {
			cell := c.cell(&stops[i])
			if len(cell) == 0 {
				cell = plain(wordDash)
			}
			row.Cells = append(row.Cells, cell)
		}
		t.Rows = append(t.Rows, row)
	}
	t.Notes = []Text{plain(noteTrip)}
	return []Block{Paragraph{Text: plain(textTripLead)}, t}
}

type stopColumn struct {
	head string
	cell func(*sim.Stop) Text
}

// tripColumns are the columns that say something of this trip.
func (b *builder) tripColumns() []stopColumn {
	f := b.f
	all := []stopColumn{
		{headDates, func(s *sim.Stop) Text { return plain(b.dates(s)) }},
		{headPlace, func(s *sim.Stop) Text { return name(s.Place) }},
		{headDriveAt, func(s *sim.Stop) Text { return plain(b.span(s.Drive)) }},
		{headIdle, func(s *sim.Stop) Text { return plain(b.span(s.Idle)) }},
		{headMainsAt, func(s *sim.Stop) Text {
			if s.Mains.Hours <= 0 {
				return nil
			}
			text := b.span(s.Mains)
			if s.MainsA > 0 {
				text += fmt.Sprintf(textSiteLimit, f.With(s.MainsA, 0, "A"))
			}
			return plain(text)
		}},
		{headGenerator, func(s *sim.Stop) Text {
			if s.Generator.Hours <= 0 || s.GenW <= 0 {
				return nil
			}
			return plain(b.span(s.Generator) + ", " + f.With(s.GenW, 0, "W"))
		}},
		{headShade, func(s *sim.Stop) Text {
			if s.Shade <= 0 {
				return nil
			}
			return plain(f.Percent(s.Shade))
		}},
		{headOwnWeather, b.ownWeather},
		{headNote, func(s *sim.Stop) Text { return name(s.Note) }},
	}
	stops := b.r.Trip.Stops
	used := all[:2:2]
	for _, c := range all[2:] {
		for i := range stops {
			if len(c.cell(&stops[i])) > 0 {
				used = append(used, c)
				break
			}
		}
	}
	return used
}

// dates are the days of a stop.
func (b *builder) dates(s *sim.Stop) string {
	if s.Days <= 1 {
		return b.day(s.Date)
	}
	return fmt.Sprintf(textDates, b.day(s.Date), b.day(s.Date.AddDate(0, 0, s.Days-1)))
}

// span is a window of the day: "09:00, 5 h".
func (b *builder) span(s sim.Span) string {
	if s.Hours <= 0 {
		return ""
	}
	if s.Hours >= 24 {
		return wordAllDay
	}
	return unbroken(fmt.Sprintf(textSpanFrom, b.clock(s.StartH), b.hours(s.Hours)))
}

// hours writes a planned length of time, which may be in quarters of an hour.
func (b *builder) hours(h float64) string { return b.f.With(h, decimals(h), "h") }

// clock writes an hour of the day, 0..24.
func (b *builder) clock(hour float64) string {
	minutes := int(math.Round(hour*60)) % (24 * 60)
	return b.f.Clock(midnight.Add(clockMinutes(minutes)))
}

// ownWeather lists the figures of sun and air that the trip itself gives.
func (b *builder) ownWeather(s *sim.Stop) Text {
	text := ""
	put := func(part string) {
		if text != "" {
			text += ", "
		}
		text += part
	}
	if !math.IsNaN(s.SunKWhM2) {
		put(b.f.With(s.SunKWhM2, 1, "kWh/m²"))
	}
	if !math.IsNaN(s.TempMinC) {
		put(fmt.Sprintf(textFrom, b.f.Temperature(s.TempMinC)))
	}
	if !math.IsNaN(s.TempMaxC) {
		put(fmt.Sprintf(textUpTo, b.f.Temperature(s.TempMaxC)))
	}
	return plain(text)
}
