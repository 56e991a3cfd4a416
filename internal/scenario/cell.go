package scenario

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tripsim/internal/sim"
)

// cell is the text of one field with its place; converters mark it bad when
// they have reported it, so that cross-checks leave it alone.
type cell struct {
	text string
	col  *Column
	at   position
	bad  bool
}

type position struct {
	table     *Table
	row       int // index into Table.Rows, -1 for the header
	line, pos int
}

// UnmarshalCSV takes the text as it is; values are converted later, with the
// schema, so that nothing is accepted in silence.
func (c *cell) UnmarshalCSV(s string) error {
	c.text = trim(s)
	return nil
}

func (c *cell) given() bool { return c.text != "" }

// checker converts cells and collects what is wrong with them.
type checker struct {
	problems Problems
	warnings []string
	// Set when rows may be missing because of a mistake that is
	// reported elsewhere: what refers to them is no second mistake.
	strayStops, straySystems, strayUnits bool
	guessed                              []heightGuess
	zonesFound                           bool // a time zone was found by position
	places                               Gazetteer
	taken                                []string // rows whose position was found by name
	stayed                               []string // rows of another place with the position of the row above
	swapped                              []string // rows whose coordinates look swapped
}

// report adds a problem at a cell and marks it bad.
func (k *checker) report(c *cell, format string, args ...any) {
	c.bad = true
	p := Problem{File: c.at.table.File, Line: c.at.line, Col: c.at.pos, Row: c.at.row, Text: fmt.Sprintf(format, args...)}
	if c.col != nil {
		p.Column = c.col.Name
	}
	k.problems = append(k.problems, p)
}

func (k *checker) warn(format string, args ...any) {
	k.warnings = append(k.warnings, fmt.Sprintf(format, args...))
}

// value returns the text of the cell or its default; ok is false for a blank
// without a default, which is reported when the column requires a value.
func (k *checker) value(c *cell) (string, bool) {
	switch {
	case c.given():
		return c.text, true
	case c.col.Required:
		if !c.bad { // else the whole column is missing, which is said once
			k.report(c, "is blank; use e.g. %s", c.col.Example)
		}
		return "", false
	default:
		return c.col.Default, c.col.Default != ""
	}
}

var plainNumber = regexp.MustCompile(`^[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,3})?$`)

// number returns the value of a Number or Integer cell, NaN for a blank
// without a default or a cell in error.
func (k *checker) number(c *cell) float64 {
	s, ok := k.value(c)
	if !ok {
		return math.NaN()
	}
	rule := c.at.table
	if !c.given() {
		rule = &Table{} // defaults have points
	}
	v, ok := rule.Number(s)
	switch {
	case math.IsNaN(v):
		k.report(c, "%s is not %s; use e.g. %s", quoted(c.text), c.col.noun(), c.col.Example)
	case !ok:
		k.report(c, "%s is too large a number; use e.g. %s", quoted(c.text), c.col.Example)
	case v < c.col.Min || v > c.col.Max:
		k.report(c, "%s is not from %s to %s; use e.g. %s", quoted(c.text), plain(c.col.Min), trim(plain(c.col.Max)+" "+c.col.unitWord()), c.col.Example)
	case c.col.Kind == Integer && v != math.Trunc(v):
		k.report(c, "%s is not a whole number; use e.g. %s", quoted(c.text), c.col.Example)
	default:
		return v
	}
	return math.NaN()
}

// share is a number in percent as 0..1.
func (k *checker) share(c *cell) float64 { return k.number(c) / 100 }

func (c *Column) noun() string {
	noun := "a number"
	if c.Kind == Integer {
		noun = "a whole number"
	}
	if unit := c.unitWord(); unit != "" {
		return noun + " of " + unit
	}
	return noun
}

// unitWords spells the units out for messages.
var unitWords = map[string]string{
	"A": "amperes", "Ah": "ampere-hours", "V": "volts", "W": "watts", "W/K": "watts per kelvin",
	"m": "metres", "l": "litres", "K": "kelvin", "%": "percent", "%/K": "percent per kelvin", "deg C": "degrees Celsius",
}

