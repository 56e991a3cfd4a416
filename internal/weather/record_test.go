package weather

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/solar"
)

// denver is a place with a whole time zone, for invented files.
var denver = solar.Place{LatDeg: 39.74, LonDeg: -105.18, ElevationM: 1829}

// inventedYear makes rows of a year from the typical day of the climate and a
// known wobble: invented data in the right shape. Values are means of the
// interval that starts at the time; temp is in the middle of it.
func inventedYear(t testing.TB, place solar.Place, year int, offset, step time.Duration) (starts []time.Time, ghi, dhi, temp []float64) {
	t.Helper()
	first := time.Date(year, 1, 1, 0, 0, 0, 0, time.UTC)
	days := int(first.AddDate(1, 0, 0).Sub(first).Hours() / 24)
	g := Grid{StartUTC: first.Add(-offset), Step: step}
	var specs []DaySpec
	for d := range days {
		specs = append(specs, DaySpec{Place: place, Date: first.AddDate(0, 0, d), GHIKWhM2: nan, TempMinC: nan, TempMaxC: nan})
		for range int(24 * time.Hour / step) {
			g.Places, g.Day = append(g.Places, place), append(g.Day, int32(d))
		}
	}
	p, err := NewPlan(g, specs)
	require.NoError(t, err)
	s := p.NewSeries()
	p.Draw(uint64(year), 0, s)
	for i := range s.GHIWm2 {
		starts = append(starts, first.Add(time.Duration(i)*step))
	}
	return starts, s.GHIWm2, s.DHIWm2, s.AirTempC
}

// epwText writes a weather file (EPW) of invented data. The years of the
// rows are those of the months of a typical year.
func epwText(t testing.TB, place solar.Place, zone float64, typical bool) string {
	t.Helper()
	starts, ghi, dhi, temp := inventedYear(t, place, 2001, time.Duration(zone*float64(time.Hour)), time.Hour)
	var b strings.Builder
	fmt.Fprintf(&b, "LOCATION,Invented,-,-,invented data,000000,%.2f,%.2f,%.1f,%.1f\n", place.LatDeg, place.LonDeg, zone, place.ElevationM)
	b.WriteString("DESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\nGROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\n" +
		"COMMENTS 1,invented data for tests\nCOMMENTS 2,-\nDATA PERIODS,1,1,Data,Sunday,1/1,12/31\n")
	years := []int{1988, 1991, 1977, 2003, 1988, 1999, 1985, 1990, 2001, 1979, 1996, 1983}
	for i, s := range starts {
		year := s.Year()
		if typical {
			year = years[s.Month()-1]
		}
		next := temp[min(i+1, len(temp)-1)]
		fmt.Fprintf(&b, "%d,%d,%d,%d,60,?9?9,%.2f,2.0,50,82000,0,0,300,%.1f,9999,%.1f,0,0,0,0,180,2.0,5,5,20,22000,9,999999999,9,0.1,0,88,0.2,0,0\n",
			year, s.Month(), s.Day(), s.Hour()+1, (temp[i]+next)/2, ghi[i], dhi[i])
	}
	return b.String()
}

func readEPW(t testing.TB, text string) *Record {
	t.Helper()
	rec, err := ReadEPW(strings.NewReader(text), "year.epw")
	require.NoError(t, err)
	return rec
}

func TestEPWIsATypicalYearByItsOwnClock(t *testing.T) {
	rec := readEPW(t, epwText(t, denver, -7, true))
	assert.True(t, rec.Typical)
	assert.Equal(t, -7*time.Hour, rec.UTCOffset)
	assert.Equal(t, time.Hour, rec.Step)
	assert.InDelta(t, 39.74, rec.Place.LatDeg, 1e-9)
	assert.InDelta(t, 1829, rec.Place.ElevationM, 1e-9)
	assert.Len(t, rec.ghi, 8760)
	assert.True(t, rec.WholeYear())
	assert.Empty(t, rec.Notes)
	// "The value is for the hour ending at the stamp": the sun of hour 13 of
	// June 21 is that of 12:00 to 13:00.
	i := (171*24 + 12)
	start := rec.first.Add(time.Duration(i)*time.Hour - rec.UTCOffset)
	assert.Less(t, rec.ghi[i], solar.IntervalAt(start, time.Hour, denver, 0).I0HorizWm2)
	assert.Greater(t, rec.ghi[i], 50.0)

	oneYear := readEPW(t, epwText(t, denver, -7, false))
	assert.False(t, oneYear.Typical)
	first, last := oneYear.Span()
	assert.Equal(t, "2001-01-01 2001-12-31", first.Format(time.DateOnly)+" "+last.Format(time.DateOnly))
}

