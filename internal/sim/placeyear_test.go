package sim

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/solar"
	"tripsim/internal/weather"
)

func yearAt(t testing.TB, lat, lon float64, zoneName string, draws int) *PlaceYear {
	t.Helper()
	o := DefaultPlaceOptions()
	o.Draws = draws
	y, err := YearAt(solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: nan}, zone(t, zoneName), o)
	require.NoError(t, err)
	return y
}

func TestEveryPlaceHasASoundYear(t *testing.T) {
	for _, p := range [][2]float64{{30.92, -6.91}, {69.65, 18.96}, {-32.35, 22.58}, {0, -78}, {84, 0}, {90, 0}, {-90, 0}, {-77.8, 180}} {
		y := yearAt(t, p[0], p[1], "UTC", 10)
		assert.Len(t, y.Sunrise, 365)
		assert.Len(t, y.Sunset, 365)
		for m, q := range y.Months {
			at := fmt.Sprintf("%v, month %d: %+v", p, m+1, q)
			assert.False(t, math.IsNaN(q.GHIKWhM2+q.DaylightH+q.TempMinC+q.TempMaxC+q.FlatWh+q.BestWh+q.YearTiltWh), at)
			assert.GreaterOrEqual(t, q.GHIKWhM2, 0.0, at)
			assert.Less(t, q.TempMinC, q.TempMaxC, at)
			assert.True(t, q.DaylightH >= 0 && q.DaylightH <= 24, at)
			assert.True(t, q.FlatWh >= 0 && q.BestWh >= q.FlatWh-1e-9 && q.BestWh >= q.YearTiltWh-1e-9, at)
			assert.False(t, q.ClearGHIKWhM2 < q.GHIKWhM2, at)
			assert.False(t, q.DullShare > q.GreyShare, at)
			assert.False(t, q.PoorKWhM2 > q.GHIKWhM2, at)
			assert.True(t, q.Best.Deg >= 0 && q.Best.Deg <= 90, at)
			// The hours of the picture add up to the day.
			sum := 0.0
			for _, w := range y.GHIWm2[m] {
				sum += w / 1000
			}
			assert.InDelta(t, q.GHIKWhM2, sum, 1e-6*(1+sum), at)
		}
	}
}

// The months are those of the climate table: within half a percent, refraction
// and the 24-hour polar day included, where there is sun to speak of.
func TestMonthsAreTheClimates(t *testing.T) {
	for _, p := range [][2]float64{{30.92, -6.91}, {60, 10}, {-32.35, 22.58}, {0, -78}} {
		n, err := weather.NormalsAt(solar.Place{LatDeg: p[0], LonDeg: p[1], ElevationM: nan})
		require.NoError(t, err)
		y := yearAt(t, p[0], p[1], "UTC", 0)
		for m := range 12 {
			assert.InEpsilon(t, n.Months[m].GHIKWhM2, y.Months[m].GHIKWhM2, 0.005, "%v month %d", p, m+1)
			assert.Equal(t, n.Months[m].TempMaxC, y.Months[m].TempMaxC)
		}
		assert.Equal(t, n.NearestKM, y.NearestKM)
	}
}

// Sunrise and sunset at 35 N 0 E: 1994-01-02 07:08:12 and 16:59:55 UT (Reda &
// Andreas, NREL/TP-560-34302, Table A.2). The year moves them by less than a
// minute.
func TestSunriseLineOfTheSPAReport(t *testing.T) {
	y := yearAt(t, 35, 0, "UTC", 0)
	assert.InDelta(t, 7+8.0/60+12.0/3600, y.Sunrise[1], 1.0/60)
	assert.InDelta(t, 16+59.0/60+55.0/3600, y.Sunset[1], 1.0/60)
}

// Almanacs: at 69.65 N the sun is up all June and not at all in December; on
// the equator the day lasts 12 h and 7 min.
func TestDaylightOfThePolesAndTheEquator(t *testing.T) {
	north := yearAt(t, 69.65, 18.96, "Europe/Oslo", 0)
	assert.InDelta(t, 24, north.Months[5].DaylightH, 1e-9)
	assert.Equal(t, 0.0, north.Months[11].DaylightH)
	assert.True(t, math.IsNaN(north.Sunrise[171]) && math.IsNaN(north.Sunset[171]))
	for _, m := range yearAt(t, 0, -78, "America/Guayaquil", 0).Months {
		assert.InDelta(t, 12+7.0/60, m.DaylightH, 0.02)
	}
}

// Mean daily irradiation on a 60 degree slope to the south over that on the
// level, Madison, 43 N: Duffie & Beckman, Solar Engineering of Thermal
// Processes, Example 2.20.1 (5th ed.; outputs from memory), months with a
// ground reflectance of 0.2: H 16.05 21.36 23.04 22.58 20.33 14.59 10.48 6.37,
// on the slope 14.7 16.6 16.5 16.8 17.5 15.6 15.2 11.4 MJ/m2. Here the climate is
// the table's and a panel's losses of angle and heat are in; the ratio carries
// over to 6 %.
func TestSlopeOfSixtyDegreesAtMadison(t *testing.T) {
	y := &PlaceYear{Position: solar.Place{LatDeg: 43.1, LonDeg: -89.4, ElevationM: 270}, Zone: time.UTC, Year: 2026, PanelW: 100}
	n, err := weather.NormalsAt(y.Position)
	require.NoError(t, err)
	w := &yearWork{y: y, opt: DefaultPlaceOptions(), normals: &n}
	require.NoError(t, w.layOut())
	w.sun()
	level, slope := w.monthlyWh(Tilt{}, 1), w.monthlyWh(Tilt{60, true}, 1)
	want := [8]float64{14.7 / 16.05, 16.6 / 21.36, 16.5 / 23.04, 16.8 / 22.58, 17.5 / 20.33, 15.6 / 14.59, 15.2 / 10.48, 11.4 / 6.37}
	worst := 0.0
	for i, ratio := range want {
		got := slope[i+3] / level[i+3]
		worst = math.Max(worst, math.Abs(got/ratio-1))
		assert.InEpsilon(t, ratio, got, 0.06, "month %d", i+4)
	}
	t.Logf("largest deviation %.1f %%", 100*worst)
}

