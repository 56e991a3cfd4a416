package weather

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"tripsim/internal/solar"
)

// csvColumns are the columns of the plain weather file, the first three needed.
var csvColumns = []string{"time", "ghi", "temp", "dni", "dhi"}

// csvLayouts are the ways to write a time, without and with the offset.
var csvLayouts = []struct {
	layout string
	zoned  bool
}{
	{"2006-01-02T15:04", false},
	{"2006-01-02T15:04:05", false},
	{"2006-01-02 15:04", false},
	{"2006-01-02 15:04:05", false},
	{"2006-01-02T15:04Z07:00", true},
	{"2006-01-02T15:04:05Z07:00", true},
	{"2006-01-02 15:04Z07:00", true},
	{"2006-01-02 15:04:05Z07:00", true},
	{"2006-01-02T15:04-0700", true},
	{"2006-01-02T15:04:05-0700", true},
}

// ReadCSV reads a plain weather file with the header `time,ghi,temp` and
// optionally dni and dhi, in any order: ISO 8601 times with or without an
// offset from UTC, means over the interval in W/m2 and degrees Celsius. A time
// names the start of its interval; hourly stamps that are all at half past
// name the middle. Times without an offset are local in zone, summer time
// included; with zone nil they are an error. Comma or semicolon between the
// columns, a point in the numbers, lines from # are comments. A blank value is
// missing and filled over up to two hours. All faults come at once.
func ReadCSV(in io.Reader, name string, zone *time.Location) (*Record, error) {
	data, err := readAll(in, name)
	if err != nil {
		return nil, err
	}
	bad := &problems{name: name}
	rec := &Record{Name: name, tempAt: 0.5, Place: solar.Place{LatDeg: math.NaN(), LonDeg: math.NaN(), ElevationM: math.NaN()}}
	cr := csv.NewReader(bytes.NewReader(data))
	cr.FieldsPerRecord, cr.ReuseRecord, cr.Comment, cr.TrimLeadingSpace = -1, true, '#', true
	cr.Comma = csvComma(data)
	reader := csvReader{zone: zone, bad: bad}
	for n := 0; bad.count <= 1000; n++ {
		f, line, ok := bad.next(cr)
		if !ok {
			break
		}
		if n == 0 {
			if reader.header(f, line); bad.count > 0 {
				return nil, bad.err()
			}
			continue
		}
		reader.row(f, line)
	}
	if bad.count == 0 {
		rec.UTCOffset = reader.clock()
		step := commonStep(reader.rows)
		centreHalfHours(reader.rows, step)
		rec.assemble(reader.rows, step, bad)
	}
	if err := bad.err(); err != nil {
		return nil, err
	}
	return rec, nil
}

// csvComma takes the semicolon where the header has one.
func csvComma(data []byte) rune {
	for line := range bytes.Lines(data) {
		if line = bytes.TrimSpace(line); len(line) == 0 || line[0] == '#' {
			continue
		}
		if bytes.ContainsRune(line, ';') {
			return ';'
		}
		break
	}
	return ','
}

type csvReader struct {
	zone    *time.Location
	bad     *problems
	index   [5]int // column of each of csvColumns, -1 without
	width   int
	rows    []fileRow // start in absolute time, until clock
	layout  int       // the last layout that fitted
	zoned   bool
	offsetS int  // of the first row
	noZone  bool // told that the times have no zone
}

func (c *csvReader) header(f []string, line int) {
	c.width = len(f)
	c.index = [5]int{-1, -1, -1, -1, -1}
	for i, raw := range f {
		h := strings.ToLower(strings.TrimSpace(raw))
		k := slices.Index(csvColumns, h)
		switch {
		case k < 0:
			c.bad.add(line, "", "%.30q is not a column of a weather file; use time, ghi, temp and, if known, dni, dhi", raw)
		case c.index[k] >= 0:
			c.bad.add(line, "", "column %s comes twice", h)
		default:
			c.index[k] = i
		}
	}
	for k, h := range csvColumns[:3] {
		if c.index[k] < 0 {
			c.bad.add(line, "", "column %s is missing; the header is time,ghi,temp and, if known, dni,dhi", h)
		}
	}
}

func (c *csvReader) row(f []string, line int) {
	if len(f) != c.width {
		c.bad.add(line, "", "%d columns where the header has %d", len(f), c.width)
		return
	}
	start, ok := c.time(f[c.index[0]], line)
	w := fileRow{
		line: line, start: start,
		ghi:  c.number(f, line, 1, -30, 1700),
		temp: c.number(f, line, 2, -95, 65),
		dni:  c.number(f, line, 3, -30, 1500),
		dhi:  c.number(f, line, 4, -30, 1500),
	}
	for _, v := range []*float64{&w.ghi, &w.dni, &w.dhi} {
		if *v < 0 { // a pyranometer's night
			*v = 0
		}
	}
	if ok {
		c.rows = append(c.rows, w)
	}
}

