package weather

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"tripsim/internal/solar"
)

// A Record is a weather file: whole days of equal intervals by the file's own
// clock, which never changes for summer time.
type Record struct {
	Name      string
	Place     solar.Place   // NaN where the file does not say
	UTCOffset time.Duration // of the file's clock
	Step      time.Duration // of its intervals
	Typical   bool          // months of different years put together: the year means nothing
	Notes     []string      // what was mended on reading

	first  time.Time // midnight UTC of the first day's date
	days   int
	perDay int
	ghi    []float64 // W/m2, mean of each interval
	temp   []float64 // degrees Celsius
	tempAt float64   // where in its interval the temperature holds: 0.5 the mean, 1 the end
	dhi    []float64 // W/m2, NaN where the file has none
	dni    []float64 // W/m2, NaN where the file has none
}

const (
	maxFileBytes = 64 << 20
	maxGapFill   = 2 * time.Hour // missing values up to this long are interpolated, and noted
)

// ReadRecord reads a weather file of either kind, told apart by its first
// line. The name is for messages; zone as in [ReadCSV].
func ReadRecord(data []byte, name string, zone *time.Location) (*Record, error) {
	head := bytes.TrimPrefix(data, []byte("\ufeff"))
	if len(head) >= 9 && bytes.EqualFold(head[:9], []byte("LOCATION,")) {
		return ReadEPW(bytes.NewReader(data), name)
	}
	return ReadCSV(bytes.NewReader(data), name, zone)
}

// readAll reads a file up to the size limit.
func readAll(r io.Reader, name string) ([]byte, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxFileBytes+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(data) > maxFileBytes {
		return nil, fmt.Errorf("%s: longer than %d MB, which no weather file of some years is", name, maxFileBytes>>20)
	}
	return bytes.TrimPrefix(data, []byte("\ufeff")), nil
}

// Span is the first and last date of the record (midnight UTC of the dates).
func (r *Record) Span() (first, last time.Time) {
	return r.first, r.first.AddDate(0, 0, r.days-1)
}

// A fileRow is one interval as read, its start by the file's clock (as UTC).
type fileRow struct {
	line                int
	start               time.Time
	ghi, temp, dni, dhi float64 // NaN = missing
}

// assemble puts rows on the calendar: real dates, or, where the years jump and
// the rest of the date does not, one typical year. It tells every gap,
// repetition and backward jump, and cuts incomplete days off the ends.
func (r *Record) assemble(rows []fileRow, step time.Duration, bad *problems) {
	switch {
	case len(rows) < 2:
		bad.add(0, "", "no weather in it: %d rows", len(rows))
		return
	case step < time.Minute || step > 3*time.Hour || (24*time.Hour)%step != 0:
		bad.add(rows[0].line, "time", "intervals of %v do not divide the day; use hourly rows", step)
		return
	}
	r.Step, r.perDay = step, int(24*time.Hour/step)
	if countBreaks(rows, step) > 0 {
		generic := genericYear(rows)
		if a, b := countBreaks(generic, step), countBreaks(rows, step); a < b {
			rows, r.Typical = generic, true
		}
	}
	tellBreaks(rows, step, r.Typical, bad)
	if bad.count > 0 {
		return
	}
	if off := rows[0].start.Sub(rows[0].start.Truncate(24*time.Hour)) % step; off != 0 {
		bad.add(rows[0].line, "time", "intervals start %v after the full %v; use stamps at full hours (or at half past for the middle of the hour)", off, step)
		return
	}
	from, to := 0, len(rows)
	for from < to && rows[from].start.Truncate(24*time.Hour) != rows[from].start {
		from++
	}
	to -= (to - from) % r.perDay
	if cut := len(rows) - (to - from); cut > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d rows of incomplete days at the ends left out", cut))
	}
	if to == from {
		bad.add(0, "", "not one whole day (midnight to midnight by the file's clock)")
		return
	}
	rows = rows[from:to]
	r.first, r.days = rows[0].start, len(rows)/r.perDay
	for _, w := range rows {
		r.ghi, r.temp = append(r.ghi, w.ghi), append(r.temp, w.temp)
		r.dhi, r.dni = append(r.dhi, w.dhi), append(r.dni, w.dni)
	}
	r.mend(rows, r.ghi, "ghi", "global horizontal irradiance", bad)
	r.mend(rows, r.temp, "temp", "air temperature", bad)
}

func countBreaks(rows []fileRow, step time.Duration) (n int) {
	for i := 1; i < len(rows); i++ {
		if rows[i].start.Sub(rows[i-1].start) != step {
			n++
		}
	}
	return n
}

// genericYear moves all rows to one year: 2001, or 2000 where there is a
// February 29.
func genericYear(rows []fileRow) []fileRow {
	year := 2001
	for _, w := range rows {
		if w.start.Month() == time.February && w.start.Day() == 29 {
			year = 2000
			break
		}
	}
	out := append([]fileRow(nil), rows...)
	for i := range out {
		s := out[i].start
		out[i].start = time.Date(year, s.Month(), s.Day(), s.Hour(), s.Minute(), s.Second(), 0, time.UTC)
	}
	return out
}

func tellBreaks(rows []fileRow, step time.Duration, typical bool, bad *problems) {
	layout := "2006-01-02 15:04"
	if typical {
		layout = "01-02 15:04"
	}
	for i := 1; i < len(rows); i++ {
		was, is := rows[i-1], rows[i]
		switch d := is.start.Sub(was.start); {
		case d == step:
		case d == 0:
			bad.add(is.line, "time", "%s comes twice (first in line %d)", is.start.Format(layout), was.line)
		case d < 0:
			bad.add(is.line, "time", "%s comes after %s (line %d): rows must go forward in time", is.start.Format(layout), was.start.Format(layout), was.line)
		case d < step:
			bad.add(is.line, "time", "only %v after the row before, where the file has one row each %v", d, step)
		default:
			bad.add(is.line, "time", "gap: rows from %s to %s are missing", was.start.Add(step).Format(layout), is.start.Add(-step).Format(layout))
		}
	}
}

// mend interpolates missing values over short gaps and tells the long ones.
func (r *Record) mend(rows []fileRow, v []float64, column, what string, bad *problems) {
	longest := int(maxGapFill / r.Step)
	mended := 0
	for i := 0; i < len(v); i++ {
		if !math.IsNaN(v[i]) {
			continue
		}
		end := i
		for end < len(v) && math.IsNaN(v[end]) {
			end++
		}
		if end-i > longest || i == 0 || end == len(v) {
			bad.add(rows[i].line, column, "%s is missing in %d rows from here; up to %v in the middle of the file would be filled", what, end-i, maxGapFill)
			i = end
			continue
		}
		for j := i; j < end; j++ {
			f := float64(j-i+1) / float64(end-i+1)
			v[j] = v[i-1] + f*(v[end]-v[i-1])
			mended++
		}
		i = end
	}
	if mended > 0 {
		r.Notes = append(r.Notes, fmt.Sprintf("%d missing values of %s interpolated", mended, what))
	}
}

// WholeYear tells whether the record is one year that may be run round: a
// typical year, or a single calendar year, from January 1 to December 31.
func (r *Record) WholeYear() bool {
	first, last := r.Span()
	return first.YearDay() == 1 && last.Month() == time.December && last.Day() == 31 && first.Year() == last.Year()
}

var errNoZone = errors.New("no time zone")
