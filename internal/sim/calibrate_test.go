package sim

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/weather"
)

// A set reckoned by hand: forecasts of 0.2 that come true 1 time in 5 and of
// 0.8 that come true 4 times in 5. Score (4*.04+.64)/5 = 0.16 in either half;
// perfectly reliable; resolution .3^2 = .09; uncertainty .25.
func TestBrierOfAKnownSet(t *testing.T) {
	f := []float64{.2, .2, .2, .2, .2, .8, .8, .8, .8, .8}
	o := []bool{false, false, false, false, true, true, true, true, true, false}
	b := BrierOf(f, o)
	assert.InDelta(t, 0.16, b.Score, 1e-12)
	assert.InDelta(t, 0, b.Reliability, 1e-12)
	assert.InDelta(t, 0.09, b.Resolution, 1e-12)
	assert.InDelta(t, 0.25, b.Uncertainty, 1e-12)
	assert.InDelta(t, 0.36, b.Skill(), 1e-12)
	bins := Reliability(f, o)
	require.Len(t, bins, 2)
	assert.Equal(t, 5, bins[0].N)
	assert.InDelta(t, 0.2, bins[0].Observed.Share, 1e-12)
	assert.InDelta(t, 0.2, bins[0].From, 1e-12)
}

// Forecasting 0.9 for what never happens: score .81, all of it unreliability.
func TestBrierOfABadForecast(t *testing.T) {
	b := BrierOf([]float64{.9, .9, .9}, make([]bool, 3))
	assert.InDelta(t, 0.81, b.Score, 1e-12)
	assert.InDelta(t, 0.81, b.Reliability, 1e-12)
	assert.Zero(t, b.Uncertainty)
	assert.True(t, math.IsNaN(b.Skill()))
	assert.Equal(t, Brier{}, BrierOf(nil, nil))
}

// The parts add up to the score whatever the forecasts (Stephenson, Coelho &
// Jolliffe 2008, equation 5).
func TestTheBrierScoreIsTheSumOfItsParts(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for range 50 {
		f, o := make([]float64, 137), make([]bool, 137)
		for i := range f {
			f[i] = rng.Float64()
			o[i] = rng.Float64() < f[i]*f[i]
		}
		f[0], f[1] = 0, 1
		b := BrierOf(f, o)
		assert.InDelta(t, b.Score, b.Reliability-b.Resolution+b.Uncertainty+b.WithinVariance-b.WithinCovariance, 1e-12)
		n := 0
		for _, bin := range Reliability(f, o) {
			n += bin.N
			assert.GreaterOrEqual(t, bin.Forecast, bin.From-1e-9)
			assert.LessOrEqual(t, bin.Forecast, bin.To+1e-9)
		}
		assert.Equal(t, 137, n)
	}
}

func TestTheIntervalOfAShareIsWilsons(t *testing.T) {
	for _, c := range []struct{ hits, n int }{{0, 10}, {3, 10}, {50, 400}, {7, 7}} {
		w, s := Wilson(c.hits, c.n), wilsonShare(float64(c.hits)/float64(c.n), float64(c.n))
		assert.InDelta(t, w.Low, s.Low, 1e-12)
		assert.InDelta(t, w.High, s.High, 1e-12)
	}
}

// recordOf writes years of synthetic weather at a place as a weather file;
// factor scales its sun.
func recordOf(t testing.TB, stop Stop, years int, factor float64) *weather.Record {
	t.Helper()
	var b strings.Builder
	b.WriteString("time,ghi,temp,dhi\n")
	at := day(2001, 1, 1)
	for y := range years {
		st := stop
		st.Date, st.Days, st.Zone = at, 365, time.UTC
		opt := DefaultOptions()
		opt.Step = time.Hour
		s, err := NewStudy(&Trip{Stops: []Stop{st}}, nil, opt)
		require.NoError(t, err)
		series := s.sky.NewSeries()
		s.sky.Synthetic(77).Fill(uint64(y), series)
		for i := range series.GHIWm2 {
			fmt.Fprintf(&b, "%s,%.2f,%.2f,%.2f\n", at.Add(time.Duration(i)*time.Hour).Format("2006-01-02T15:04Z"),
				factor*series.GHIWm2[i], series.AirTempC[i], factor*series.DHIWm2[i])
		}
		at = at.AddDate(1, 0, 0)
		require.Equal(t, 1, at.YearDay())
	}
	rec, err := weather.ReadCSV(strings.NewReader(b.String()), "invented.csv", nil)
	require.NoError(t, err)
	return rec
}

