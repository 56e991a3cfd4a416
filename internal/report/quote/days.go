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

func (b *builder) dayColumns() []dayColumn {
	r, f := b.r, b.f
	t := &r.Total
	n := func(x float64) string {
		if math.Round(x) == 0 {
			return wordDash
		}
		return f.Number(x, 0)
	}
	h := func(x float64) string {
		if x <= 0 {
			return wordDash
		}
		return f.Number(x, 1)
	}
	hours := func(of func(*sim.Day) float64) string {
		sum := 0.0
		for i := range r.Days {
			sum += of(&r.Days[i])
		}
		return f.Number(sum, 1)
	}
	_, degree := f.Degrees(0)
	drive := func(d *sim.Day) float64 { return d.DriveH }
	idle := func(d *sim.Day) float64 { return d.IdleH }
	mains := func(d *sim.Day) float64 { return d.MainsH }
	all := []dayColumn{
		{
			head: headDrive, value: func(d *sim.Day, _ int) string { return h(d.DriveH) }, total: hours(drive),
			may: true, used: func(d *sim.Day) bool { return d.DriveH > 0 },
		},
		{
			head: headIdleH, value: func(d *sim.Day, _ int) string { return h(d.IdleH) }, total: hours(idle),
			may: true, used: func(d *sim.Day) bool { return d.IdleH > 0 },
		},
		{
			head: headMainsH, value: func(d *sim.Day, _ int) string { return h(d.MainsH) }, total: hours(mains),
			may: true, used: func(d *sim.Day) bool { return d.MainsH > 0 },
		},
		{head: headSun, value: func(d *sim.Day, _ int) string { return f.Number(d.SunKWhM2, 1) }},
		{head: fmt.Sprintf(headAir, degree), value: func(d *sim.Day, _ int) string { return b.airSpan(d.TempMinC, d.TempMaxC) }},
		{
			head: headSolar, value: func(d *sim.Day, _ int) string { return n(d.SolarBusWh) }, total: n(t.SolarBusWh),
			may: true, used: func(d *sim.Day) bool { return d.SolarBusWh > 0 || d.SpilledWh > 0 },
		},
		{
			head: headAlternator, value: func(d *sim.Day, _ int) string { return n(d.AlternatorBusWh) }, total: n(t.AlternatorBusWh),
			may: true, used: func(d *sim.Day) bool { return d.AlternatorBusWh > 0 },
		},
		{
			head: headMains, value: func(d *sim.Day, _ int) string { return n(d.MainsBusWh + d.TransferWh) }, total: n(t.MainsBusWh + t.TransferWh),
			may: true, used: func(d *sim.Day) bool { return d.MainsBusWh+d.TransferWh > 0 },
		},
		{head: headAppliances, value: func(d *sim.Day, _ int) string { return n(d.ServedWh()) }, total: n(t.ServedWh())},
		{
			head: headUnserved, value: func(d *sim.Day, _ int) string { return n(d.UnservedWh) }, total: n(t.UnservedWh),
			may: true, used: func(d *sim.Day) bool { return d.UnservedWh > 1 },
		},
		{
			head: headSpilled, value: func(d *sim.Day, _ int) string { return n(d.SpilledWh) }, total: n(t.SpilledWh),
			may: true, used: func(d *sim.Day) bool { return d.SpilledWh > 1 },
		},
		{head: headLow, value: func(d *sim.Day, _ int) string { return f.Percent(d.LowSoC) }, total: f.Percent(r.LowSoC)},
		{head: headEnd, value: func(d *sim.Day, _ int) string { return f.Percent(d.EndSoC) }, total: f.Percent(r.EndSoC)},
	}
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
