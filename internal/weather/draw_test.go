package weather

import (
	"math"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tripsim/internal/solar"
)

func TestDrawsMeanTheClimateWithoutBias(t *testing.T) {
	for _, c := range []struct {
		place solar.Place
		start string
	}{
		{desert, "2027-03-10"},
		{oslo, "2027-12-10"},
		{oslo, "2027-06-10"},
		{solar.Place{LatDeg: 2, LonDeg: 102}, "2027-04-01"},
		{solar.Place{LatDeg: 69.65, LonDeg: 18.96}, "2027-05-20"},
		{solar.Place{LatDeg: 31, LonDeg: 91}, "2027-09-01"},
	} {
		p := parked(t, c.place, c.start, 14, 30*time.Minute)
		s, typical := p.NewSeries(), p.NewSeries()
		p.Typical(typical)
		mean := make([]float64, len(s.GHIWm2))
		var ghi, dhi, temp, wantGHI, wantDHI, wantTemp float64
		const draws = 3000
		for k := range uint64(draws) {
			p.Draw(21, k, s)
			for i := range mean {
				mean[i] += s.GHIWm2[i] / draws
				ghi, dhi, temp = ghi+s.GHIWm2[i]/draws, dhi+s.DHIWm2[i]/draws, temp+s.AirTempC[i]/draws
			}
		}
		for i := range mean {
			wantGHI, wantDHI, wantTemp = wantGHI+typical.GHIWm2[i], wantDHI+typical.DHIWm2[i], wantTemp+typical.AirTempC[i]
		}
		n := float64(len(mean))
		t.Logf("%v %s: sun %.4f of the climate's, diffuse %.3f of the typical day's, air %+.3f K", c.place, c.start, ghi/wantGHI, dhi/wantDHI, (temp-wantTemp)/n)
		assert.InEpsilon(t, wantGHI, ghi, 0.005)
		assert.InEpsilon(t, wantDHI, dhi, 0.06)
		assert.InDelta(t, wantTemp/n, temp/n, 0.1)
		normals, err := NormalsAt(c.place)
		require.NoError(t, err)
		for d := range p.days { // typical day = the climate's kWh
			doy := float64(p.days[d].spec.Date.YearDay())
			want := normals.On(doy).ClearnessIndex * solar.DailyExtraterrestrialKWhM2(doy, c.place.LatDeg)
			if want > 0.1 {
				assert.InEpsilon(t, want, dayKWhM2(p, typical.GHIWm2, d), 0.01)
			}
		}
		moved := 0.0 // the mean day has the shape of the typical day
		for i := range mean {
			moved += math.Abs(mean[i] - typical.GHIWm2[i])
		}
		assert.Less(t, moved/wantGHI, 0.06)
	}
}

func TestOverriddenDaysVaryAroundTheOverride(t *testing.T) {
	g, days := parkedSpec(t, oslo, "2027-06-10", 3, time.Hour)
	days[1].GHIKWhM2, days[1].TempMinC, days[1].TempMaxC = 6.5, 3, 9
	days[2].TempMaxC = 1 // below the climate's minimum, which gives way
	p, err := NewPlan(g, days)
	require.NoError(t, err)
	s := p.NewSeries()
	var ghi, low, high float64
	const draws = 5000
	for k := range uint64(draws) {
		p.Draw(1, k, s)
		ghi += dayKWhM2(p, s.GHIWm2, 1) / draws
		low, high = low+s.low[2]/draws, high+s.high[2]/draws
	}
	assert.InEpsilon(t, 6.5, ghi, 0.01)
	assert.InDelta(t, 3, low, 0.15)
	assert.InDelta(t, 9, high, 0.15)
	assert.Less(t, p.days[2].tempMin, 1.0)
	p.Typical(s)
	assert.InEpsilon(t, 6.5, dayKWhM2(p, s.GHIWm2, 1), 1e-9)
}

func TestSameSeedSameWeatherOnAnyNumberOfWorkers(t *testing.T) {
	p := parked(t, desert, "2027-03-10", 5, 15*time.Minute)
	source := p.Synthetic(42)
	assert.Zero(t, source.Draws())
	assert.Contains(t, source.Describe(), "42")
	const draws = 40
	var want [draws]*Series
	for k := range want {
		want[k] = p.NewSeries()
		source.Fill(uint64(k), want[k])
	}
	var wg sync.WaitGroup
	for worker := range 4 {
		wg.Go(func() {
			s := p.NewSeries()
			for k := draws - 1 - worker; k >= 0; k-- { // another order
				source.Fill(uint64(k), s)
				assert.Equal(t, want[k].GHIWm2, s.GHIWm2)
				assert.Equal(t, want[k].DHIWm2, s.DHIWm2)
				assert.Equal(t, want[k].AirTempC, s.AirTempC)
				assert.Equal(t, want[k].Clearness, s.Clearness)
			}
		})
	}
	wg.Wait()
	assert.NotEqual(t, want[0].Clearness, want[1].Clearness)
	other := p.NewSeries()
	p.Synthetic(43).Fill(0, other)
	assert.NotEqual(t, want[0].Clearness, other.Clearness)
}