func (c *Column) unitWord() string {
	if word, ok := unitWords[c.Unit]; ok {
		return word
	}
	return c.Unit
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// choice returns one of the column's choices, "" for a blank without a default
// or a cell in error.
func (k *checker) choice(c *cell) string {
	s, ok := k.value(c)
	if !ok {
		return ""
	}
	for _, known := range c.col.Choices {
		if strings.EqualFold(s, known) {
			return known
		}
	}
	if n := nearest(s, c.col.Choices); n != "" {
		k.report(c, "%s is not one of %s; did you mean %s?", quoted(s), strings.Join(c.col.Choices, ", "), n)
	} else {
		k.report(c, "%s is not one of %s", quoted(s), strings.Join(c.col.Choices, ", "))
	}
	return ""
}

func (k *checker) yesNo(c *cell) bool {
	s, ok := k.value(c)
	if !ok {
		return false
	}
	switch strings.ToLower(s) {
	case "yes", "y", "true", "1":
		return true
	case "no", "n", "false", "0":
		return false
	}
	k.report(c, "%s is neither yes nor no", quoted(s))
	return false
}

// dayMask returns the days a row applies to.
func (k *checker) dayMask(c *cell) sim.DayMask {
	s := k.choice(c)
	for m := sim.AllDays; m <= sim.MainsDays; m++ {
		if s == m.String() {
			return m
		}
	}
	return sim.AllDays
}

var clockText = regexp.MustCompile(`^([0-9]{1,2}):([0-9]{2})(:00)?$`)

// clockHours reads HH:MM as hours, 0..24.
func clockHours(s string) (float64, bool) {
	m := clockText.FindStringSubmatch(s)
	if m == nil {
		return 0, false
	}
	h, _ := strconv.Atoi(m[1])
	minutes, _ := strconv.Atoi(m[2])
	if minutes > 59 || h > 24 || h == 24 && minutes > 0 {
		return 0, false
	}
	return float64(h) + float64(minutes)/60, true
}

// clock returns the hour of a Clock cell, NaN for a blank without a default or
// a cell in error.
func (k *checker) clock(c *cell) float64 {
	s, ok := k.value(c)
	if !ok {
		return math.NaN()
	}
	h, ok := clockHours(s)
	if !ok {
		k.report(c, "%s is not a time of day; use e.g. %s", quoted(s), c.col.Example)
		return math.NaN()
	}
	return h
}

// maxUses is the largest number of uses of an appliance in a day.
const maxUses = 96

func (k *checker) clockList(c *cell) []float64 {
	var hours []float64
	for _, s := range strings.FieldsFunc(c.text, func(r rune) bool { return strings.ContainsRune("; ,/", r) }) {
		h, ok := clockHours(s)
		if !ok {
			k.report(c, "%s is not a time of day; use e.g. %s", quoted(s), c.col.Example)
			return nil
		}
		hours = append(hours, h)
	}
	switch {
	case c.given() && len(hours) == 0:
		k.report(c, "%s holds no time of day; use e.g. %s", quoted(c.text), c.col.Example)
	case len(hours) > maxUses:
		k.report(c, "holds %d times; at most %d uses a day are simulated", len(hours), maxUses)
		return nil
	}
	return hours
}

var isoDate = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)

// Years in which the sun's position is good.
const firstYear, lastYear = 1950, 2100

// date returns a civil date as its UTC midnight; zero for a blank or a cell in
// error.
func (k *checker) date(c *cell) time.Time {
	if !c.given() {
		return time.Time{}
	}
	d, err := time.Parse(time.DateOnly, c.text)
	switch {
	case !isoDate.MatchString(c.text):
		k.report(c, "%s is not a date as year-month-day; use e.g. %s", quoted(c.text), c.col.Example)
	case err != nil:
		k.report(c, "%s is not a day of the calendar; use e.g. %s", quoted(c.text), c.col.Example)
	case d.Year() < firstYear || d.Year() > lastYear:
		k.report(c, "%s is not in the years %d to %d; use e.g. %s", quoted(c.text), firstYear, lastYear, c.col.Example)
	default:
		return d
	}
	return time.Time{}
}

// zone returns the location named in a cell; nil for a blank or an error.
func (k *checker) zone(c *cell) *time.Location {
	if !c.given() {
		return nil
	}
	if loc, err := time.LoadLocation(c.text); err == nil && c.text != "Local" {
		return loc
	}
	hint := "use e.g. " + c.col.Example + ", or leave it blank"
	if n := nearest(c.text, ZoneNames()); n != "" {
		hint = "did you mean " + n + "?"
	}
	k.report(c, "%s is not a time zone that is known; %s", quoted(c.text), hint)
	return nil
}

// operation returns when the inverter is on.
func (k *checker) operation(c *cell) (sim.InverterMode, sim.Span) {
	s, _ := k.value(c)
	switch strings.ToLower(s) {
	case "always":
		return sim.InverterAlways, sim.Span{}
	case "needed":
		return sim.InverterNeeded, sim.Span{}
	}
	from, to, ok := strings.Cut(s, "-")
	start, ok1 := clockHours(trim(from))
	end, ok2 := clockHours(trim(to))
	switch {
	case !ok || !ok1 || !ok2:
		k.report(c, "%s is not always, needed or a time window; use e.g. %s", quoted(s), c.col.Example)
	case start == end:
		k.report(c, "%s is a window of no length; use e.g. %s", quoted(s), c.col.Example)
	default:
		hours := end - start
		if hours < 0 {
			hours += 24
		}
		return sim.InverterWindow, sim.Span{StartH: start, Hours: hours}
	}
	return sim.InverterNeeded, sim.Span{}
}