// Rule of thumb, common practice: over the year a tilt of about the latitude,
// less in cloudy places; 15 degrees more in winter and less in summer; facing
// the equator.
func TestBestTiltIsAboutTheLatitude(t *testing.T) {
	for _, p := range [][2]float64{{30.92, -6.91}, {43.1, -89.4}, {-32.35, 22.58}, {40, -4}} {
		y := yearAt(t, p[0], p[1], "UTC", 0)
		lat := math.Abs(p[0])
		assert.InDelta(t, lat-3, y.BestTilt.Deg, 8, "%v", p)
		assert.Equal(t, p[0] > 0, y.BestTilt.South)
		winter, summer := 11, 5
		if p[0] < 0 {
			winter, summer = 5, 11
		}
		assert.Greater(t, y.Months[winter].Best.Deg, lat+10, "%v", p)
		assert.Less(t, y.Months[summer].Best.Deg, lat-15, "%v", p)
	}
	equator := yearAt(t, 0, -78, "UTC", 0)
	assert.Zero(t, equator.BestTilt.Deg)
	assert.True(t, equator.Months[11].Best.South, "the sun is in the south in December")
	assert.False(t, equator.Months[5].Best.South)
}

// The search in coarse and fine steps finds what trying every tilt finds.
func TestTiltSearchMissesNothing(t *testing.T) {
	for peak := -45.0; peak <= 95; peak += 2.5 {
		yield := func(deg float64) float64 { return 500 - 0.05*(deg-peak)*(deg-peak) }
		want, least := 0.0, -40.0
		for deg := least; deg <= 90; deg += tiltStepDeg {
			if yield(deg) > yield(want) {
				want = deg
			}
		}
		got := bestTilt(least, yield)
		assert.InEpsilon(t, yield(want), yield(got), 0.001, "peak at %g", peak)
	}
}

// Typical weather stands for the draws: the level panel's mean yield over
// simulated years is within 3 % of the typical year's.
func TestTypicalYieldIsThatOfTheDraws(t *testing.T) {
	o := DefaultPlaceOptions()
	for _, p := range [][2]float64{{30.92, -6.91}, {60, 10}} {
		y := yearAt(t, p[0], p[1], "UTC", 0)
		n, err := weather.NormalsAt(y.Position)
		require.NoError(t, err)
		w := &yearWork{y: y, opt: o, normals: &n}
		require.NoError(t, w.layOut())
		mean := 0.0
		const draws = 20
		for k := range draws {
			w.plan.Draw(1, uint64(k), w.series)
			for m, wh := range w.monthlyWh(Tilt{}, 3) {
				mean += wh * y.Months[m].days / 365 / draws
			}
		}
		assert.InEpsilon(t, mean, y.Mean.FlatWh, 0.03, "%v", p)
		t.Logf("%v: typical %.0f Wh, draws %.0f Wh", p, y.Mean.FlatWh, mean)
	}
}

func TestYearsOfOneSeedAreAlike(t *testing.T) {
	a, b := yearAt(t, 52, 5, "Europe/Amsterdam", 5), yearAt(t, 52, 5, "Europe/Amsterdam", 5)
	assert.Equal(t, fmt.Sprintf("%+v", a.Months), fmt.Sprintf("%+v", b.Months))
	twice := DefaultPlaceOptions()
	twice.PanelW, twice.Draws = 200, 0
	c, err := YearAt(a.Position, a.Zone, twice)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*a.Mean.FlatWh, c.Mean.FlatWh, 1e-9)
}

func TestYearAtRejectsWhatIsNoPlace(t *testing.T) {
	o := DefaultPlaceOptions()
	_, err := YearAt(solar.Place{LatDeg: 91, ElevationM: nan}, time.UTC, o)
	assert.ErrorContains(t, err, "latitude 91 is not between")
	o.PanelW = 0
	_, err = YearAt(solar.Place{LatDeg: 9, ElevationM: nan}, time.UTC, o)
	assert.ErrorContains(t, err, "a panel of 0 W")
}

func ExampleYearAt() {
	y, err := YearAt(solar.Place{LatDeg: -32.35, LonDeg: 22.58, ElevationM: 850}, time.UTC, DefaultPlaceOptions())
	if err != nil {
		panic(err)
	}
	june := y.Months[5]
	fmt.Printf("June: %.1f kWh/m2, %.0f h of day; best tilt %.0f degrees\n", june.GHIKWhM2, june.DaylightH, june.Best.Deg)
	// Output:
	// June: 2.8 kWh/m2, 10 h of day; best tilt 60 degrees
}

func BenchmarkYearAt(b *testing.B) {
	for b.Loop() {
		if _, err := YearAt(solar.Place{LatDeg: 50, LonDeg: 8, ElevationM: 100}, time.UTC, DefaultPlaceOptions()); err != nil {
			b.Fatal(err)
		}
	}
}
