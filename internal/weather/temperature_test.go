package weather

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/solar"
)

// Richardson & Wright 1984, WGEN (after Richardson 1981): the matrices A and B
// of x(t) = A x(t-1) + B e(t) for the residuals of maximum temperature, minimum
// temperature and solar radiation, as several public programs print them.
var (
	wgenA = [3][3]float64{{0.567, 0.086, -0.002}, {0.253, 0.504, -0.050}, {-0.006, -0.039, 0.244}}
	wgenB = [3][3]float64{{0.781, 0, 0}, {0.328, 0.637, 0}, {0.238, -0.341, 0.873}}
)

func TestTemperatureFiguresFollowFromRichardson(t *testing.T) {
	var m0 [3][3]float64 // stationary covariance: M0 = A M0 A' + B B'
	for range 500 {
		var next [3][3]float64
		for i := range 3 {
			for j := range 3 {
				for k := range 3 {
					next[i][j] += wgenB[i][k] * wgenB[j][k]
					for l := range 3 {
						next[i][j] += wgenA[i][k] * m0[k][l] * wgenA[j][l]
					}
				}
			}
		}
		m0 = next
	}
	for i := range 3 {
		assert.InDelta(t, 1, m0[i][i], 0.01, "residuals have unit variance")
	}
	var m1 [3][3]float64 // covariance with the day before
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				m1[i][j] += wgenA[i][k] * m0[k][j]
			}
		}
	}
	combine := func(m [3][3]float64, f, g [3]float64) (sum float64) {
		for i := range 3 {
			for j := range 3 {
				sum += f[i] * m[i][j] * g[j]
			}
		}
		return sum
	}
	mean, spread, sun := [3]float64{0.5, 0.5, 0}, [3]float64{1, -1, 0}, [3]float64{0, 0, 1}
	meanVar, spreadVar := combine(m0, mean, mean), combine(m0, spread, spread)
	assert.InDelta(t, meanShare, math.Sqrt(meanVar), 0.01)
	assert.InDelta(t, rangeShare, math.Sqrt(spreadVar), 0.01)
	assert.InDelta(t, tempMeanLag1, combine(m1, mean, mean)/meanVar, 0.01)
	assert.InDelta(t, tempRangeLag1, combine(m1, spread, spread)/spreadVar, 0.01)
	assert.InDelta(t, rangeSunCorr, combine(m0, spread, sun)/math.Sqrt(spreadVar), 0.01)
	assert.InDelta(t, 0, combine(m0, mean, sun)/math.Sqrt(meanVar), 0.02, "the mean hardly knows the sun")
}

// Reference: daily records 2012-15, see the file's header.
func TestTemperatureVariesAsInDailyRecords(t *testing.T) {
	places := map[string]solar.Place{
		"Seattle":  {LatDeg: 47.45, LonDeg: -122.31, ElevationM: 110},
		"New York": {LatDeg: 40.66, LonDeg: -73.8, ElevationM: 5},
	}
	var spread, width errorStats
	for _, row := range readTable(t, "daily_temperature_spread.csv") {
		month := time.Month(num(t, row, "month"))
		start := time.Date(2027, month, 8, 0, 0, 0, 0, time.UTC)
		p := parked(t, places[row["city"]], start.Format(time.DateOnly), 14, time.Hour)
		s := p.NewSeries()
		var mm, rr, n float64
		for k := range uint64(300) {
			p.Draw(2, k, s)
			for i := range p.days {
				d := &p.days[i]
				m := (s.low[i+1]+s.high[i+1])/2 - (d.tempMin+d.tempMax)/2
				r := s.high[i+1] - s.low[i+1] - (d.tempMax - d.tempMin)
				mm, rr, n = mm+m*m, rr+r*r, n+1
			}
		}
		got, gotWidth := math.Sqrt(mm/n), math.Sqrt(rr/n)
		t.Logf("%-8s %-9s sd of mean %.1f/%.2f K, of range %.1f/%.2f K", row["city"], month, got, num(t, row, "sd_mean_k"), gotWidth, num(t, row, "sd_range_k"))
		spread.add(got - num(t, row, "sd_mean_k"))
		width.add(gotWidth - num(t, row, "sd_range_k"))
	}
	t.Logf("sd of the mean, K: %v", &spread)
	t.Logf("sd of the range, K: %v", &width)
	assert.Less(t, spread.quantile(1), 1.1)
	assert.Less(t, width.quantile(1), 1.5)
	assert.InDelta(t, 0, spread.bias(), 0.4)
	assert.InDelta(t, 0, width.bias(), 0.4)
}

func TestTropicalTemperaturesVaryLittleAndContinentalWintersMuch(t *testing.T) {
	sd := func(place solar.Place, day float64) float64 {
		n, err := NormalsAt(place)
		require.NoError(t, err)
		return n.tempSDK(n.On(day))
	}
	assert.Less(t, sd(solar.Place{LatDeg: 1, LonDeg: 104}, 20), 1.5)
	siberia := solar.Place{LatDeg: 62, LonDeg: 130, ElevationM: 100}
	assert.Greater(t, sd(siberia, 15), 7.0)
	assert.Less(t, sd(siberia, 196), 0.65*sd(siberia, 15))
}

func TestSunnyDaysHaveWarmerAfternoonsAndColderMornings(t *testing.T) {
	p := parked(t, oslo, "2027-05-10", 14, time.Hour)
	s := p.NewSeries()
	var sunHigh, sunLow, nHigh float64
	var lag, square float64
	for k := range uint64(4000) {
		p.Draw(8, k, s)
		for i := range p.days {
			z := s.sunZ[i+1]
			sunHigh += z * (s.high[i+1] - p.days[i].tempMax)
			sunLow += z * (s.low[i+1] - p.days[i].tempMin)
			nHigh++
			mean := (s.low[i+1] + s.high[i+1] - p.days[i].tempMin - p.days[i].tempMax) / 2
			square += mean * mean
			if i > 0 {
				lag += mean * (s.low[i] + s.high[i] - p.days[i-1].tempMin - p.days[i-1].tempMax) / 2
			}
		}
	}
	assert.Greater(t, sunHigh/nHigh, 0.2)
	assert.Less(t, sunLow/nHigh, -0.2)
	assert.InDelta(t, tempMeanLag1, lag/square*14/13, 0.02)
}