// edit changes one comma-separated field of one line (line counted from 1).
func edit(text string, line, field int, value string) string {
	lines := strings.Split(text, "\n")
	f := strings.Split(lines[line-1], ",")
	f[field] = value
	lines[line-1] = strings.Join(f, ",")
	return strings.Join(lines, "\n")
}

func dropLines(text string, from, to int) string {
	lines := strings.Split(text, "\n")
	return strings.Join(append(append([]string(nil), lines[:from-1]...), lines[min(to, len(lines)):]...), "\n")
}

func TestEPWFaultsAreToldWithTheirPlace(t *testing.T) {
	good := epwText(t, denver, -7, true)
	long := good
	for line := 20; line < 26; line++ {
		long = edit(long, line, 13, "9999")
	}
	for _, c := range []struct {
		text string
		want []string
	}{
		{edit(good, 10, 13, "2000"), []string{"year.epw:10: global horizontal: 2000 is not between 0 and 1700"}},
		{edit(edit(good, 10, 13, "abc"), 12, 6, "-300"), []string{`year.epw:10: global horizontal: "abc" is not a number`, "year.epw:12: dry bulb temperature: -300 is not between -95 and 65"}},
		{long, []string{"year.epw:20: ghi: global horizontal irradiance is missing in 6 rows from here"}},
		{dropLines(good, 30, 32), []string{"year.epw:30: time: gap: rows from 01-01 21:00 to 01-01 23:00 are missing"}},
		{good + strings.Split(good, "\n")[8] + "\n", []string{"comes after"}},
		{edit(good, 1, 8, "5"), []string{"year.epw:1: time zone:", "below the horizon"}},
		{edit(good, 1, 6, "north"), []string{`year.epw:1: latitude: "north" is not a number from -90 to 90`}},
		{edit(good, 8, 2, "7"), []string{`year.epw:8: rows per hour: "7" is not`}},
		{edit(good, 9, 1, "13"), []string{`year.epw:9: month: "13" is not a whole number from 1 to 12`}},
		{edit(good, 9, 2, "31"), []string{"comes after"}},
		{strings.Replace(good, "LOCATION", "PLACE", 1), []string{"starts with LOCATION"}},
		{dropLines(good, 1, 1), []string{"starts with LOCATION"}},
		{dropLines(good, 3, 5), []string{"data before the eight header lines are over"}},
		{dropLines(good, 9, 20000), []string{"no weather in it"}},
		{"LOCATION,a\n", []string{"latitude: missing from the LOCATION line"}},
		{good[:strings.LastIndex(good, ",9999,")], []string{"columns; a row of an EPW file has 35"}},
		{"", []string{"no weather in it"}},
	} {
		_, err := ReadEPW(strings.NewReader(c.text), "year.epw")
		require.Error(t, err, "%v", c.want)
		for _, w := range c.want {
			assert.ErrorContains(t, err, w)
		}
	}
}

func TestShortGapsOfValuesAreFilledAndNoted(t *testing.T) {
	good := epwText(t, denver, -7, true)
	text := edit(edit(good, 100, 6, "99.9"), 101, 6, "99.9")
	rec, whole := readEPW(t, text), readEPW(t, good)
	assert.Equal(t, []string{"2 missing values of air temperature interpolated"}, rec.Notes)
	assert.InDelta(t, whole.temp[90]+(whole.temp[93]-whole.temp[90])/3, rec.temp[91], 1e-9)
}

func TestAtMostTwentyFaultsAreToldAndTheRestCounted(t *testing.T) {
	text := epwText(t, denver, -7, true)
	lines := strings.Split(text, "\n")
	for i := 8; i < 108; i++ {
		lines[i] = strings.Replace(lines[i], "?9?9,", "?9?9,x", 1)
	}
	_, err := ReadEPW(strings.NewReader(strings.Join(lines, "\n")), "year.epw")
	require.Error(t, err)
	told := strings.Split(err.Error(), "\n")
	assert.Len(t, told, 21)
	assert.Contains(t, told[0], "year.epw:9:")
	assert.Equal(t, "year.epw: and 80 more like these", told[20])
}

