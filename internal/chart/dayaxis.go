package chart

import (
	"strconv"
	"time"
)

// dayAxis writes the local days under a frame whose x axis is the trip's time,
// from topMM downwards: dates thinned out to what fits, then all places. It
// returns where it ends. With clocks the hours of a single day are written too.
func dayAxis(sheet, f *frame, t *trail, o *options, topMM float64, clocks bool) float64 {
	a := &daysBelow{sheet: sheet, f: f, t: t, o: o, y: topMM, clocks: clocks}
	a.dates()
	a.places()
	return a.y
}

type daysBelow struct {
	sheet, f *frame
	t        *trail
	o        *options
	y        float64
	clocks   bool
}

// edges are the mm between which a day lies.
func (a *daysBelow) edges(day int) (left, right float64) {
	s := a.t.day(day)
	return a.f.xMM(s.from), a.f.xMM(s.to)
}

func (a *daysBelow) dates() {
	days := a.t.r.Days
	n := len(days)
	dayMM := (a.f.box.Right - a.f.box.Left) / float64(n)
	widest, widestNumber := 0.0, 0.0
	for i := range days {
		widest = max(widest, smallLetter.widthMM(a.o.locale.day(days[i].Date)))
		widestNumber = max(widestNumber, smallLetter.widthMM(strconv.Itoa(days[i].Date.Day())))
	}
	base := a.y + 1.4 + smallLetter.heightMM()
	switch {
	case n == 1 && a.clocks:
		a.hours(6)
		base = a.y
	case dayMM >= widest+1.5:
		if dayMM > 30 && a.clocks {
			a.hourTicks(6)
		}
		for i := range days {
			a.dated(i, base)
		}
		a.ticks(1, 1.2)
	case dayMM >= widestNumber+1:
		a.numbered(base)
		a.ticks(1, 1.2)
		base += smallLetter.heightMM() + 0.4
	case dayMM*28 >= widest+2:
		a.stepped(base, dayMM, widest)
	default:
		a.monthly(base)
	}
	a.y = base
}

// dated centres the full date under a day; a day of 23 or 25 hours says so.
func (a *daysBelow) dated(i int, base float64) {
	left, right := a.edges(i)
	s := a.o.locale.day(a.t.r.Days[i].Date)
	if h := a.t.day(i).to - a.t.day(i).from; h > 24.01 || h < 23.99 {
		if long := s + " (" + a.o.locale.hours(h) + ")"; smallLetter.widthMM(long) <= right-left-1 {
			s = long
		}
	}
	a.sheet.text(smallLetter, (left+right)/2, base-descentMM(smallLetter), s, atCentre)
}

// numbered writes day numbers, and the months in a second line.
func (a *daysBelow) numbered(base float64) {
	days := a.t.r.Days
	second := base + smallLetter.heightMM() + 0.4
	free := 0.0
	for i := range days {
		left, right := a.edges(i)
		a.sheet.text(smallLetter, (left+right)/2, base-descentMM(smallLetter), strconv.Itoa(days[i].Date.Day()), atCentre)
		if i > 0 && days[i].Date.Month() == days[i-1].Date.Month() {
			continue
		}
		if name := a.o.locale.month(days[i].Date); left >= free && left+smallLetter.widthMM(name) <= a.f.box.Right+1 {
			a.sheet.text(smallLetter, left+0.5, second-descentMM(smallLetter), name, atLeft)
			free = left + smallLetter.widthMM(name) + 2
		}
	}
}

// stepped dates every second, third, seventh ... day at its midnight.
func (a *daysBelow) stepped(base, dayMM, widest float64) {
	every := 28
	for _, k := range []int{2, 3, 7, 14} {
		if float64(k)*dayMM >= widest+2.5 {
			every = k
			break
		}
	}
	if dayMM > 1.2 {
		a.ticks(1, 0.8)
	}
	a.ticks(every, 2)
	for i := 0; i < len(a.t.r.Days); i += every {
		left, _ := a.edges(i)
		s := a.o.locale.day(a.t.r.Days[i].Date)
		if left+0.6+smallLetter.widthMM(s) <= a.f.box.Right+2 {
			a.sheet.text(smallLetter, left+0.6, base-descentMM(smallLetter), s, atLeft)
		}
	}
}

// monthly names the months, with the year at the first and at each January.
func (a *daysBelow) monthly(base float64) {
	free := 0.0
	var at []float64
	for i := range a.t.r.Days {
		date := a.t.r.Days[i].Date
		if i > 0 && date.Day() != 1 {
			continue
		}
		left, _ := a.edges(i)
		at = append(at, left)
		s := a.o.locale.month(date)
		if i == 0 || date.Month() == time.January {
			s += " " + strconv.Itoa(date.Year())
		}
		if left >= free && left+0.6+smallLetter.widthMM(s) <= a.f.box.Right+2 {
			a.sheet.text(smallLetter, left+0.6, base-descentMM(smallLetter), s, atLeft)
			free = left + smallLetter.widthMM(s) + 1.5
		}
	}
	a.tickMarks(at, 2)
}

// hours writes clock hours, for a trip of a single day.
func (a *daysBelow) hours(every float64) {
	a.hourTicks(every)
	base := a.y + 1.4 + smallLetter.heightMM()
	for h := 0.0; h <= a.t.endH+1e-9; h += every {
		s := clock(a.t.r.Slots[0].LocalH + h)
		if h >= a.t.endH-1e-9 && h > 0 {
			s = clock(a.t.localClock(a.t.endH-1e-6) + 1e-6)
		}
		a.sheet.text(smallLetter, a.f.xMM(h), base-descentMM(smallLetter), s, atCentre)
	}
	a.y = base + 0.5 + smallLetter.heightMM()
	a.sheet.text(smallLetter, (a.f.box.Left+a.f.box.Right)/2, a.y-descentMM(smallLetter), a.o.locale.date(a.t.r.Days[0].Date), atCentre)
}

// hourTicks marks every so many hours of each day's clock, without text.
func (a *daysBelow) hourTicks(every float64) {
	var at []float64
	for i := range a.t.r.Days {
		s := a.t.day(i)
		for h := s.from; h < s.to-1e-9; h += every {
			at = append(at, a.f.xMM(h))
		}
	}
	a.tickMarks(append(at, a.f.box.Right), 0.8)
}

func (a *daysBelow) ticks(every int, lengthMM float64) {
	var at []float64
	for i := 0; i < len(a.t.r.Days); i += every {
		left, _ := a.edges(i)
		at = append(at, left)
	}
	a.tickMarks(append(at, a.f.box.Right), lengthMM)
}

func (a *daysBelow) tickMarks(atMM []float64, lengthMM float64) {
	y := a.y
	a.sheet.add("day tick", func(n *nib) {
		for _, x := range atMM {
			n.line(x, y, x, y+lengthMM, frameGrey, thinPt, nil)
		}
	})
}
