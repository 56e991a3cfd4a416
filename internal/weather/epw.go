package weather

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"tripsim/internal/solar"
)

// Columns of the data rows of an hourly weather file in the open format EPW
// (Crawley, Hand & Lawrie 1999, "Improving the weather information available to
// simulation programs", Building Simulation; from memory).
const (
	epwYear, epwMonth, epwDay, epwHour, epwMinute = 0, 1, 2, 3, 4

	epwDryBulb, epwGHI, epwDNI, epwDHI = 6, 13, 14, 15

	epwHeaderLines = 8
)

// ReadEPW reads an hourly weather file in the format EPW. Its clock is local standard time;
// a row's irradiance is the mean of the interval that ends at its stamp (hour
// 1 is 00:00 to 01:00), its temperature holds at the stamp. Missing values
// (9999; 99.9 for the temperature) are filled over up to two hours. The usual
// file is a typical year: months of different years. All faults come at once.
func ReadEPW(in io.Reader, name string) (*Record, error) {
	data, err := readAll(in, name)
	if err != nil {
		return nil, err
	}
	bad := &problems{name: name}
	rec := &Record{Name: name, tempAt: 1}
	cr := csv.NewReader(bytes.NewReader(data))
	cr.FieldsPerRecord, cr.ReuseRecord, cr.LazyQuotes = -1, true, true
	perHour := 1
	var rows []fileRow
	for n := 1; ; n++ {
		f, line, ok := bad.next(cr)
		if !ok {
			break
		}
		key := strings.ToUpper(strings.TrimSpace(f[0]))
		switch {
		case n == 1:
			rec.location(f, key, line, bad)
		case n <= epwHeaderLines && key == "DATA PERIODS":
			perHour = epwPerHour(f, line, bad)
		case n <= epwHeaderLines:
			if _, err := strconv.Atoi(key); err == nil {
				bad.add(line, "", "data before the eight header lines are over")
				return nil, bad.err()
			}
		default:
			if row, ok := epwRow(f, line, perHour, bad); ok {
				rows = append(rows, row)
			}
		}
		if bad.count > 1000 {
			break
		}
	}
	if bad.count == 0 {
		rec.assemble(rows, time.Hour/time.Duration(perHour), bad)
	}
	if bad.count == 0 {
		rec.nightCheck(bad)
	}
	if err := bad.err(); err != nil {
		return nil, err
	}
	return rec, nil
}

// location reads the LOCATION line: city, state, country, source, station
// number, latitude, longitude, hours from UTC, height.
func (r *Record) location(f []string, key string, line int, bad *problems) {
	if key != "LOCATION" {
		bad.add(line, "", "the first line of an EPW file starts with LOCATION, not with %.20q", f[0])
		return
	}
	get := func(i int, column string, low, high float64) float64 {
		if i >= len(f) {
			bad.add(line, column, "missing from the LOCATION line")
			return math.NaN()
		}
		v, err := strconv.ParseFloat(strings.TrimSpace(f[i]), 64)
		if err != nil || !(v >= low && v <= high) {
			bad.add(line, column, "%.30q is not a number from %g to %g", f[i], low, high)
		}
		return v
	}
	r.Place = solar.Place{LatDeg: get(6, "latitude", -90, 90), LonDeg: get(7, "longitude", -180, 180)}
	r.UTCOffset = time.Duration(math.Round(get(8, "time zone", -12, 14)*60)) * time.Minute
	r.Place.ElevationM = get(9, "elevation", -500, 9000)
}

func epwPerHour(f []string, line int, bad *problems) int {
	if len(f) < 3 {
		bad.add(line, "", "DATA PERIODS needs the number of periods and of rows per hour")
		return 1
	}
	n, err := strconv.Atoi(strings.TrimSpace(f[2]))
	if err != nil || n < 1 || n > 60 || 60%n != 0 {
		bad.add(line, "rows per hour", "%.20q is not 1, 2, 3, 4, 6, 10, 12 ...", f[2])
		return 1
	}
	return n
}

// epwRow reads a data row; its start is the end of the interval by the stamp
// less the interval.
func epwRow(f []string, line, perHour int, bad *problems) (w fileRow, ok bool) {
	if len(f) <= epwDHI {
		if len(f) == 1 && strings.TrimSpace(f[0]) == "" {
			return w, false
		}
		bad.add(line, "", "%d columns; a row of an EPW file has 35", len(f))
		return w, false
	}
	before := bad.count
	whole := func(i int, column string, low, high int) int {
		v, err := strconv.Atoi(strings.TrimSpace(f[i]))
		if err != nil || v < low || v > high {
			bad.add(line, column, "%.20q is not a whole number from %d to %d", f[i], low, high)
		}
		return v
	}
	year := whole(epwYear, "year", 1800, 2200)
	month := whole(epwMonth, "month", 1, 12)
	day := whole(epwDay, "day", 1, 31)
	hour := whole(epwHour, "hour", 1, 24)
	minute := whole(epwMinute, "minute", 0, 60)
	number := func(i int, column string, missing, low, high float64) float64 {
		v, err := strconv.ParseFloat(strings.TrimSpace(f[i]), 64)
		switch {
		case err != nil || math.IsNaN(v):
			bad.add(line, column, "%.20q is not a number", f[i])
		case v >= missing:
			return math.NaN()
		case v < low || v > high:
			bad.add(line, column, "%g is not between %g and %g", v, low, high)
		}
		return max(v, low)
	}
	w = fileRow{
		line: line,
		temp: number(epwDryBulb, "dry bulb temperature", 99.9, -95, 65),
		ghi:  number(epwGHI, "global horizontal", 9999, 0, 1700),
		dni:  number(epwDNI, "direct normal", 9999, 0, 1500),
		dhi:  number(epwDHI, "diffuse horizontal", 9999, 0, 1500),
	}
	if bad.count > before {
		return w, false
	}
	date := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if date.Day() != day { // February 29 of a typical year may carry any year
		if month != 2 || day != 29 {
			bad.add(line, "day", "month %d has no day %d", month, day)
			return w, false
		}
		date = time.Date(2000, time.February, 29, 0, 0, 0, 0, time.UTC)
	}
	end := time.Duration(hour) * time.Hour
	step := time.Hour / time.Duration(perHour)
	if perHour > 1 {
		if minute == 0 {
			minute = 60
		}
		end += time.Duration(minute-60) * time.Minute
	}
	w.start = date.Add(end - step)
	return w, true
}