func TestEPWWithLeapDayAndHalfHours(t *testing.T) {
	var b strings.Builder
	b.WriteString("LOCATION,Invented,-,-,invented data,0,51.5,0,0,20\n" + strings.Repeat("COMMENTS,-\n", 6) + "DATA PERIODS,1,2,Data,Sunday,2/28,3/1\n")
	for _, day := range []string{"2,28", "2,29", "3,1"} {
		for hour := 1; hour <= 24; hour++ {
			for _, minute := range []int{30, 60} {
				fmt.Fprintf(&b, "1999,%s,%d,%d,-,%d,0,0,0,0,0,0,%d,0,0,0,0\n", day, hour, minute, hour, 10*hour*boolInt(hour > 9 && hour < 16))
			}
		}
	}
	rec := readEPW(t, b.String())
	assert.Equal(t, 30*time.Minute, rec.Step)
	assert.Equal(t, 3, rec.days)
	assert.True(t, rec.Typical, "1999 has no February 29")
	assert.InDelta(t, 120, rec.ghi[48+23], 1e-9) // hour 12, second half
}

func boolInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// csvText writes invented data as a plain weather file.
func csvText(starts []time.Time, layout string, zone *time.Location, header string, ghi, temp, dhi []float64) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i, s := range starts {
		fmt.Fprintf(&b, "%s,%.2f,%.2f", s.In(zone).Format(layout), ghi[i], temp[i])
		if dhi != nil {
			fmt.Fprintf(&b, ",%.2f", dhi[i])
		}
		b.WriteString("\n")
	}
	return b.String()
}

func readCSV(t testing.TB, text string, zone *time.Location) *Record {
	t.Helper()
	rec, err := ReadCSV(strings.NewReader(text), "w.csv", zone)
	require.NoError(t, err)
	return rec
}

func TestCSVInAllItsSpellingsIsTheSameRecord(t *testing.T) {
	paris, err := time.LoadLocation("Europe/Paris")
	require.NoError(t, err)
	place := solar.Place{LatDeg: 48.8, LonDeg: 2.3, ElevationM: 50}
	starts, ghi, _, temp := inventedYear(t, place, 2023, time.Hour, time.Hour)
	for i := range starts {
		starts[i] = starts[i].Add(-time.Hour) // from the file's clock to UTC
	}
	want := readCSV(t, csvText(starts, "2006-01-02T15:04Z07:00", time.FixedZone("", 3600), "time,ghi,temp", ghi, temp, nil), nil)
	assert.Equal(t, time.Hour, want.UTCOffset)
	assert.False(t, want.Typical)
	local := csvText(starts, "2006-01-02T15:04", paris, "time,ghi,temp", ghi, temp, nil)
	assert.Contains(t, local, "2023-10-29T02:00", "the hour that comes twice is in it")
	half := make([]time.Time, len(starts))
	for i, s := range starts {
		half[i] = s.Add(30 * time.Minute)
	}
	for name, text := range map[string]string{
		"summer time of the zone":                local,
		"space and seconds":                      csvText(starts, "2006-01-02 15:04:05", paris, "time,ghi,temp", ghi, temp, nil),
		"semicolon, BOM, CRLF":                   "\ufeff# a note\r\n" + strings.ReplaceAll(strings.ReplaceAll(local, ",", ";"), "\n", "\r\n"),
		"half past names the middle of the hour": csvText(half, "2006-01-02T15:04:05-0700", time.FixedZone("", 3600), "Time, GHI ,temp", ghi, temp, nil),
	} {
		rec := readCSV(t, text, paris)
		assert.Equal(t, want.first, rec.first, name)
		assert.Equal(t, want.UTCOffset, rec.UTCOffset, name)
		assert.Equal(t, want.ghi, rec.ghi, name)
		assert.Equal(t, want.temp, rec.temp, name)
	}
}