func TestNeighbouringDrawsAreUnrelated(t *testing.T) {
	p := parked(t, oslo, "2027-05-10", 1, time.Hour)
	s := p.NewSeries()
	var before, cross, n float64
	for k := range uint64(20_000) {
		p.Draw(6, k, s)
		if k > 0 {
			cross += before * s.sunZ[1]
			n++
		}
		before = s.sunZ[1]
	}
	assert.InDelta(t, 0, cross/n, 0.025)
}

func TestDrawingAllocatesNothing(t *testing.T) {
	p := parked(t, desert, "2027-03-10", 14, 15*time.Minute)
	s := p.NewSeries()
	assert.Zero(t, testing.AllocsPerRun(10, func() { p.Draw(1, 2, s) }))
	assert.Zero(t, testing.AllocsPerRun(10, func() { p.Typical(s) }))
}

// Reference: Graham & Hollands 1990, Solar Energy 44: 333-341 (abstract): mean
// lag-1 autocorrelation of the hourly clearness index within the day 0.54 with
// a standard deviation of 0.14 between stations. Diffuse: Erbs, Klein & Duffie
// 1982, daily correlation, from the same data as the hourly one that splits the
// steps: the day's diffuse share tells whether hours scatter as real ones do.
func TestHoursHangTogetherAsPublished(t *testing.T) {
	for _, step := range []time.Duration{5 * time.Minute, 15 * time.Minute, time.Hour} {
		for _, k := range []float64{0.2, 0.3, 0.4, 0.5, 0.6, 0.7} {
			g, days := parkedSpec(t, solar.Place{LatDeg: 40, ElevationM: 300}, "2027-04-10", 1, step)
			probe, err := NewPlan(g, days)
			require.NoError(t, err)
			days[0].GHIKWhM2 = k * probe.days[0].i0 * step.Hours() / 1000
			p, err := NewPlan(g, days)
			require.NoError(t, err)
			for i := range p.days[0].sun.q {
				p.days[0].sun.q[i] = k // every draw the same day's total
			}
			lag, share := hourlyLag(p, 2000)
			t.Logf("%v steps, day's clearness %.1f: lag-1 of hours %.2f; diffuse share %.3f, Erbs daily %.3f", step, k, lag, share, solar.ErbsDaily(k, 100))
			assert.InDelta(t, 0.54, lag, 0.14)
			assert.InDelta(t, solar.ErbsDaily(k, 100), share, 0.03)
		}
	}
}

func hourlyLag(p *Plan, draws int) (lag, diffuseShare float64) {
	s := p.NewSeries()
	per := int(time.Hour / p.grid.Step)
	hours := make([][24]float64, draws)
	var mean, outside [24]float64
	for i, iv := range p.intervals {
		outside[i/per] += iv.I0HorizWm2
	}
	var ghi, dhi float64
	for k := range hours {
		p.Draw(9, uint64(k), s)
		var sum [24]float64
		for i, g := range s.GHIWm2 {
			sum[i/per] += g
			ghi += g
		}
		for h := range sum {
			if outside[h] > 0 {
				hours[k][h] = sum[h] / outside[h]
				mean[h] += hours[k][h] / float64(draws)
				dhi += sum[h] * solar.ErbsHourly(hours[k][h])
			}
		}
	}
	var cross, square float64
	for k := range hours {
		for h := 7; h < 17; h++ {
			e := hours[k][h] - mean[h]
			square += e * e / 10
			if h > 7 {
				cross += e * (hours[k][h-1] - mean[h-1]) / 9
			}
		}
	}
	return cross / square, dhi / ghi
}