func (c *csvReader) number(f []string, line, k int, low, high float64) float64 {
	if c.index[k] < 0 {
		return math.NaN()
	}
	raw := strings.TrimSpace(f[c.index[k]])
	if raw == "" {
		return math.NaN()
	}
	v, err := strconv.ParseFloat(raw, 64)
	switch {
	case err != nil || math.IsNaN(v):
		c.bad.add(line, csvColumns[k], "%.20q is not a number; use a point, e.g. 12.5, or leave the cell empty", raw)
	case v < low || v > high:
		c.bad.add(line, csvColumns[k], "%g is not between %g and %g; leave the cell empty where the value is missing", v, low, high)
	}
	return v
}

// time reads a stamp as absolute time.
func (c *csvReader) time(raw string, line int) (time.Time, bool) {
	raw = strings.TrimSpace(raw)
	zone := c.zone
	if zone == nil {
		zone = time.UTC
	}
	t, zoned, ok := time.Time{}, false, false
	for i := range csvLayouts {
		l := csvLayouts[(c.layout+i)%len(csvLayouts)]
		var err error
		if t, err = time.ParseInLocation(l.layout, raw, zone); err == nil {
			c.layout, zoned, ok = (c.layout+i)%len(csvLayouts), l.zoned, true
			break
		}
	}
	if !ok {
		c.bad.add(line, "time", "%.30q is not a date and time; use e.g. 2024-06-01T13:00 or 2024-06-01T13:00+02:00", raw)
		return t, false
	}
	if len(c.rows) == 0 {
		c.zoned = zoned
		_, c.offsetS = t.Zone()
	}
	switch {
	case zoned != c.zoned:
		c.bad.add(line, "time", "%.30q: some times carry an offset from UTC and some do not", raw)
		return t, false
	case zoned:
		return t, true
	case c.zone == nil:
		if !c.noZone { // once: it is one mistake of the file
			c.bad.add(line, "time", "%.30q has %v; say in which zone the file is (--time-zone, e.g. Europe/Oslo), or write every time as 2024-06-01T13:00+02:00", raw, errNoZone)
		}
		c.noZone = true
		return t, false
	}
	return c.local(t, raw, line)
}

// local settles the hours of the change of summer time: one that does not
// exist is an error, the second of a repeated one is an hour later.
func (c *csvReader) local(t time.Time, raw string, line int) (time.Time, bool) {
	wall := func(t time.Time) string { return t.In(c.zone).Format(time.DateTime) }
	asUTC, err := time.Parse(csvLayouts[c.layout].layout, raw)
	if err != nil {
		return t, false
	}
	written := asUTC.Format(time.DateTime)
	if wall(t) != written {
		c.bad.add(line, "time", "%.30q does not exist in %s, where the clock springs forward", raw, c.zone)
		return t, false
	}
	for _, shift := range []time.Duration{-time.Hour, -30 * time.Minute, 0, 30 * time.Minute, time.Hour} {
		u := t.Add(shift)
		if n := len(c.rows); wall(u) == written && (n == 0 || u.After(c.rows[n-1].start)) {
			return u, true
		}
	}
	return t, true
}

// clock turns the rows to the file's clock: the offset of its stamps, or the
// zone's standard time.
func (c *csvReader) clock() time.Duration {
	offset := time.Duration(c.offsetS) * time.Second
	if !c.zoned && len(c.rows) > 0 {
		year := c.rows[0].start.In(c.zone).Year()
		for _, m := range []time.Month{time.January, time.July} {
			_, s := time.Date(year, m, 1, 0, 0, 0, 0, c.zone).Zone()
			offset = min(offset, time.Duration(s)*time.Second)
		}
	}
	for i := range c.rows {
		c.rows[i].start = c.rows[i].start.UTC().Add(offset)
	}
	return offset
}

// commonStep is the median interval between rows.
func commonStep(rows []fileRow) time.Duration {
	if len(rows) < 2 {
		return 0
	}
	var d []time.Duration
	for i := 1; i < len(rows); i++ {
		d = append(d, rows[i].start.Sub(rows[i-1].start))
	}
	sort.Slice(d, func(i, j int) bool { return d[i] < d[j] })
	return d[len(d)/2]
}

// centreHalfHours moves hourly stamps that are all at half past to the start
// of their hour.
func centreHalfHours(rows []fileRow, step time.Duration) {
	if step != time.Hour {
		return
	}
	for _, w := range rows {
		if w.start.Minute() != 30 {
			return
		}
	}
	for i := range rows {
		rows[i].start = rows[i].start.Add(-30 * time.Minute)
	}
}
