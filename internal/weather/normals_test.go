package weather

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tripsim/internal/solar"
)

// errorStats collects differences.
type errorStats struct {
	sum, square float64
	abs         []float64
}

func (e *errorStats) add(d float64) {
	e.sum, e.square = e.sum+d, e.square+d*d
	e.abs = append(e.abs, math.Abs(d))
}

func (e *errorStats) bias() float64 { return e.sum / float64(len(e.abs)) }
func (e *errorStats) rmse() float64 { return math.Sqrt(e.square / float64(len(e.abs))) }
func (e *errorStats) quantile(q float64) float64 {
	sort.Float64s(e.abs)
	return e.abs[int(q*float64(len(e.abs)-1))]
}

func (e *errorStats) String() string {
	return fmt.Sprintf("bias %+.2f, RMSE %.2f, median |error| %.2f, nine tenths below %.2f (%d values)",
		e.bias(), e.rmse(), e.quantile(0.5), e.quantile(0.9), len(e.abs))
}

// Reference: monthly means of 236 typical-year files (TMY3, TMY2, TMY: US
// public domain; SWERA: UNEP), see testdata/stations.csv. A typical month is
// one real month, itself some 5 to 10 % off the long-term mean.
func TestClimateAgreesWithStations(t *testing.T) {
	var sun, yearly, low, high errorStats
	for _, row := range readTable(t, "stations.csv") {
		place := solar.Place{LatDeg: num(t, row, "lat"), LonDeg: num(t, row, "lon"), ElevationM: num(t, row, "elev_m")}
		n, err := NormalsAt(place)
		require.NoError(t, err)
		ours, theirs := 0.0, 0.0
		for m := range 12 {
			column := func(what string) float64 { return num(t, row, fmt.Sprintf("%s_%d", what, m+1)) }
			sun.add(100 * (n.Months[m].GHIKWhM2/column("ghi") - 1))
			low.add(n.Months[m].TempMinC - column("tmin"))
			high.add(n.Months[m].TempMaxC - column("tmax"))
			ours, theirs = ours+n.Months[m].GHIKWhM2, theirs+column("ghi")
		}
		yearly.add(100 * (ours/theirs - 1))
	}
	t.Logf("monthly sun, %%: %v", &sun)
	t.Logf("yearly sun, %%: %v", &yearly)
	t.Logf("mean daily minimum, K: %v", &low)
	t.Logf("mean daily maximum, K: %v", &high)
	assert.Less(t, sun.quantile(0.5), 7.0)
	assert.InDelta(t, 0, sun.bias(), 5)
	assert.Less(t, yearly.quantile(0.5), 5.0)
	assert.Less(t, low.rmse(), 2.5)
	assert.Less(t, high.rmse(), 2.3)
}

// Each cell is left out in turn and looked up from the others: the error that
// interpolation adds, free of what the table itself has.
func TestClimateInterpolatesBetweenCells(t *testing.T) {
	cells := append([]cell(nil), climateCells()...)
	last := len(cells) - 1
	var sun, low, high errorStats
	for i := 0; i < len(cells); i += 7 {
		c := cells[i]
		cells[i], cells[last] = cells[last], cells[i]
		lon := math.Atan2(c.unit[1], c.unit[0]) * 180 / math.Pi
		n := normalsFrom(cells[:last], solar.Place{LatDeg: c.latDeg, LonDeg: lon, ElevationM: c.elevationM})
		cells[i], cells[last] = cells[last], cells[i]
		raised := 1 + 0.5*2e-5/0.75*c.elevationM // the height correction is not in the table
		for m := range 12 {
			if !math.IsNaN(c.kt[m]) {
				sun.add(100 * (n.Months[m].ClearnessIndex/(c.kt[m]*raised) - 1))
			}
			low.add(n.Months[m].TempMinC - c.tmin[m])
			high.add(n.Months[m].TempMaxC - c.tmax[m])
		}
	}
	t.Logf("sun, %%: %v", &sun)
	t.Logf("minimum, K: %v", &low)
	t.Logf("maximum, K: %v", &high)
	assert.Less(t, sun.rmse(), 4.0)
	assert.Less(t, sun.quantile(0.5), 1.5)
	assert.Less(t, low.rmse(), 1.5)
	assert.Less(t, high.rmse(), 1.7)
}