// Reference: Collares-Pereira & Rabl 1979 for the global, Liu & Jordan 1960 for
// the diffuse (Duffie & Beckman eq. 2.13.2 and 2.13.4), hour by hour.
func TestTypicalDayHasThePublishedShape(t *testing.T) {
	for _, c := range []struct {
		lat   float64
		start string
	}{{0, "2027-03-21"}, {31, "2027-01-15"}, {40, "2027-04-15"}, {43, "2027-08-23"}, {-35, "2027-01-17"}, {55, "2027-06-11"}} {
		p := parked(t, solar.Place{LatDeg: c.lat, ElevationM: 200}, c.start, 1, 15*time.Minute)
		s := p.NewSeries()
		p.Typical(s)
		d := &p.days[0]
		equation := solar.EquationOfTimeSpencerMin(float64(d.spec.Date.YearDay()))
		var ghi, dhi, offGHI, offDHI float64
		for i, g := range s.GHIWm2 {
			ghi, dhi = ghi+g/4, dhi+s.DHIWm2[i]/4
		}
		for h := range 24 {
			ws := d.sunsetHourAngle
			w := 15*(float64(h)+0.5-12) + equation/4
			var g, f float64
			for i := 4 * h; i < 4*h+4; i++ {
				g, f = g+s.GHIWm2[i]/4, f+s.DHIWm2[i]/4
			}
			offGHI += math.Abs(g/ghi - solar.CollaresPereiraRabl(w, ws))
			offDHI += math.Abs(f/dhi - solar.LiuJordan(w, ws))
		}
		t.Logf("latitude %g %s: %.1f %% of the global and %.1f %% of the diffuse in other hours", c.lat, c.start, 50*offGHI, 50*offDHI)
		assert.Less(t, offGHI/2, 0.03)
		assert.Less(t, offDHI/2, 0.05)
	}
}

// Reference: Duffie & Beckman Example 2.13.2 (p. 85): Madison, 43 N, August 23:
// r_t = 0.118 of the day's irradiation from 13 to 14 h solar time.
func TestDuffieBeckmanExample2132(t *testing.T) {
	p := parked(t, solar.Place{LatDeg: 43, LonDeg: 0, ElevationM: 270}, "2027-08-23", 1, time.Minute)
	s := p.NewSeries()
	p.Typical(s)
	late := int(math.Round(-solar.EquationOfTimeSpencerMin(235))) // minutes that solar noon is after 12:00
	hour := 0.0
	for i := range 60 {
		hour += s.GHIWm2[13*60+late+i] / 60000
	}
	assert.InDelta(t, 0.118, hour/dayKWhM2(p, s.GHIWm2, 0), 0.004)
}

func TestWeatherIsPhysicalOnAnyTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		step := rapid.SampledFrom([]time.Duration{10 * time.Minute, 15 * time.Minute, 30 * time.Minute, time.Hour, 2 * time.Hour}).Draw(t, "step")
		from, to := anyPlace(t), anyPlace(t)
		date := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 3000).Draw(t, "date"))
		g := Grid{StartUTC: date.Add(time.Duration(rapid.IntRange(-14, 14).Draw(t, "hours")) * time.Hour), Step: step}
		var days []DaySpec
		count := rapid.IntRange(1, 4).Draw(t, "days")
		for d := range count {
			spec := DaySpec{Place: from, Date: date.AddDate(0, 0, d), GHIKWhM2: nan, TempMinC: nan, TempMaxC: nan}
			if rapid.IntRange(0, 3).Draw(t, "override") == 0 {
				spec.TempMinC = rapid.Float64Range(-40, 40).Draw(t, "min")
			}
			days = append(days, spec)
			steps := rapid.IntRange(1, 30).Draw(t, "length") // days of any length
			for i := range steps {
				f := float64(i) / float64(steps)
				place := from
				place.LatDeg += f * (to.LatDeg - from.LatDeg)
				place.LonDeg += f * (to.LonDeg - from.LonDeg)
				g.Places, g.Day = append(g.Places, place), append(g.Day, int32(d))
			}
		}
		p, err := NewPlan(g, days)
		require.NoError(t, err)
		s := p.NewSeries()
		p.Typical(s)
		check := func() {
			for i := range s.GHIWm2 {
				i0 := p.intervals[i].I0HorizWm2
				require.True(t, s.GHIWm2[i] >= 0 && s.GHIWm2[i] <= 0.951*i0, "ghi %g of %g", s.GHIWm2[i], i0)
				require.True(t, s.DHIWm2[i] >= 0 && s.DHIWm2[i] <= s.GHIWm2[i]+1e-9)
				require.True(t, s.AirTempC[i] > -120 && s.AirTempC[i] < 80)
			}
			for d := range p.days {
				require.InDelta(t, s.Clearness[d]*p.days[d].i0*step.Hours()/1000, dayKWhM2(p, s.GHIWm2, d), 1e-9)
			}
		}
		check()
		for k := range uint64(3) {
			p.Draw(rapid.Uint64().Draw(t, "seed"), k, s)
			check()
		}
	})
}

