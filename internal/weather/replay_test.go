package weather

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/solar"
)

// fileDayKWhM2 is the irradiation of a day of the file.
func fileDayKWhM2(rec *Record, day int) (kWh float64) {
	for _, g := range rec.ghi[day*rec.perDay : (day+1)*rec.perDay] {
		kWh += g * rec.Step.Hours() / 1000
	}
	return kWh
}

func mustReplay(t testing.TB, p *Plan, rec *Record, mode ReplayMode) Source {
	t.Helper()
	s, err := p.Replay(rec, mode)
	require.NoError(t, err)
	return s
}

func TestReplayKeepsTheEnergyOfEveryDayAtAnyStep(t *testing.T) {
	rec := readEPW(t, epwText(t, denver, -7, true))
	for _, step := range []time.Duration{5 * time.Minute, 15 * time.Minute, time.Hour, 2 * time.Hour} {
		p := parked(t, denver, "2027-03-10", 14, step)
		source := mustReplay(t, p, rec, SameDates)
		require.Equal(t, 1, source.Draws())
		s := p.NewSeries()
		source.Fill(0, s)
		for d := range 14 {
			want := fileDayKWhM2(rec, 68+d)
			assert.InEpsilon(t, want, dayKWhM2(p, s.GHIWm2, d), 1e-6, "step %v day %d", step, d)
			assert.InEpsilon(t, want*1000/step.Hours()/p.days[d].i0, s.Clearness[d], 1e-6)
		}
		for i, g := range s.GHIWm2 {
			require.True(t, g >= 0 && s.DHIWm2[i] >= 0 && s.DHIWm2[i] <= g)
			if p.intervals[i].I0HorizWm2 == 0 {
				require.InDelta(t, 0, g, 1e-9, "no sun before sunrise")
			}
		}
		assert.Zero(t, testing.AllocsPerRun(5, func() { source.Fill(0, s) }))
	}
}

func TestReplayOfHoursAtHourStepsIsTheFile(t *testing.T) {
	rec := readEPW(t, epwText(t, denver, -7, true))
	p := parked(t, denver, "2027-06-01", 3, time.Hour)
	s := p.NewSeries()
	mustReplay(t, p, rec, SameDates).Fill(0, s)
	for i := range s.GHIWm2 {
		j := 151*24 + i
		assert.InDelta(t, rec.ghi[j], s.GHIWm2[i], 1e-6)
		if rec.ghi[j] > 50 { // the file's own diffuse
			assert.InDelta(t, min(rec.dhi[j], rec.ghi[j]), s.DHIWm2[i], 1)
		}
		// The file's temperature holds at the end of its hour.
		assert.InDelta(t, (rec.temp[j-1]+rec.temp[j])/2, s.AirTempC[i], 1e-9)
	}
}

func TestReplayWithClocksHalfAnHourApartKeepsTheEnergy(t *testing.T) {
	delhi := solar.Place{LatDeg: 28.6, LonDeg: 77.2, ElevationM: 220}
	rec := readEPW(t, epwText(t, delhi, 5.5, true))
	assert.Equal(t, 330*time.Minute, rec.UTCOffset)
	g, days := parkedSpec(t, delhi, "2027-05-01", 5, time.Hour) // clock of UTC+5
	p, err := NewPlan(g, days)
	require.NoError(t, err)
	s := p.NewSeries()
	mustReplay(t, p, rec, SameDates).Fill(0, s)
	for d := range 5 {
		assert.InEpsilon(t, fileDayKWhM2(rec, 120+d), dayKWhM2(p, s.GHIWm2, d), 1e-3)
	}
}

func TestReplayRunsOverTheNewYearAndFebruary29(t *testing.T) {
	rec := readEPW(t, epwText(t, denver, -7, true))
	p := parked(t, denver, "2027-12-29", 6, time.Hour)
	s := p.NewSeries()
	mustReplay(t, p, rec, SameDates).Fill(0, s)
	for d, day := range []int{362, 363, 364, 0, 1, 2} {
		assert.InEpsilon(t, fileDayKWhM2(rec, day), dayKWhM2(p, s.GHIWm2, d), 1e-6)
	}
	p = parked(t, denver, "2028-02-27", 4, time.Hour) // a leap year; the file has none
	s = p.NewSeries()
	mustReplay(t, p, rec, SameDates).Fill(0, s)
	for d, day := range []int{57, 58, 58, 59} {
		assert.InEpsilon(t, fileDayKWhM2(rec, day), dayKWhM2(p, s.GHIWm2, d), 1e-6)
	}
}

