package web

import (
	"fmt"
	"html"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// The curve's layout, px.
const (
	curveLeft   = 44.0
	curveRight  = 14.0
	curveTop    = 26.0 // room for the flags of flat days
	stripPx     = 11.0
	stripGapPx  = 5.0
	minCurvePx  = 280.0
	maxCurvePx  = 2400.0
	defCurvePx  = 760.0
	dayLabelPx  = 34.0
	minDayPx    = 3.0 // under which nights are left out
	markTextGap = 4.0
	labelCharPx = 6.2 // mean width of a letter
)

// curve draws the state of charge for the page: colours and type come from the
// page's style sheet, so that it follows light and dark; marks differ in shape
// and pattern as well. Documents use the pictures of package chart.
type curve struct {
	b              strings.Builder
	r              *sim.Result
	risk           *sim.Risk
	f              report.Format
	width, height  float64
	right, bottom  float64 // of the plot
	hoursN, stepH  float64
	stripsPx       float64
	driving, mains []span
}

// span is a piece of the trip, hours since its start.
type span struct{ from, to float64 }

// curveSVG returns the svg element for a pane of so many CSS pixels.
func curveSVG(r *sim.Result, risk *sim.Risk, f report.Format, widthPx float64) string {
	if !(widthPx >= minCurvePx && widthPx <= maxCurvePx) {
		widthPx = defCurvePx
	}
	c := &curve{r: r, risk: risk, f: f, width: math.Round(widthPx)}
	c.stepH = r.Step.Hours()
	c.hoursN = float64(len(r.Rows)) * c.stepH
	c.driving = c.spans(func(t int) float64 { return r.Slots[t].DriveH })
	c.mains = c.spans(func(t int) float64 { return r.Slots[t].MainsH + r.Slots[t].GenH })
	c.right = c.width - curveRight
	c.bottom = curveTop + math.Min(300, math.Max(190, c.width*0.36))
	c.stripsPx = 2 * (stripPx + stripGapPx)
	c.height = c.bottom + c.stripsPx + dayLabelPx
	c.open()
	c.grid()
	c.nights()
	c.bands()
	c.flats()
	c.line()
	c.strips()
	c.days()
	c.b.WriteString("</svg>")
	return c.b.String()
}

func (c *curve) x(hour float64) float64 { return curveLeft + hour/c.hoursN*(c.right-curveLeft) }
func (c *curve) y(soc float64) float64  { return c.bottom - soc*(c.bottom-curveTop) }

// spans joins the steps in which of gives hours.
func (c *curve) spans(of func(t int) float64) (out []span) {
	for t := range c.r.Slots {
		h := of(t)
		if h <= 0 {
			continue
		}
		from := float64(t) * c.stepH
		if n := len(out); n > 0 && out[n-1].to >= from-1e-9 {
			out[n-1].to = from + h
			continue
		}
		out = append(out, span{from + c.stepH - h, from + c.stepH})
		if t+1 < len(c.r.Slots) && of(t+1) <= 0 {
			out[len(out)-1] = span{from, from + h}
		}
	}
	return out
}

func (c *curve) open() {
	fmt.Fprintf(&c.b, `<svg class="curve" xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-label="%s"`,
		px(c.width), px(c.height), px(c.width), px(c.height), html.EscapeString(c.summary()))
	fmt.Fprintf(&c.b, ` data-left="%s" data-right="%s" data-top="%s" data-bottom="%s" data-hours="%s">`,
		px(curveLeft), px(c.right), px(curveTop), px(c.bottom), px(c.hoursN))
	c.b.WriteString(`<defs>` +
		`<pattern id="flat-hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect class="flat-ground" width="6" height="6"/><path class="flat-line" d="M0 0V6"/></pattern>` +
		`<pattern id="mains-hatch" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(-45)"><path class="mains-line" d="M1 0V5"/></pattern></defs>`)
}

// summary says in words what the curve shows.
func (c *curve) summary() string {
	r := c.r
	s := fmt.Sprintf("State of charge of %s over %d days: starts at %s, lowest %s, ends at %s; cut-off %s.", report.Clean(r.System.Name),
		len(r.Days), c.f.Percent(r.StartSoC), c.f.Percent(r.LowSoC), c.f.Percent(r.EndSoC), report.CutOff(r, c.f))
	if r.FlatDays > 0 {
		s += fmt.Sprintf(" Flat on %d days.", r.FlatDays)
	}
	return s
}

func (c *curve) grid() {
	for pct := 0; pct <= 100; pct += 20 {
		y := c.y(float64(pct) / 100)
		fmt.Fprintf(&c.b, `<path class="grid" d="M%s %sH%s"/>`, px(curveLeft), px(y), px(c.right))
		fmt.Fprintf(&c.b, `<text class="tick" x="%s" y="%s" text-anchor="end">%d</text>`, px(curveLeft-6), px(y+4), pct)
	}
	fmt.Fprintf(&c.b, `<text class="tick" x="%s" y="%s" text-anchor="end">%%</text>`, px(curveLeft-6), px(curveTop-10))
}

func (c *curve) dayPx() float64 { return (c.right - curveLeft) / float64(len(c.r.Days)) }

func (c *curve) nights() {
	if c.dayPx() < minDayPx*3 {
		return
	}
	dark := c.spans(func(t int) float64 {
		if c.r.Slots[t].Up < 0.5 {
			return c.stepH
		}
		return 0
	})
	for _, s := range dark {
		c.rect("night", s, curveTop, c.bottom)
	}
}

func (c *curve) rect(class string, s span, top, bottom float64) {
	x := c.x(s.from)
	fmt.Fprintf(&c.b, `<rect class="%s" x="%s" y="%s" width="%s" height="%s"/>`, class, px(x), px(top), px(math.Max(1, c.x(s.to)-x)), px(bottom-top))
}

// bands draws the spread over the simulated trips.
func (c *curve) bands() {
	if c.risk == nil || len(c.risk.Bands) < 2 {
		return
	}
	start := c.r.Slots[0].Start
	for _, b := range []struct {
		class  string
		lo, hi func(*sim.Band) float64
	}{
		{"band-wide", func(b *sim.Band) float64 { return b.Q05 }, func(b *sim.Band) float64 { return b.Q95 }},
		{"band-half", func(b *sim.Band) float64 { return b.Q25 }, func(b *sim.Band) float64 { return b.Q75 }},
	} {
		fmt.Fprintf(&c.b, `<path class="%s" d="`, b.class)
		letter := "M"
		put := func(q *sim.Band, v float64) {
			c.b.WriteString(letter + px(c.x(q.At.Sub(start).Hours())) + " " + px(c.y(v)))
			letter = "L"
		}
		bands := c.risk.Bands
		for i := range bands {
			put(&bands[i], b.hi(&bands[i]))
		}
		for i := len(bands) - 1; i >= 0; i-- {
			put(&bands[i], b.lo(&bands[i]))
		}
		c.b.WriteString(`Z"/>`)
	}
}

// flats hatches flat spells and flags flat days; a flag leads to the reason.
func (c *curve) flats() {
	r := c.r
	for i := range r.Flats {
		s := &r.Flats[i]
		at := span{s.Start.Sub(r.Slots[0].Start).Hours(), s.End.Sub(r.Slots[0].Start).Hours()}
		c.rect("flat-spell", at, curveTop, c.bottom)
	}
	for i := range r.Days {
		if !r.Days[i].Flat() {
			continue
		}
		spell := c.spellOn(i)
		x := c.x((float64(r.Days[i].FirstRow) + float64(r.Days[i].EndRow)) / 2 * c.stepH)
		fmt.Fprintf(&c.b, `<a class="flag" href="#spell-%d" data-spell="%d" aria-label="%s"><rect class="hit" x="%s" y="0" width="24" height="%s"/>`+
			`<path class="flag-mark" d="M%s %sl7 13h-14z"/><path class="flag-bang" d="M%s %sv4m0 1.8v1.4"/></a>`,
			spell, spell, html.EscapeString("Flat on "+c.f.Day(r.Days[i].Date)+": why"), px(x-12), px(curveTop), px(x), px(5), px(x), px(9.5))
	}
}

// spellOn finds the flat spell that a day belongs to.
func (c *curve) spellOn(day int) int {
	d := &c.r.Days[day]
	from := c.r.Slots[d.FirstRow].Start
	end := c.r.Slots[d.EndRow-1].Start.Add(c.r.Step)
	for i := range c.r.Flats {
		if c.r.Flats[i].End.After(from) && c.r.Flats[i].Start.Before(end) {
			return i
		}
	}
	return 0
}

// line draws cut-off, state of charge and the lowest point.
func (c *curve) line() {
	r := c.r
	c.cutoff()
	var d strings.Builder
	d.WriteString("M" + px(c.x(0)) + " " + px(c.y(r.StartSoC)))
	lowAt := 0
	for t := range r.Rows {
		if r.Rows[t].SoC < r.Rows[lowAt].SoC {
			lowAt = t
		}
	}
	every := max(1, int(float64(len(r.Rows))/(c.width*2)))
	for t := range r.Rows {
		if t%every == 0 || t == lowAt || t == len(r.Rows)-1 {
			d.WriteString("L" + px(c.x(float64(t+1)*c.stepH)) + " " + px(c.y(r.Rows[t].SoC)))
		}
	}
	fmt.Fprintf(&c.b, `<path class="soc-under" d="%s"/><path class="soc" d="%s"/>`, d.String(), d.String())
	c.cutoffLabel()
	if r.FlatH > 0 || len(r.Rows) == 0 {
		return
	}
	x, low := c.x(float64(lowAt+1)*c.stepH), c.y(r.Rows[lowAt].SoC)
	anchor, dx := "start", 8.0
	if x > c.right-70 {
		anchor, dx = "end", -8
	}
	fmt.Fprintf(&c.b, `<circle class="low-dot" cx="%s" cy="%s" r="4"/><text class="low-label" x="%s" y="%s" text-anchor="%s">lowest %s</text>`,
		px(x), px(low), px(x+dx), px(math.Min(low+15, c.bottom-16)), anchor, html.EscapeString(c.f.Percent(r.LowSoC)))
}

// cutoffAt is the state of charge at which the battery is disconnected in a step:
// in the cold less of the charge can be had.
func (c *curve) cutoffAt(t int) float64 { return max(c.r.MinSoC, c.r.Rows[t].FloorSoC) }

// cutoffStep is the least change of the cut-off that is drawn, 0..1.
const cutoffStep = 0.002

// cutoff draws the cut-off step by step.
func (c *curve) cutoff() {
	if len(c.r.Rows) == 0 {
		return
	}
	at := c.cutoffAt(0)
	fmt.Fprintf(&c.b, `<path class="cutoff" d="M%s %s`, px(curveLeft), px(c.y(at)))
	for t := range c.r.Rows {
		if now := c.cutoffAt(t); math.Abs(now-at) > cutoffStep {
			at = now
			fmt.Fprintf(&c.b, "H%sV%s", px(c.x(float64(t)*c.stepH)), px(c.y(at)))
		}
	}
	fmt.Fprintf(&c.b, `H%s"/>`, px(c.right))
}

// cutoffLabel names the cut-off below its line, with its range in the cold where
// there is room; the key below the curve has it in any case.
func (c *curve) cutoffLabel() {
	if len(c.r.Rows) == 0 {
		return
	}
	text := "cut-off " + report.CutOff(c.r, c.f)
	long := func() float64 { return curveLeft + markTextGap + float64(utf8.RuneCountInString(text))*labelCharPx }
	if long() > c.right {
		text = "cut-off"
	}
	lowest := c.cutoffAt(0)
	for t := range c.r.Rows {
		if c.x(float64(t)*c.stepH) < long() {
			lowest = min(lowest, c.cutoffAt(t))
		}
	}
	y := math.Min(c.bottom-3, c.y(lowest)+13)
	fmt.Fprintf(&c.b, `<text class="cut-label" x="%s" y="%s">%s</text>`, px(curveLeft+markTextGap), px(y), html.EscapeString(text))
}

func (c *curve) strips() {
	y := c.bottom + 7
	for _, s := range []struct {
		name, class string
		spans       []span
	}{{"drive", "strip-drive", c.driving}, {"mains", "strip-mains", c.mains}} {
		fmt.Fprintf(&c.b, `<text class="tick" x="%s" y="%s" text-anchor="end">%s</text><path class="strip-line" d="M%s %sH%s"/>`,
			px(curveLeft-6), px(y+stripPx-1), s.name, px(curveLeft), px(y+stripPx+0.5), px(c.right))
		for _, at := range s.spans {
			c.rect(s.class, at, y, y+stripPx)
		}
		y += stripPx + stripGapPx
	}
}

// days labels the days: number of the day, and the month where it begins.
func (c *curve) days() {
	y := c.bottom + c.stripsPx + 14
	every := 1
	for c.dayPx()*float64(every) < 22 {
		every = []int{2, 5, 10, 15, 30, 60, 120, 400}[min(7, indexOfStep(every))]
	}
	lastMonth := 0
	for i := range c.r.Days {
		d := &c.r.Days[i]
		from, to := c.x(float64(d.FirstRow)*c.stepH), c.x(float64(d.EndRow)*c.stepH)
		if i > 0 && c.dayPx() > 6 {
			fmt.Fprintf(&c.b, `<path class="midnight" d="M%s %sV%s"/>`, px(from), px(curveTop), px(c.bottom+c.stripsPx))
		}
		if i%every != 0 {
			continue
		}
		fmt.Fprintf(&c.b, `<text class="tick" x="%s" y="%s" text-anchor="middle">%d</text>`, px((from+to)/2), px(y), d.Date.Day())
		if m := int(d.Date.Month()); m != lastMonth {
			lastMonth = m
			fmt.Fprintf(&c.b, `<text class="tick month" x="%s" y="%s" text-anchor="middle">%s</text>`, px((from+to)/2), px(y+14), html.EscapeString(c.f.Month(d.Date.Month())))
		}
	}
}

func indexOfStep(every int) int {
	for i, s := range []int{1, 2, 5, 10, 15, 30, 60, 120} {
		if every == s {
			return i
		}
	}
	return 7
}

// px writes a coordinate with one decimal at most.
func px(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
}
