package quote

import (
	"fmt"
	"math"
	"strings"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// dayColumn is a column of the day table; it is left out when it has nothing
// but zeros and may go.
type dayColumn struct {
	head  string
	value func(d *sim.Day, i int) string
	total string
	may   bool
	used  func(d *sim.Day) bool
	text  bool
}

// days is the account by day, with flags.
func (b *builder) days() []Block {
	r, f := b.r, b.f
	b.table++
	t := &Table{
		Caption: say(captionDays, fmt.Sprint(b.table), systemName(r.System)), Dense: true,
		Columns: []Column{{Head: plain(headDate)}, {Head: plain(headPlace)}},
	}
	columns := b.dayColumns()
	for _, c := range columns {
		t.Columns = append(t.Columns, Column{Head: plain(c.head), Numbers: !c.text})
	}
	for i := range r.Days {
		d := &r.Days[i]
		row := Row{Cells: []Text{plain(b.day(d.Date)), name(d.Place)}}
		if d.Flat() {
			row.Mark = report.BadMark
		} else if b.remark(d) != "" {
			row.Mark = report.WarnMark
		}
		for _, c := range columns {
			cell := plain(c.value(d, i))
			if c.text {
				cell = strong(cell)
			}
			row.Cells = append(row.Cells, cell)
		}
		t.Rows = append(t.Rows, row)
	}
	total := Row{Kind: TotalRow, Cells: []Text{plain(f.Count(len(r.Days), wordDay, wordDays)), nil}}
	for _, c := range columns {
		total.Cells = append(total.Cells, plain(c.total))
	}
	t.Rows = append(t.Rows, total)
	note := say(noteDays, report.CutOff(r, f))
	for _, c := range columns {
		switch c.head {
		case headSpilled:
			note = sentences(note, plain(noteSpilled))
		case headUnserved:
			note = sentences(note, plain(noteMissing))
		}
	}
	t.Notes = []Text{note}
	if b.k != nil && b.k.FlatDraws > 0 {
		t.Notes = append(t.Notes, plain(noteDayRisk))
	}
	return []Block{Paragraph{Text: say(textDaysLead, b.system())}, t}
}

// dayColumns are the columns of the day table that say something of this trip.
func (b *builder) dayColumns() []dayColumn {
	r, f := b.r, b.f
	all := append(b.timeColumns(), b.energyColumns()...)
	all = append(all,
		dayColumn{head: headLow, value: func(d *sim.Day, _ int) string { return f.Percent(d.LowSoC) }, total: f.Percent(r.LowSoC)},
		dayColumn{head: headEnd, value: func(d *sim.Day, _ int) string { return f.Percent(d.EndSoC) }, total: f.Percent(r.EndSoC)})
	if b.k != nil && b.k.FlatDraws > 0 && len(b.k.ByDay) == len(r.Days) {
		all = append(all, dayColumn{head: headDayRisk, value: func(_ *sim.Day, i int) string { return f.Share(b.k.ByDay[i].Flat.Share) }})
	}
	all = append(all, dayColumn{
		head: headRemark, value: func(d *sim.Day, _ int) string { return b.remark(d) }, may: true,
		used: func(d *sim.Day) bool { return b.remark(d) != "" }, text: true,
	})
	var used []dayColumn
	for _, c := range all {
		if !c.may || b.anyDay(c.used) {
			used = append(used, c)
		}
	}
	return used
}

// timeColumns are the hours of driving, idling and mains, and sun and air.
func (b *builder) timeColumns() []dayColumn {
	f := b.f
	hours := func(head string, of func(*sim.Day) float64) dayColumn {
		sum := 0.0
		for i := range b.r.Days {
			sum += of(&b.r.Days[i])
		}
		return dayColumn{head: head, total: f.Number(sum, 1), may: true, used: func(d *sim.Day) bool { return of(d) > 0 }, value: func(d *sim.Day, _ int) string {
			if of(d) <= 0 {
				return wordDash
			}
			return f.Number(of(d), 1)
		}}
	}
	_, degree := f.Degrees(0)
	return []dayColumn{
		hours(headDrive, func(d *sim.Day) float64 { return d.DriveH }),
		hours(headIdleH, func(d *sim.Day) float64 { return d.IdleH }),
		hours(headMainsH, func(d *sim.Day) float64 { return d.MainsH }),
		{head: headSun, value: func(d *sim.Day, _ int) string { return f.Number(d.SunKWhM2, 1) }},
		{head: fmt.Sprintf(headAir, degree), value: func(d *sim.Day, _ int) string { return b.airSpan(d.TempMinC, d.TempMaxC) }},
	}
}

// energyColumns are the energies, Wh; a column may go when no day has more than
// least of it.
func (b *builder) energyColumns() []dayColumn {
	t := &b.r.Total
	n := func(x float64) string {
		if math.Round(x) == 0 {
			return wordDash
		}
		return b.f.Number(x, 0)
	}
	energy := func(head string, total float64, of func(*sim.Day) float64, used func(*sim.Day) bool) dayColumn {
		return dayColumn{head: head, total: n(total), may: used != nil, used: used, value: func(d *sim.Day, _ int) string { return n(of(d)) }}
	}
	above := func(least float64, of func(*sim.Day) float64) func(*sim.Day) bool {
		return func(d *sim.Day) bool { return of(d) > least }
	}
	alternator := func(d *sim.Day) float64 { return d.AlternatorBusWh }
	mains := func(d *sim.Day) float64 { return d.MainsBusWh + d.TransferWh }
	unserved := func(d *sim.Day) float64 { return d.UnservedWh }
	spilled := func(d *sim.Day) float64 { return d.SpilledWh }
	return []dayColumn{
		energy(headSolar, t.SolarBusWh, func(d *sim.Day) float64 { return d.SolarBusWh }, func(d *sim.Day) bool { return d.SolarBusWh > 0 || d.SpilledWh > 0 }),
		energy(headAlternator, t.AlternatorBusWh, alternator, above(0, alternator)),
		energy(headMains, t.MainsBusWh+t.TransferWh, mains, above(0, mains)),
		energy(headAppliances, t.ServedWh(), (*sim.Day).ServedWh, nil),
		energy(headUnserved, t.UnservedWh, unserved, above(1, unserved)),
		energy(headSpilled, t.SpilledWh, spilled, above(1, spilled)),
	}
}

func (b *builder) anyDay(is func(*sim.Day) bool) bool {
	for i := range b.r.Days {
		if is(&b.r.Days[i]) {
			return true
		}
	}
	return false
}

// remark says in words what stands out on a day.
func (b *builder) remark(d *sim.Day) string {
	var parts []string
	if d.Flat() {
		parts = append(parts, fmt.Sprintf(remarkFlat, b.f.Hours(d.FlatH)))
	}
	if d.TripH > 0 {
		parts = append(parts, fmt.Sprintf(remarkTripped, b.f.Hours(d.TripH)))
	}
	if d.Refused {
		parts = append(parts, remarkRefused)
	}
	return strings.Join(parts, ", ")
}

// airSpan writes two temperatures without their unit.
func (b *builder) airSpan(lowC, highC float64) string {
	low, _ := b.f.Degrees(lowC)
	high, _ := b.f.Degrees(highC)
	return unbroken(fmt.Sprintf(textSpan, b.f.Number(low, 0), b.f.Number(high, 0)))
}