// sunTrip is five days on a roof panel in the foreland of the Alps; invented.
func sunTrip(t testing.TB) (*Trip, []Load, *System) {
	stop := stopAt(46, 7, time.UTC, day(2026, 6, 1), 5)
	return &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 14)}, WithPanelW(bareSystem(t, 60), 110)
}

// A record that was made of the forecast's own kind of weather: the forecast
// must come out honest, up to the chance of three years.
func TestTheForecastIsHonestOnItsOwnWeather(t *testing.T) {
	trip, loads, sys := sunTrip(t)
	opt := DefaultOptions()
	opt.Step = time.Hour
	rec := recordOf(t, trip.Stops[0], 3, 1)
	c, err := Calibrate(context.Background(), trip, loads, opt, []*System{sys}, rec, false, 60, nil)
	require.NoError(t, err)
	s := c.Systems[0]
	assert.Len(t, s.Months, 12)
	assert.False(t, c.Moved)
	assert.Greater(t, s.All.Flat, 100, "the test needs flat and other starts")
	assert.Less(t, s.All.Flat, s.All.Starts-100)
	assert.InDelta(t, s.All.Observed.Share, s.All.Forecast, 0.04)
	assert.Greater(t, s.Brier.Skill(), 0.4)
	assert.Less(t, s.Brier.Reliability, 0.01)
	meets := 0
	for _, m := range s.Months {
		if m.Meets() {
			meets++
		}
	}
	assert.GreaterOrEqual(t, meets, 10)
	for m := range c.Climate {
		assert.InEpsilon(t, c.Climate[m].ForecastSunKWhM2, c.Climate[m].SunKWhM2, 0.2)
	}
}

// A record with a fifth less sun than the climate: the forecast is too hopeful,
// the calibration says so, and with the record's own means it is honest again.
func TestADarkerRecordIsFoundOut(t *testing.T) {
	trip, loads, sys := sunTrip(t)
	opt := DefaultOptions()
	opt.Step = time.Hour
	rec := recordOf(t, trip.Stops[0], 2, 0.8)
	ctx := context.Background()
	plain, err := Calibrate(ctx, trip, loads, opt, []*System{sys}, rec, false, 40, nil)
	require.NoError(t, err)
	own, err := Calibrate(ctx, trip, loads, opt, []*System{sys}, rec, true, 40, nil)
	require.NoError(t, err)
	a, b := plain.Systems[0], own.Systems[0]
	assert.Equal(t, a.All.Observed, b.All.Observed, "what was seen does not depend on the forecast")
	assert.Greater(t, a.All.Observed.Share, a.All.Forecast+0.05)
	assert.Less(t, math.Abs(b.All.Observed.Share-b.All.Forecast), a.All.Observed.Share-a.All.Forecast)
	assert.Less(t, b.Brier.Reliability, a.Brier.Reliability)
	for m := range own.Climate {
		assert.InEpsilon(t, own.Climate[m].SunKWhM2, own.Climate[m].ForecastSunKWhM2, 0.1)
	}
}

func TestACalibrationIsTheSameOnAnyNumberOfCores(t *testing.T) {
	trip, loads, sys := sunTrip(t)
	opt := DefaultOptions()
	opt.Step = time.Hour
	rec := recordOf(t, trip.Stops[0], 1, 1)
	var got [2]CalibratedSystem
	for i, cores := range []int{1, 2} {
		was := runtime.GOMAXPROCS(cores)
		c, err := Calibrate(context.Background(), trip, loads, opt, []*System{sys}, rec, false, 8, nil)
		runtime.GOMAXPROCS(was)
		require.NoError(t, err)
		got[i] = c.Systems[0]
	}
	assert.Equal(t, got[0], got[1])
	assert.Len(t, got[0].Starts, 365, "a whole year is run round")
}