// threeYears is an invented CSV of 2021 to 2023 by the clock of UTC-7.
func threeYears(t testing.TB) *Record {
	var text strings.Builder
	zone := time.FixedZone("", -7*3600)
	for year := 2021; year <= 2023; year++ {
		starts, ghi, _, temp := inventedYear(t, denver, year, -7*time.Hour, time.Hour)
		for i := range starts {
			starts[i] = starts[i].Add(7 * time.Hour)
		}
		part := csvText(starts, "2006-01-02T15:04Z07:00", zone, "time,ghi,temp", ghi, temp, nil)
		if year > 2021 {
			_, part, _ = strings.Cut(part, "\n")
		}
		text.WriteString(part)
	}
	return readCSV(t, text.String(), nil)
}

func TestReplayOfYearsIsAnEnsemble(t *testing.T) {
	rec := threeYears(t)
	p := parked(t, denver, "2027-03-10", 14, time.Hour)
	s := p.NewSeries()
	same := mustReplay(t, p, rec, SameDates)
	require.Equal(t, 3, same.Draws())
	for year := range 3 {
		same.Fill(uint64(year), s)
		for d := range 14 {
			assert.InEpsilon(t, fileDayKWhM2(rec, 365*year+68+d), dayKWhM2(p, s.GHIWm2, d), 1e-6)
		}
	}
	same.Fill(4, s) // numbers beyond the last start over
	assert.InEpsilon(t, fileDayKWhM2(rec, 365+68), dayKWhM2(p, s.GHIWm2, 0), 1e-6)

	every := mustReplay(t, p, rec, EveryStart)
	require.Equal(t, 3*31, every.Draws())
	every.Fill(31+30, s) // March 31, 2022
	assert.InEpsilon(t, fileDayKWhM2(rec, 365+89+13), dayKWhM2(p, s.GHIWm2, 13), 0.03)
	assert.Contains(t, every.Describe(), "2021-01-01 to 2023-12-31, every start in the month (93 stretches)")

	p = parked(t, denver, "2027-12-25", 10, time.Hour)
	assert.Equal(t, 2, mustReplay(t, p, rec, SameDates).Draws(), "the last year has no January after it")
	// Starts to December 31 of two years, and to December 22 of the last.
	assert.Equal(t, 31+31+22, mustReplay(t, p, rec, EveryStart).Draws())
	oneYear := readEPW(t, epwText(t, denver, -7, true))
	assert.Equal(t, 31, mustReplay(t, p, oneYear, EveryStart).Draws(), "a single year is run round")
}

func TestReplayRefusesFilesThatDoNotFit(t *testing.T) {
	starts, ghi, _, temp := inventedYear(t, denver, 2023, -7*time.Hour, time.Hour)
	for i := range starts {
		starts[i] = starts[i].Add(7 * time.Hour)
	}
	zone := time.FixedZone("", -7*3600)
	june := readCSV(t, csvText(starts[151*24:181*24], "2006-01-02T15:04Z07:00", zone, "time,ghi,temp", ghi[151*24:], temp[151*24:], nil), nil)
	p := parked(t, denver, "2027-03-10", 14, time.Hour)
	for _, mode := range []ReplayMode{SameDates, EveryStart} {
		_, err := p.Replay(june, mode)
		assert.ErrorContains(t, err, "covers 2023-06-01 to 2023-06-30 and has no 14 days in a row for a trip from 2027-03-10 to 2027-03-23")
	}
	inJune := parked(t, denver, "2027-06-10", 14, time.Hour)
	assert.Equal(t, 17, mustReplay(t, inJune, june, EveryStart).Draws())
	assert.Equal(t, 1, mustReplay(t, inJune, june, SameDates).Draws())

	// The same clock hours, said to be of a clock eight hours off.
	wrong := readCSV(t, csvText(starts, "2006-01-02T15:04", zone, "time,ghi,temp", ghi, temp, nil), time.FixedZone("", 3600))
	_, err := p.Replay(wrong, SameDates)
	assert.ErrorContains(t, err, "below the horizon of the trip: is the time zone of the file right")
	_, err = p.Replay(nil, SameDates)
	assert.Error(t, err)
	_, err = p.Replay(june, ReplayMode(7))
	assert.Error(t, err)
}

func TestReplayTakesTheClockOfAFarFileToTheTripsNoon(t *testing.T) {
	rec := readEPW(t, epwText(t, denver, -7, true))
	east := solar.Place{LatDeg: 39.7, LonDeg: -82, ElevationM: 300}
	p := parked(t, east, "2027-06-01", 2, 15*time.Minute)
	source := mustReplay(t, p, rec, SameDates)
	assert.Regexp(t, `made 19\d\d km from the first day's place`, source.Describe())
	s := p.NewSeries()
	source.Fill(0, s)
	night := 0.0
	for i, g := range s.GHIWm2 {
		if p.intervals[i].I0HorizWm2 == 0 {
			night += g
		}
	}
	assert.Less(t, night/4000, 0.02*dayKWhM2(p, s.GHIWm2, 0))
}