func TestClimateTableIsWholeAndPlausible(t *testing.T) {
	cells := climateCells()
	require.Len(t, cells, 2607)
	for _, c := range cells {
		for m := range 12 {
			require.Less(t, c.tmin[m], c.tmax[m])
			require.True(t, c.tmin[m] > -60 && c.tmax[m] < 50)
			require.True(t, math.IsNaN(c.kt[m]) || c.kt[m] > 0.1 && c.kt[m] < 0.85, "%v", c)
		}
	}
	_, err := parseClimate("1,2,3")
	assert.Error(t, err)
	_, err = parseClimate(strings.Repeat("1,", 39) + "1")
	assert.Error(t, err)
	_, err = parseClimate("a,2")
	assert.Error(t, err)
}

func anyPlace(t *rapid.T) solar.Place {
	p := solar.Place{
		LatDeg:     rapid.Float64Range(-90, 90).Draw(t, "lat"),
		LonDeg:     rapid.Float64Range(-180, 180).Draw(t, "lon"),
		ElevationM: rapid.Float64Range(0, 5000).Draw(t, "elevation"),
	}
	if rapid.Bool().Draw(t, "no elevation") {
		p.ElevationM = math.NaN()
	}
	return p
}

func TestDaysOfAMonthMeanTheMonth(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := anyPlace(t)
		n, err := NormalsAt(place)
		require.NoError(t, err)
		for m := range 12 {
			var low, high, sun float64
			length := float64(monthEdge[m+1] - monthEdge[m])
			for day := monthEdge[m]; day < monthEdge[m+1]; day++ {
				d := n.On(float64(day + 1))
				low, high = low+d.TempMinC/length, high+d.TempMaxC/length
				sun += d.ClearnessIndex * solar.DailyExtraterrestrialKWhM2(float64(day+1), place.LatDeg) / length
			}
			assert.InDelta(t, n.Months[m].TempMinC, low, 1e-6)
			assert.InDelta(t, n.Months[m].TempMaxC, high, 0.05) // held above the minimum
			assert.InDelta(t, n.Months[m].GHIKWhM2, sun, 0.02*n.Months[m].GHIKWhM2+1e-6)
		}
	})
}

func TestClimateIsFiniteSmoothAndOrderedAnywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		place := anyPlace(t)
		n, err := NormalsAt(place)
		require.NoError(t, err)
		before := n.On(0)
		assert.Equal(t, n.On(365), before)
		for day := 0.25; day <= 365; day += 0.25 {
			d := n.On(day)
			assert.True(t, d.TempMinC < d.TempMaxC && d.TempMinC > -95 && d.TempMaxC < 60, "%v", d)
			assert.True(t, d.ClearnessIndex >= 0.05 && d.ClearnessIndex <= 0.85)
			assert.InDelta(t, before.TempMaxC, d.TempMaxC, 0.3)
			assert.InDelta(t, before.ClearnessIndex, d.ClearnessIndex, 0.02)
			before = d
		}
		near := place
		near.LonDeg = clamp(place.LonDeg+0.01, -180, 180)
		beside, err := NormalsAt(near)
		require.NoError(t, err)
		for m := range 12 {
			assert.InDelta(t, n.Months[m].ClearnessIndex, beside.Months[m].ClearnessIndex, 0.005)
			assert.InDelta(t, n.Months[m].TempMaxC, beside.Months[m].TempMaxC, 0.3)
		}
	})
}