func TestCSVFaultsAreToldWithTheirPlace(t *testing.T) {
	head := "time,ghi,temp\n"
	rows := func(n int, change func(i int, s string) string) string {
		var b strings.Builder
		for i := range n {
			s := time.Date(2024, 2, 28, i, 0, 0, 0, time.UTC).Format("2006-01-02T15:04Z") + ",0,10"
			if change != nil {
				s = change(i, s)
			}
			if s != "" {
				b.WriteString(s + "\n")
			}
		}
		return b.String()
	}
	require.NotNil(t, readCSV(t, head+rows(72, nil), nil), "a leap day is a day")
	paris, err := time.LoadLocation("Europe/Paris")
	require.NoError(t, err)
	for _, c := range []struct {
		text string
		zone *time.Location
		want []string
	}{
		{"zeit,ghi,temp\n", nil, []string{`w.csv:1: "zeit" is not a column`, "column time is missing"}},
		{"time,ghi,ghi,temp\n", nil, []string{"column ghi comes twice"}},
		{"time,ghi\n", nil, []string{"column temp is missing"}},
		{head + rows(48, func(i int, s string) string {
			switch i {
			case 3:
				return strings.Replace(s, ",0,", ",1800,", 1)
			case 5:
				return strings.Replace(s, ",10", ",1,5", 1)
			case 7:
				return "yesterday,0,10"
			case 9:
				return strings.Replace(s, ",10", ",warm", 1)
			}
			return s
		}), nil, []string{"w.csv:5: ghi: 1800 is not between", "w.csv:7: 4 columns where the header has 3", `w.csv:9: time: "yesterday" is not a date and time; use e.g.`, `w.csv:11: temp: "warm" is not a number`}},
		{head + rows(72, func(i int, s string) string {
			if i >= 30 && i < 40 {
				return ""
			}
			return s
		}), nil, []string{"w.csv:32: time: gap: rows from 2024-02-29 06:00 to 2024-02-29 15:00 are missing"}},
		{head + rows(72, func(i int, s string) string {
			if i == 30 {
				return s + "\n" + s
			}
			return s
		}), nil, []string{"w.csv:33: time: 2024-02-29 06:00 comes twice (first in line 32)"}},
		{head + rows(72, func(i int, s string) string { return strings.Replace(s, "Z", "", 1) }), nil, []string{"has no time zone; say in which zone the file is (--time-zone, e.g. Europe/Oslo)"}},
		{head + rows(48, func(i int, s string) string {
			if i == 20 {
				return strings.Replace(s, "Z", "", 1)
			}
			return s
		}), nil, []string{"w.csv:22: time:", "some times carry an offset from UTC and some do not"}},
		{head + "2024-03-31T02:30,0,10\n", paris, []string{"does not exist in Europe/Paris, where the clock springs forward"}},
		{head + rows(48, func(i int, s string) string { return strings.Replace(s, ":00Z", ":20Z", 1) }), nil, []string{"intervals start 20m0s after the full 1h0m0s"}},
		{head + "2024-02-28T00:00Z,0,10\n2024-02-28T07:00Z,0,10\n", nil, []string{"intervals of 7h0m0s do not divide the day"}},
		{head + rows(20, nil), nil, []string{"not one whole day"}},
		{head + rows(72, func(i int, s string) string {
			if i > 20 && i < 30 {
				return strings.Replace(s, ",10", ",", 1)
			}
			return s
		}), nil, []string{"w.csv:23: temp: air temperature is missing in 9 rows from here"}},
		{head + rows(72, func(i int, s string) string { return strings.Replace(s, ",0,", `,"0,`, 1) }), nil, []string{"not readable"}},
		{"", nil, []string{"no weather in it"}},
	} {
		_, err := ReadCSV(strings.NewReader(c.text), "w.csv", c.zone)
		require.Error(t, err, "%v", c.want)
		for _, w := range c.want {
			assert.ErrorContains(t, err, w)
		}
	}
}

func TestNightsOfAPyranometerAreZero(t *testing.T) {
	text := "time,ghi,temp\n"
	for i := range 24 {
		text += time.Date(2024, 6, 1, i, 0, 0, 0, time.UTC).Format("2006-01-02T15:04Z") + ",-2.5,10\n"
	}
	for _, g := range readCSV(t, text, nil).ghi {
		assert.Zero(t, g)
	}
}