// Reference: Erbs, Klein & Duffie 1982 where the file has no diffuse; the
// closure of beam and diffuse where it has the beam.
func TestReplaySplitsBeamAndDiffuse(t *testing.T) {
	starts, ghi, dhi, temp := inventedYear(t, denver, 2023, -7*time.Hour, time.Hour)
	for i := range starts {
		starts[i] = starts[i].Add(7 * time.Hour)
	}
	zone := time.FixedZone("", -7*3600)
	p := parked(t, denver, "2027-06-10", 5, time.Hour)
	s := p.NewSeries()
	mustReplay(t, p, readCSV(t, csvText(starts, "2006-01-02T15:04Z07:00", zone, "time,ghi,temp", ghi, temp, nil), nil), SameDates).Fill(0, s)
	for i, g := range s.GHIWm2 {
		if i0 := p.intervals[i].I0HorizWm2; i0 > 100 && g < 0.75*i0 {
			assert.InDelta(t, g*solar.ErbsHourly(g/i0), s.DHIWm2[i], 1e-9)
		}
	}
	dni := make([]float64, len(ghi))
	for i := range dni {
		if cosZ := solar.IntervalAt(starts[i], time.Hour, denver, 0).CosZ; cosZ > 0.05 {
			dni[i] = (ghi[i] - dhi[i]) / cosZ
		}
	}
	text := csvText(starts, "2006-01-02T15:04Z07:00", zone, "time,ghi,temp,dni", ghi, temp, dni)
	mustReplay(t, p, readCSV(t, text, nil), SameDates).Fill(0, s)
	for i := range s.GHIWm2 {
		if j := 160*24 + i; p.intervals[i].CosZ > 0.15 {
			assert.InDelta(t, dhi[j], s.DHIWm2[i], 0.02*ghi[j]+2)
		}
	}
}

func TestReplayIsFiniteOnATripAcrossZonesAndThePole(t *testing.T) {
	rec := readEPW(t, epwText(t, solar.Place{LatDeg: 78.2, LonDeg: 15.5, ElevationM: 10}, 1, true))
	for _, place := range []solar.Place{{LatDeg: 90}, {LatDeg: 78, LonDeg: 16, ElevationM: 10}, {LatDeg: 70, LonDeg: 30}} {
		for _, start := range []string{"2027-06-20", "2027-12-20"} {
			p := parked(t, place, start, 4, 30*time.Minute)
			s := p.NewSeries()
			source, err := p.Replay(rec, EveryStart)
			require.NoError(t, err)
			for k := range uint64(source.Draws()) {
				source.Fill(k, s)
				for i := range s.GHIWm2 {
					require.False(t, math.IsNaN(s.GHIWm2[i]+s.DHIWm2[i]+s.AirTempC[i]))
				}
				for _, c := range s.Clearness {
					require.False(t, math.IsNaN(c) || math.IsInf(c, 0))
				}
			}
		}
	}
}

// A file from 0 m used at 2,500 m: at the standard 6.5 K/km (ISO 2533) the air
// is 16 K colder there; the climate's own lapse rate around lies within 4 to 8.
func TestReplayBringsTheAirToTheTripsHeight(t *testing.T) {
	low := solar.Place{LatDeg: 39.74, LonDeg: -105.18, ElevationM: 0}
	rec := readEPW(t, epwText(t, low, -7, true))
	high := low
	high.ElevationM = 2500
	fill := func(place solar.Place) (*Series, Source) {
		p := parked(t, place, "2027-06-01", 2, time.Hour)
		s := p.NewSeries()
		source := mustReplay(t, p, rec, SameDates)
		source.Fill(0, s)
		return s, source
	}
	own, ownSource := fill(low)
	up, upSource := fill(high)
	drop := own.AirTempC[12] - up.AirTempC[12]
	t.Logf("2,500 m: %.1f K colder; %s", drop, upSource.Describe())
	assert.InDelta(t, 2.5*6.5, drop, 4)
	for i := range up.AirTempC {
		assert.InDelta(t, drop, own.AirTempC[i]-up.AirTempC[i], 1e-9)
	}
	n, err := NormalsAt(high)
	require.NoError(t, err)
	flat, err := NormalsAt(low)
	require.NoError(t, err)
	assert.InDelta(t, flat.On(152).TempMinC-n.On(152).TempMinC, drop, 1e-6, "as much as the climate's own")
	assert.Contains(t, upSource.Describe(), "at 0 m: its air changed by -1")
	assert.Contains(t, upSource.Describe(), "K for the heights of the trip")
	assert.NotContains(t, ownSource.Describe(), "heights")
	near := low
	near.ElevationM = 45
	_, source := fill(near)
	assert.NotContains(t, source.Describe(), "heights", "not worth telling")
	high.ElevationM = nan
	unknown, source := fill(high)
	assert.Equal(t, own.AirTempC, unknown.AirTempC, "a height that nobody gave is not corrected for")
	assert.NotContains(t, source.Describe(), "heights")
}