func TestHeightCoolsAsInTheCellsAroundAndBrightens(t *testing.T) {
	at := func(lat, lon, up float64) Normals {
		n, err := NormalsAt(solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: up})
		require.NoError(t, err)
		return n
	}
	for _, c := range []struct{ lat, lon, from, to float64 }{
		{46, 8, 12, 15},      // the Alps: near the standard 13 K in 2,000 m
		{-0.2, -78.5, 8, 12}, // the high basins of the Andes: less
		{52, 20, 11, 14},     // a plain: the standard
	} {
		low, high := at(c.lat, c.lon, 0), at(c.lat, c.lon, 2000)
		for m := range 12 {
			cooler := low.Months[m].TempMaxC - high.Months[m].TempMaxC
			assert.True(t, cooler >= c.from && cooler <= c.to, "%v: %.1f K", c, cooler)
			// Allen et al. 1998: 0.75 + 2e-5 z over 0.75, on half of the table.
			assert.InEpsilon(t, 1+0.5*2e-5*2000/0.75, high.Months[m].ClearnessIndex/low.Months[m].ClearnessIndex, 1e-9)
		}
	}
}

// Reference: monthly mean irradiation of Madison, Wisconsin, Duffie & Beckman
// Example 2.20.1 (5th edition, p. 110), MJ/m2: a station outside the tables.
func TestMadisonOfDuffieBeckmanExample2201(t *testing.T) {
	n, err := NormalsAt(solar.Place{LatDeg: 43.1, LonDeg: -89.4, ElevationM: 270})
	require.NoError(t, err)
	var off errorStats
	for m, mj := range []float64{6.44, 9.89, 12.86, 16.05, 21.36, 23.04, 22.58, 20.33, 14.59, 10.48, 6.37, 5.74} {
		off.add(100 * (n.Months[m].GHIKWhM2*3.6/mj - 1))
	}
	t.Logf("%%: %v", &off)
	assert.Less(t, off.quantile(0.5), 5.0)
	assert.Less(t, off.quantile(1), 15.0)
}

func TestFarFromDataIsSaid(t *testing.T) {
	for _, c := range []struct {
		place    solar.Place
		from, to float64
	}{
		{solar.Place{LatDeg: 48.2, LonDeg: 16.4}, 0, 200},
		{solar.Place{LatDeg: -90}, 3000, 4500},
		{solar.Place{LatDeg: 0, LonDeg: -30}, 500, 2500},
	} {
		n, err := NormalsAt(c.place)
		require.NoError(t, err)
		assert.True(t, n.NearestKM >= c.from && n.NearestKM <= c.to, "%v: %.0f km", c.place, n.NearestKM)
		assert.Contains(t, n.Source, "New, Lister, Hulme & Makin 2002")
		assert.Contains(t, n.Source, "Large & Yeager 2009")
		assert.Contains(t, n.Source, "Allen et al. 1998")
	}
}

func TestPlacesThatAreNoneAreRefusedWithEveryReason(t *testing.T) {
	_, err := NormalsAt(solar.Place{LatDeg: 91, LonDeg: math.NaN(), ElevationM: 1e5})
	require.Error(t, err)
	for _, word := range []string{"latitude 91", "longitude NaN", "elevation 100000"} {
		assert.ErrorContains(t, err, word)
	}
}

func TestDarkMonthsTakeTheirClearnessFromTheMonthsAround(t *testing.T) {
	got := fillDark([12]float64{nan, 0.4, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5, 0.1, nan})
	assert.InDelta(t, 0.2, got[11], 1e-12)
	assert.InDelta(t, 0.3, got[0], 1e-12)
	for _, k := range fillDark([12]float64{nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan, nan}) {
		assert.Equal(t, 0.5, k)
	}
}

// Valleys of the Pyrenees and the Andes, and plains of the Midwest and of
// Australia: whether the cells' heights can stand for a place's.
func TestReliefTellsMountainsFromPlains(t *testing.T) {
	relief := func(lat, lon float64) float64 {
		n, err := NormalsAt(solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: nan})
		require.NoError(t, err)
		return n.ReliefM
	}
	for _, p := range [][2]float64{{42.5, 1.5}, {-18.2, -69.6}, {47.3, 11.4}, {39.7, -105}} {
		assert.Greater(t, relief(p[0], p[1]), 500.0, p)
	}
	for _, p := range [][2]float64{{41.9, -87.6}, {-23.7, 133.9}, {52.2, 21}} {
		assert.Less(t, relief(p[0], p[1]), 500.0, p)
	}
}