func TestFilesAreToldApartByTheirFirstLine(t *testing.T) {
	rec, err := ReadRecord([]byte("\ufeff"+epwText(t, denver, -7, true)), "a.txt", nil)
	require.NoError(t, err)
	assert.Equal(t, -7*time.Hour, rec.UTCOffset)
	starts, ghi, dhi, temp := inventedYear(t, denver, 2023, 0, 3*time.Hour)
	rec, err = ReadRecord([]byte(csvText(starts, "2006-01-02T15:04Z07:00", time.UTC, "time,ghi,temp,dhi", ghi, temp, dhi)), "a.txt", nil)
	require.NoError(t, err)
	assert.Equal(t, 3*time.Hour, rec.Step)
	assert.False(t, math.IsNaN(rec.dhi[0]))
}

func TestHugeFilesAreRefused(t *testing.T) {
	_, err := ReadCSV(endless{}, "w.csv", nil)
	assert.ErrorContains(t, err, "longer than 64 MB")
}

type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = 'x'
	}
	return len(p), nil
}

func FuzzReadCSV(f *testing.F) {
	f.Add("time,ghi,temp\n2024-01-01T00:00Z,0,1\n2024-01-01T01:00Z,0,2\n")
	f.Add("time;ghi;temp;dni;dhi\n2024-01-01 00:30;0;1;;\n2024-01-01 01:30;0;1;0;0\n")
	f.Add("\ufeff# c\r\ntime,ghi,temp\r\n2024-03-31T02:00,5,\r\n")
	text := "time,ghi,temp\n"
	for i := range 26 {
		text += time.Date(2024, 10, 27, i, 0, 0, 0, time.UTC).Format("2006-01-02T15:04") + fmt.Sprintf(",%d,9\n", i)
	}
	f.Add(text)
	zone, err := time.LoadLocation("Europe/Paris")
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, text string) {
		for _, z := range []*time.Location{nil, zone} {
			rec, err := ReadCSV(strings.NewReader(text), "f.csv", z)
			checkRecord(t, rec, err)
		}
	})
}

func FuzzReadEPW(f *testing.F) {
	head := "LOCATION,a,b,c,d,0,51.5,0,0,20\n" + strings.Repeat("COMMENTS,-\n", 6) + "DATA PERIODS,1,1,Data,Sunday,1/1,1/1\n"
	for hour := 1; hour <= 24; hour++ {
		head += fmt.Sprintf("1999,1,1,%d,60,-,5,0,0,0,0,0,0,%d,9999,9999\n", hour, boolInt(hour == 13)*100)
	}
	f.Add(head)
	f.Add("LOCATION,a\n")
	f.Add("LOCATION,a,b,c,d,0,51.5,0,14,20\nDATA PERIODS,1,60\n")
	f.Fuzz(func(t *testing.T, text string) {
		rec, err := ReadEPW(strings.NewReader(text), "f.epw")
		checkRecord(t, rec, err)
	})
}

// checkRecord holds for whatever was read: a record of whole days without
// holes, or an error.
func checkRecord(t *testing.T, rec *Record, err error) {
	if err != nil {
		require.Nil(t, rec)
		require.NotEmpty(t, err.Error())
		return
	}
	require.Equal(t, rec.days*rec.perDay, len(rec.ghi))
	require.Equal(t, len(rec.ghi), len(rec.temp))
	for i := range rec.ghi {
		require.True(t, rec.ghi[i] >= 0 && rec.ghi[i] <= 1700)
		require.True(t, rec.temp[i] >= -95 && rec.temp[i] <= 65)
	}
}

// Times without a zone are one mistake of the file, not one per row; other
// mistakes are told beside it.
func TestAMissingZoneIsToldOnce(t *testing.T) {
	text := "time,ghi,temp\n"
	for i := range 24 {
		text += time.Date(2024, 6, 1, i, 0, 0, 0, time.UTC).Format("2006-01-02T15:04") + ",0,10\n"
	}
	_, err := ReadCSV(strings.NewReader(text), "w.csv", nil)
	require.Error(t, err)
	assert.Len(t, strings.Split(err.Error(), "\n"), 1)
	_, err = ReadCSV(strings.NewReader(text+"2024-06-02T00:00,0,warm\n"), "w.csv", nil)
	assert.Len(t, strings.Split(err.Error(), "\n"), 2)
}
