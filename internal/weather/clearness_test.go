package weather

import (
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"sort"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tripsim/internal/solar"
)

// readTable reads a testdata table with # comments as rows by column name.
func readTable(t testing.TB, file string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/" + file)
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func num(t testing.TB, row map[string]string, column string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(row[column], 64)
	require.NoError(t, err, column)
	return v
}

// monthStats are the statistics of a month of days, averaged over months, made
// as those of the reference: sample standard deviation, sample lag-1
// autocorrelation, linearly interpolated percentiles.
type monthStats struct{ mean, sd, lag1, p10, p50, low, high, n float64 }

func (s *monthStats) add(days []float64, trueMean float64) {
	n := float64(len(days))
	mean, ss, cross := 0.0, 0.0, 0.0
	for _, d := range days {
		mean += d / n
	}
	for i, d := range days {
		ss += (d - mean) * (d - mean)
		if i > 0 {
			cross += (d - mean) * (days[i-1] - mean)
		}
	}
	sorted := append([]float64(nil), days...)
	sort.Float64s(sorted)
	at := func(f float64) float64 {
		x := f * (n - 1)
		i := int(x)
		return sorted[i] + (x-float64(i))*(sorted[min(i+1, len(sorted)-1)]-sorted[i])
	}
	s.mean, s.sd, s.lag1 = s.mean+mean, s.sd+math.Sqrt(ss/(n-1)), s.lag1+cross/ss
	s.p10, s.p50, s.low, s.high, s.n = s.p10+at(0.1), s.p50+at(0.5), s.low+sorted[0], s.high+sorted[len(sorted)-1], s.n+1
}

func (s *monthStats) divide() {
	for _, v := range []*float64{&s.mean, &s.sd, &s.lag1, &s.p10, &s.p50, &s.low, &s.high} {
		*v /= s.n
	}
}

// planWithClearness is 30 days at one place whose mean clearness is overridden.
func planWithClearness(t testing.TB, place solar.Place, k float64) *Plan {
	g, days := parkedSpec(t, place, "2027-05-01", 30, time.Hour)
	probe, err := NewPlan(g, days)
	require.NoError(t, err)
	for i := range days {
		days[i].GHIKWhM2 = k * probe.days[i].i0 / 1000
	}
	p, err := NewPlan(g, days)
	require.NoError(t, err)
	return p
}

// Reference: pooled typical years of 1,062 stations, see the file's header.
// The draws are months of 30 days, and their statistics are made in the same
// way as those of the reference (an autocorrelation from 30 days is low by
// about (1+3r)/30, so that the sample's and the series' own are both checked).
func TestDailyClearnessIsSpreadAsAtTheStations(t *testing.T) {
	mountain := solar.Place{LatDeg: 40, LonDeg: 0, ElevationM: 1500}
	for _, row := range readTable(t, "daily_clearness_by_mean.csv") {
		mean := num(t, row, "kt_mean")
		p := planWithClearness(t, mountain, mean)
		s := p.NewSeries()
		var got monthStats
		var v, c, m float64
		const draws = 10_000
		for k := range uint64(draws) {
			p.Draw(11, k, s)
			got.add(s.Clearness, mean)
			for i, x := range s.Clearness {
				m += x / (30 * draws)
				v += (x - mean) * (x - mean) / (30 * draws)
				if i > 0 {
					c += (x - mean) * (s.Clearness[i-1] - mean) / (29 * draws)
				}
			}
		}
		got.divide()
		t.Logf("K %.3f: mean %.4f  sd %.4f/%.3f  lag1 sample %.3f/%.3f series %.3f/%.3f  p10 %.3f/%.3f  p50 %.3f/%.3f  low %.3f/%.3f  high %.3f/%.3f", mean, m,
			got.sd, num(t, row, "sd_mean"), got.lag1, num(t, row, "lag1"), c/v, num(t, row, "lag1_corr"), got.p10, num(t, row, "p10"),
			got.p50, num(t, row, "p50"), got.low, num(t, row, "kmin"), got.high, num(t, row, "kmax"))
		what := fmt.Sprintf("mean clearness %.3f", mean)
		assert.InDelta(t, mean, m, 0.001, what)
		assert.InEpsilon(t, num(t, row, "sd_mean"), got.sd, 0.03, what)
		assert.InDelta(t, num(t, row, "lag1"), got.lag1, 0.03, what)
		assert.InDelta(t, num(t, row, "lag1_corr"), c/v, 0.01, what)
		assert.InDelta(t, num(t, row, "p10"), got.p10, 0.012, what)
		assert.InDelta(t, num(t, row, "p50"), got.p50, 0.012, what)
		assert.InDelta(t, num(t, row, "kmin"), got.low, 0.02, what)
		assert.InDelta(t, num(t, row, "kmax"), got.high, 0.02, what)
	}
}

// Reference: Aguiar, Collares-Pereira & Conde 1988, Solar Energy 40: 269-279,
// the library of Markov matrices by monthly mean, run for 10^5 days. Theirs are
// a few Portuguese and other stations: a cross-check of spread and memory.
func TestClearnessIsLikeAguiar1988(t *testing.T) {
	type matrix struct {
		low, high float64
		p         [10][10]float64
	}
	library := map[int]*matrix{}
	for _, row := range readTable(t, "aguiar_mtm.csv") {
		id := int(num(t, row, "matrix"))
		if library[id] == nil {
			library[id] = &matrix{low: num(t, row, "kt_min"), high: num(t, row, "kt_max")}
		}
		for j := range 10 {
			library[id].p[int(num(t, row, "row"))-1][j] = num(t, row, fmt.Sprintf("p%d", j+1))
		}
	}
	require.Len(t, library, 10)
	// Stationary mean, standard deviation and lag-1 autocorrelation of each
	// matrix, recomputed from the library: what the simulation must give.
	known := [10][3]float64{
		{.241, .155, .391},
		{.334, .166, .023},
		{.374, .165, .287},
		{.429, .166, .313},
		{.476, .166, .331},
		{.526, .155, .317},
		{.575, .152, .231},
		{.620, .134, .243},
		{.668, .116, .204},
		{.728, .071, .265},
	}
	for id := 1; id <= 10; id++ {
		mean, sd, lag := runMarkov(library[id].p, library[id].low, library[id].high)
		assert.InDelta(t, known[id-1][0], mean, 0.01, "matrix %d", id)
		assert.InDelta(t, known[id-1][1], sd, 0.01, "matrix %d", id)
		assert.InDelta(t, known[id-1][2], lag, 0.03, "matrix %d", id)
		d := clearnessFor(mean, 40, 0)
		ours := 0.0
		for i, w := range normalHats() {
			ours += w * (d.q[i] - mean) * (d.q[i] - mean)
		}
		t.Logf("matrix %2d: mean %.3f, sd theirs %.3f ours %.3f", id, mean, sd, math.Sqrt(ours))
		if id > 1 {
			assert.InDelta(t, sd, math.Sqrt(ours), 0.025, "matrix %d", id)
		}
	}
}

func runMarkov(p [10][10]float64, low, high float64) (mean, sd, lag float64) {
	r := rand.New(rand.NewPCG(1, 2))
	width := (high - low) / 10
	state, before := 5, 0.0
	var sum, square, cross, n float64
	for day := range 100_000 {
		total, u := 0.0, 0.0
		for _, v := range p[state] {
			total += v
		}
		x := r.Float64() * total
		for j, v := range p[state] {
			if x < u+v || j == 9 {
				state, x = j, (x-u)/max(v, 1e-9)
				break
			}
			u += v
		}
		k := low + width*(float64(state)+clamp(x, 0, 1))
		sum, square, n = sum+k, square+k*k, n+1
		if day > 0 {
			cross += k * before
		}
		before = k
	}
	mean = sum / n
	variance := square/n - mean*mean
	return mean, math.Sqrt(variance), (cross/(n-1) - mean*mean) / variance
}

// Reference: Hollands & Huget 1983, highest daily clearness for a month's mean,
// testdata/bendt_hollands_huget.csv.
func TestClearestDaysStayBelowHollandsHuget1983(t *testing.T) {
	for _, row := range readTable(t, "bendt_hollands_huget.csv") {
		d := clearnessFor(num(t, row, "Km"), 45, 0)
		assert.Less(t, d.q[zPoints-1], num(t, row, "Kmax")+0.005)
		assert.Greater(t, d.q[zPoints-1], num(t, row, "Kmax")-0.08)
		assert.Less(t, math.Abs(d.q.at(0)-num(t, row, "q50")), 0.06, "the median is near theirs")
	}
}

func TestDistributionKeepsItsMeanWhateverTheCapAndLatitude(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mean := rapid.Float64Range(0.02, 0.84).Draw(t, "mean")
		lat := rapid.Float64Range(-90, 90).Draw(t, "lat")
		highest := rapid.Float64Range(0.05, 0.9).Draw(t, "cap")
		d := clearnessFor(mean, lat, highest)
		assert.InDelta(t, mean, d.q.mean(), 1e-9)
		for i, k := range d.q {
			assert.True(t, k >= 0 && k <= 0.95 && (i == 0 || k >= d.q[i-1]))
		}
		assert.LessOrEqual(t, d.q[zPoints-1], max(highest, 1.1*mean, mean+0.02)+1e-9)
	})
}

func TestTropicalDaysAreMoreAlike(t *testing.T) {
	for _, lat := range []float64{-10, 0, 15} {
		d := clearnessFor(0.5, lat, 0)
		variance := 0.0
		for i, w := range normalHats() {
			variance += w * (d.q[i] - 0.5) * (d.q[i] - 0.5)
		}
		assert.InDelta(t, 0.09, math.Sqrt(variance), 0.002)
	}
}

func TestNormalHatsAreTheNormalDistribution(t *testing.T) {
	sum, mean, variance := 0.0, 0.0, 0.0
	for i, w := range normalHats() {
		sum, mean, variance = sum+w, mean+w*zAt(i), variance+w*zAt(i)*zAt(i)
	}
	assert.InDelta(t, 1, sum, 1e-12)
	assert.InDelta(t, 0, mean, 1e-12)
	assert.InDelta(t, 1, variance, 2e-3)
}