func TestDaysOf23And25HoursGetTheirWholeSun(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Oslo")
	require.NoError(t, err)
	for _, c := range []struct {
		date  time.Time
		hours int
	}{{time.Date(2027, 3, 28, 0, 0, 0, 0, zone), 23}, {time.Date(2027, 10, 31, 0, 0, 0, 0, zone), 25}, {time.Date(2027, 7, 1, 0, 0, 0, 0, zone), 24}} {
		g := Grid{StartUTC: c.date.UTC(), Step: 15 * time.Minute}
		for range 4 * c.hours {
			g.Places, g.Day = append(g.Places, oslo), append(g.Day, 0)
		}
		date := time.Date(c.date.Year(), c.date.Month(), c.date.Day(), 0, 0, 0, 0, time.UTC)
		p, err := NewPlan(g, []DaySpec{{Place: oslo, Date: date, GHIKWhM2: 1.5, TempMinC: nan, TempMaxC: nan}})
		require.NoError(t, err)
		s := p.NewSeries()
		p.Typical(s)
		assert.InEpsilon(t, 1.5, dayKWhM2(p, s.GHIWm2, 0), 1e-9)
	}
}

func TestHalfADayGetsHalfTheSun(t *testing.T) {
	g, days := parkedSpec(t, desert, "2027-03-21", 1, 15*time.Minute)
	days[0].GHIKWhM2 = 6
	g.StartUTC = time.Date(2027, 3, 21, 12, 35, 0, 0, time.UTC) // solar noon at 6.91 W
	g.Places, g.Day = g.Places[:46], g.Day[:46]
	p, err := NewPlan(g, days)
	require.NoError(t, err)
	s := p.NewSeries()
	p.Typical(s)
	assert.InEpsilon(t, 3, dayKWhM2(p, s.GHIWm2, 0), 0.03)
}

func TestDateLineDaysKeepTheSunAndTheHeatTogether(t *testing.T) {
	// West over the date line: the dates skip one, the days follow each other.
	east, west := solar.Place{LatDeg: -18, LonDeg: 179.5, ElevationM: 0}, solar.Place{LatDeg: -18, LonDeg: -179.5, ElevationM: 0}
	g := Grid{StartUTC: time.Date(2027, 5, 3, 12, 0, 0, 0, time.UTC), Step: 30 * time.Minute}
	for i := range 96 {
		place := west
		if i >= 48 {
			place = east
		}
		g.Places, g.Day = append(g.Places, place), append(g.Day, int32(i/48))
	}
	day := func(p solar.Place, d int) DaySpec {
		return DaySpec{Place: p, Date: time.Date(2027, 5, d, 0, 0, 0, 0, time.UTC), GHIKWhM2: 5, TempMinC: 20, TempMaxC: 30}
	}
	p, err := NewPlan(g, []DaySpec{day(west, 3), day(east, 5)})
	require.NoError(t, err)
	s := p.NewSeries()
	p.Typical(s)
	for d := range 2 {
		assert.InEpsilon(t, 5, dayKWhM2(p, s.GHIWm2, d), 1e-6)
		hottest := 48 * d
		for i := 48 * d; i < 48*(d+1); i++ {
			if s.AirTempC[i] > s.AirTempC[hottest] {
				hottest = i
			}
		}
		assert.InDelta(t, 13.6, float64(hottest-48*d)/2+0.25, 0.6, "hours of local time")
		assert.InDelta(t, 30, s.AirTempC[hottest], 0.2)
	}
}

func TestPlanTellsEveryFaultAtOnce(t *testing.T) {
	_, err := NewPlan(Grid{Step: 0, Places: []solar.Place{{LatDeg: 95}}, Day: []int32{3}},
		[]DaySpec{{Place: solar.Place{LonDeg: 200}, GHIKWhM2: 30, TempMinC: 50, TempMaxC: 20}})
	require.Error(t, err)
	for _, word := range []string{"step 0s", "latitude 95", "day 3 is not one of", "day 1 has no step", "longitude 200", "30 kWh/m2", "lowest temperature 50"} {
		assert.ErrorContains(t, err, word)
	}
	_, err = NewPlan(Grid{Step: time.Hour}, nil)
	assert.ErrorContains(t, err, "one of each per step")
}

// A figure of a sunny stop on a day that is spent far north of it: the sky gives
// what it can, and nothing where the sun does not rise.
func TestNoDayHasMoreSunThanTheSkyGives(t *testing.T) {
	kWh := func(place solar.Place) (got, most float64) {
		g, days := parkedSpec(t, place, "2027-12-20", 1, time.Hour)
		days[0].GHIKWhM2 = 4
		p, err := NewPlan(g, days)
		require.NoError(t, err)
		s := p.NewSeries()
		p.Typical(s)
		sum := 0.0
		for _, w := range s.GHIWm2 {
			sum += w / 1000
		}
		return sum, MostClearness * p.days[0].i0 / 1000
	}
	got, most := kWh(oslo)
	assert.InDelta(t, most, got, 1e-6)
	assert.InDelta(t, 0.9*solar.DailyExtraterrestrialKWhM2(354, oslo.LatDeg), got, 0.05, "but for refraction")
	got, _ = kWh(solar.Place{LatDeg: 78, LonDeg: 15})
	assert.Zero(t, got)
}
