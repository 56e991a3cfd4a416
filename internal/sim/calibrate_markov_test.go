package sim

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/weather"
)

// markovMatrix is one of the ten matrices of Aguiar, Collares-Pereira & Conde
// 1988, Solar Energy 40: 269-279 (testdata/aguiar_mtm.csv).
type markovMatrix struct {
	low, high float64
	p         [10][10]float64
}

func markovMatrices(t testing.TB) []markovMatrix {
	f, err := os.Open("testdata/aguiar_mtm.csv")
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	out := make([]markovMatrix, 10)
	num := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		require.NoError(t, err)
		return x
	}
	for _, row := range rows[1:] {
		m := &out[int(num(row[0]))-1]
		m.low, m.high = num(row[2]), num(row[3])
		for j := range 10 {
			m.p[int(num(row[4]))-1][j] = num(row[5+j])
		}
	}
	return out
}

// next draws the next day's state and clearness index: uniform within the
// state, as the paper has it.
func (m *markovMatrix) next(state int, rng *rand.Rand) (int, float64) {
	sum := 0.0
	for _, p := range m.p[state] {
		sum += p
	}
	x, to := rng.Float64()*sum, 9
	if sum == 0 { // a state that was never seen: stay
		to = state
	} else {
		for j, p := range m.p[state] {
			if x -= p; x < 0 {
				to = j
				break
			}
		}
	}
	return to, m.low + (float64(to)+rng.Float64())*(m.high-m.low)/10
}

// markovRecord is years of hourly weather at a stop whose days follow the Markov
// chains for the climate's monthly clearness: an independent model of how the
// sun varies from day to day. Within the day the sun follows its height; the air
// is the climate's mean.
func markovRecord(t testing.TB, stop Stop, years int) *weather.Record {
	lib := markovMatrices(t)
	rng := rand.New(rand.NewPCG(5, 6))
	normals, err := weather.NormalsAt(stop.Position)
	require.NoError(t, err)
	var b strings.Builder
	b.WriteString("time,ghi,temp\n")
	state := 4
	for y := range years {
		st := stop
		st.Date, st.Zone = day(2001+y, 1, 1), time.UTC
		st.Days = day(2001+y, 12, 31).YearDay()
		opt := DefaultOptions()
		opt.Step = time.Hour
		s, err := NewStudy(&Trip{Stops: []Stop{st}}, nil, opt)
		require.NoError(t, err)
		typical := s.sky.NewSeries()
		s.sky.Typical(typical)
		kt := 0.0
		for i, iv := range s.intervals {
			at := s.it.slots[i].Start
			if at.Hour() == 0 {
				mean := normals.Months[at.Month()-1].ClearnessIndex
				state, kt = lib[markovClass(mean)].next(state, rng)
			}
			fmt.Fprintf(&b, "%s,%.1f,%.2f\n", at.Format("2006-01-02T15:04Z"), math.Max(0, kt*iv.I0HorizWm2), typical.AirTempC[i])
		}
	}
	rec, err := weather.ReadCSV(strings.NewReader(b.String()), "markov.csv", nil)
	require.NoError(t, err)
	return rec
}

// markovClass is the matrix for a monthly mean: up to .30, then steps of .05.
func markovClass(mean float64) int {
	return max(0, min(9, int(math.Ceil((mean-0.30)/0.05))))
}

// The forecast risk against weather made by an independent published model of
// the sequence of days: 12 years, a start on every day. The two need not agree
// closely (the chains were fitted to other places, and hold the beam of days
// differently); the forecast must be honest to a few points and tell bad months
// from good ones.
func TestTheForecastHoldsOnMarkovWeather(t *testing.T) {
	if testing.Short() {
		t.Skip("a dozen years of starts")
	}
	trip, loads, sys := sunTrip(t)
	opt := DefaultOptions()
	opt.Step = time.Hour
	rec := markovRecord(t, trip.Stops[0], 12)
	c, err := Calibrate(context.Background(), trip, loads, opt, []*System{sys}, rec, true, 60, nil)
	require.NoError(t, err)
	s := c.Systems[0]
	for _, m := range s.Months {
		t.Logf("%-9s seen %5.1f %% (%.1f to %.1f)  forecast %5.1f %%", m.Month, 100*m.Observed.Share, 100*m.Observed.Low, 100*m.Observed.High, 100*m.Forecast)
	}
	t.Logf("year: seen %.1f %%, forecast %.1f %%; Brier %.4f, reliability %.4f, skill %.2f", 100*s.All.Observed.Share, 100*s.All.Forecast,
		s.Brier.Score, s.Brier.Reliability, s.Brier.Skill())
	assert.InDelta(t, s.All.Observed.Share, s.All.Forecast, 0.05)
	assert.Less(t, s.Brier.Reliability, 0.015)
	assert.Greater(t, s.Brier.Skill(), 0.4)
}
