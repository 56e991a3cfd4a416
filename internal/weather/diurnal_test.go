package weather

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"tripsim/internal/solar"
)

// Reference: Parton & Logan 1981 in closed form with its figures for air at
// 1.5 m, testdata/parton_logan.csv (conventions in its header). By night the
// original stops a share exp(-b) above the next minimum and jumps; here the
// same decay is stretched to arrive, so that the table's values are stretched
// alike before they are compared.
func TestPartonLogan1981(t *testing.T) {
	worst := 0.0
	for _, row := range readTable(t, "parton_logan.csv") {
		if row["param"] != "air150cm" {
			continue
		}
		lat, doy, hour := num(t, row, "lat"), num(t, row, "doy"), num(t, row, "hour")
		low, high, want := num(t, row, "tmin"), num(t, row, "tmax"), num(t, row, "temp")
		dayH := solar.SunsetHourAngleDeg(lat, solar.DeclinationCooperDeg(doy)) / 7.5
		c := sunCycle{dayH: dayH, sunsetH: dayH - partonC}
		c.lowest = time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration((12 - dayH/2 + partonC) * float64(time.Hour)))
		at := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC).Add(time.Duration(hour * float64(time.Hour)))
		if at.Before(c.lowest) {
			at = at.Add(24 * time.Hour)
		}
		a, b, n := c.share(at, c.lowest.Add(24*time.Hour))
		got := a*low + b*high + n*low
		if h := at.Sub(c.lowest).Hours(); h > c.sunsetH {
			s := math.Sin(math.Pi * c.sunsetH / (c.dayH + 2*partonA))
			sunset, end := low+s*(high-low), math.Exp(-partonB)
			want = low + (sunset-low)*((want-low)/(sunset-low)-end)/(1-end)
		}
		worst = max(worst, math.Abs(got-want))
	}
	t.Logf("worst %.5f K", worst)
	assert.Less(t, worst, 1e-3)
}

// Reference: ASHRAE Handbook Fundamentals 2009-2021 ch. 14 Table 6, fraction of
// the daily range below the maximum: another shape for the same thing (hot,
// clear design days in July), so that only a likeness is asked for.
func TestShapeOfTheDayIsLikeTheDailyRangeProfile(t *testing.T) {
	place := solar.Place{LatDeg: 40, LonDeg: 0, ElevationM: 0}
	g, days := parkedSpec(t, place, "2027-07-21", 3, time.Hour)
	for i := range days {
		days[i].TempMinC, days[i].TempMaxC = 23, 35
	}
	p, err := NewPlan(g, days)
	assert.NoError(t, err)
	s := p.NewSeries()
	p.Typical(s)
	var diff errorStats
	ours, theirs := 0.0, 0.0
	for i, row := range readTable(t, "ashrae_daily_range.csv") {
		ours, theirs = ours+(35-s.AirTempC[24+i])/12/24, theirs+num(t, row, "f")/24
		diff.add((35-s.AirTempC[24+i])/12 - num(t, row, "f"))
	}
	t.Logf("fraction of the range: %v; mean of the day %.3f/%.3f", &diff, ours, theirs)
	assert.Less(t, diff.rmse(), 0.15)
	assert.InDelta(t, theirs, ours, 0.06)
}

func TestTemperatureRunsOnFromDayToDay(t *testing.T) {
	for _, place := range []solar.Place{desert, oslo, {LatDeg: 78, LonDeg: 15}, {LatDeg: -65, LonDeg: -60}, {LatDeg: 0, LonDeg: 180}} {
		for _, start := range []string{"2027-01-01", "2027-06-15", "2027-12-25"} {
			p := parked(t, place, start, 10, 10*time.Minute)
			s := p.NewSeries()
			for k := range uint64(20) {
				p.Draw(4, k, s)
				for i := 1; i < len(s.AirTempC); i++ {
					if d := math.Abs(s.AirTempC[i] - s.AirTempC[i-1]); d > 2 {
						t.Fatalf("%v %s draw %d step %d: %g K in ten minutes", place, start, k, i, d)
					}
				}
			}
		}
	}
}

func TestMinimumNearSunriseAndMaximumInTheAfternoon(t *testing.T) {
	p := parked(t, solar.Place{LatDeg: 40, LonDeg: 0, ElevationM: 0}, "2027-04-10", 3, 10*time.Minute)
	s := p.NewSeries()
	p.Typical(s)
	lowest, highest, sunrise := 144, 144, 0
	for i := 144; i < 288; i++ {
		if s.AirTempC[i] < s.AirTempC[lowest] {
			lowest = i
		}
		if s.AirTempC[i] > s.AirTempC[highest] {
			highest = i
		}
		if sunrise == 0 && p.intervals[i].Up > 0 {
			sunrise = i
		}
	}
	assert.InDelta(t, sunrise, lowest, 3) // within half an hour
	assert.InDelta(t, 13.7*6, highest-144, 3)
	assert.InDelta(t, p.days[1].tempMin, s.AirTempC[lowest], 0.1)
	assert.InDelta(t, p.days[1].tempMax, s.AirTempC[highest], 0.1)
}
