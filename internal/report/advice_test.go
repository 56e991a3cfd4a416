package report

import (
	"context"
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

// adviceStudy is four parked days with a lamp of 20 W by night and a radio:
// invented, real simulations of a small case.
func adviceStudy(t testing.TB) (*sim.Study, *Basis, []*sim.System) {
	z := zone(t, "Europe/Oslo")
	nan := math.NaN()
	stop := sim.Stop{
		Date: time.Date(2026, 8, 1, 0, 0, 0, 0, time.UTC), Days: 4, Place: "Lake", Position: solar.Place{LatDeg: 60, LonDeg: 8, ElevationM: 200},
		Zone: z, SunKWhM2: nan, TempMinC: nan, TempMaxC: nan,
	}
	trip := &sim.Trip{Stops: []sim.Stop{stop}}
	loads := []sim.Load{
		{Name: "lamp", Kind: sim.Window, Watts: 20, Duty: 1, Window: sim.Span{StartH: 18, Hours: 14}, Essential: true},
		{Name: "radio", Kind: sim.Steady, Watts: 5, Duty: 1},
	}
	opt := sim.DefaultOptions()
	s, err := sim.NewStudy(trip, loads, opt)
	require.NoError(t, err)
	small := &sim.System{Name: "Small", Battery: battery(80), StartSoC: 1, AlternatorSpareA: nan, Price: 500}
	large := &sim.System{Name: "Large", Battery: battery(200), StartSoC: 1, AlternatorSpareA: nan, Price: 1400}
	for _, sys := range []*sim.System{small, large} {
		sys.Chargers = []sim.Charger{{Name: "DC-DC", AlternatorA: 30, Efficiency: 0.9}}
	}
	b := &Basis{
		Scenario: "lake", Title: "Four days at the lake", Hash: "0123456789abcdef", Program: "tripsim test", Currency: "EUR", Options: opt,
		Draws: 200, Weather: "invented weather", Goal: Goal{FlatRisk: 0.05}, Trip: trip,
	}
	return s, b, []*sim.System{small, large}
}

func wide80() Screen { return Screen{Width: 80, Format: DefaultFormat()} }

func isJSON(t *testing.T, doc []byte, err error, keys ...string) map[string]any {
	t.Helper()
	require.NoError(t, err)
	var out map[string]any
	require.NoError(t, json.Unmarshal(doc, &out), "%s", doc)
	for _, k := range append(keys, "schema", "draws", "accepted_flat_risk_pct", "warnings") {
		assert.Contains(t, out, k)
	}
	return out
}

// By hand: three nights of 14 h and one of 6 h at 20 W, and 96 h at 5 W are
// 1,440 Wh.
func TestSizeAdviceReads(t *testing.T) {
	s, b, systems := adviceStudy(t)
	a := &SizeAdvice{Basis: b, System: systems[0]}
	for _, q := range []sim.Quantity{sim.BatterySize, sim.ChargerSize} {
		sizes := sim.Sizes(sim.ChargerSizes(systems[0]))
		if q == sim.BatterySize {
			sizes = append(sim.BankSizes(systems[0]), sim.Bank{Ah: 80, Count: 1})
		}
		z, err := s.SizeFor(context.Background(), systems[0], q, sizes, sim.Goal{FlatRisk: 0.05}, 200, nil)
		require.NoError(t, err)
		a.Sizings = append(a.Sizings, z)
	}
	var err error
	a.Budget, err = s.Budget(systems[0], 3)
	require.NoError(t, err)
	assert.InDelta(t, 1440, 4*a.Budget.DailyWh, 1e-6)
	golden(t, "size.txt", a.Text(wide80()))
	doc, err := SizeJSON([]*SizeAdvice{a})
	isJSON(t, doc, err, "systems", "tried")
	golden(t, "size-overview.txt", SizeOverview([]*SizeAdvice{a, a}, wide80()))
}

func TestMapAdviceReads(t *testing.T) {
	s, b, systems := adviceStudy(t)
	m, err := s.SizeMap(context.Background(), systems[0], sim.PanelSize, []float64{60, 80, 120, 160}, []float64{0, 30, 60}, sim.Goal{FlatRisk: 0.05},
		sim.Prices{PerAh: 8, PerW: 2}, 200, nil)
	require.NoError(t, err)
	a := &MapAdvice{Basis: b, Map: m}
	golden(t, "size-map.txt", a.Text(wide80()))
	doc, err := a.JSON()
	out := isJSON(t, doc, err, "pairs")
	assert.Len(t, out["pairs"], 12)
	m.Cheapest, m.Price = nil, nil
	assert.Contains(t, a.Text(wide80()), "--price-per-w")
}

func TestCompareAndVaryAdviceRead(t *testing.T) {
	s, b, systems := adviceStudy(t)
	c, err := s.Compare(context.Background(), systems, 0, 200, nil)
	require.NoError(t, err)
	a := &CompareAdvice{Basis: b, Comparison: c}
	golden(t, "compare.txt", a.Text(wide80()))
	doc, err := a.JSON()
	isJSON(t, doc, err, "reference", "systems")
	for _, key := range terminalOnly {
		assert.NotContains(t, string(a.CSV()), key)
	}

	variants := [][]*sim.System{{sim.WithBank(systems[0], 60, 1), systems[0], sim.WithBank(systems[0], 150, 1)}}
	v, err := s.Vary(context.Background(), "system.battery_ah", "Ah", []float64{60, 80, 150}, systems[:1], variants, []int{1}, 200, nil)
	require.NoError(t, err)
	w := &VaryAdvice{Basis: b, Variation: v}
	golden(t, "vary.txt", w.Text(wide80()))
	doc, err = w.JSON()
	isJSON(t, doc, err, "column", "values")
}

func TestSeasonAdviceReads(t *testing.T) {
	_, b, systems := adviceStudy(t)
	se, err := sim.RunSeason(context.Background(), b.Trip, []sim.Load{{Name: "lamp", Kind: sim.Steady, Watts: 12, Duty: 1}}, b.Options,
		[]*sim.System{sim.WithPanelW(systems[0], 60), systems[1]}, sim.MonthlyStarts(b.Trip), 50, nil)
	require.NoError(t, err)
	a := &SeasonAdvice{Basis: b, Season: se}
	golden(t, "season.txt", a.Text(wide80()))
	doc, err := a.JSON()
	out := isJSON(t, doc, err, "starts")
	assert.Len(t, out["starts"], 24)
}

func TestFixAdviceReads(t *testing.T) {
	s, b, systems := adviceStudy(t)
	f := &FixAdvice{Basis: b}
	for _, sys := range systems {
		a, err := s.Advise(context.Background(), sys, sim.Goal{FlatRisk: 0.05}, 200, nil)
		require.NoError(t, err)
		f.Advice = append(f.Advice, a)
	}
	golden(t, "fix.txt", f.Text(wide80()))
	doc, err := f.JSON()
	isJSON(t, doc, err, "systems", "changes")
}

func TestCalibrationAdviceReads(t *testing.T) {
	_, b, systems := adviceStudy(t)
	month := func(m time.Month, starts, flat int, forecast float64) sim.CalibratedMonth {
		return sim.CalibratedMonth{Month: m, Starts: starts, Flat: flat, Observed: sim.Wilson(flat, starts), Forecast: forecast}
	}
	forecasts := []float64{.1, .1, .1, .9, .9, .9}
	outcomes := []bool{false, false, true, true, true, true}
	c := &sim.Calibration{Record: "invented.csv, 2001-01-01 to 2001-12-31", Place: "60.00, 8.00", Moved: true, Days: 4, Draws: 100, Systems: []sim.CalibratedSystem{{
		System: systems[0], Months: []sim.CalibratedMonth{month(1, 31, 31, 0.99), month(7, 31, 0, 0.4)}, All: month(0, 62, 31, 0.7),
		Bins: sim.Reliability(forecasts, outcomes), Brier: sim.BrierOf(forecasts, outcomes),
	}}}
	a := &CalibrationAdvice{Basis: b, Calibration: c}
	golden(t, "calibrate.txt", a.Text(wide80()))
	doc, err := a.JSON()
	isJSON(t, doc, err, "months", "brier", "reliability")
}

func TestSignedNumbersHaveATrueSign(t *testing.T) {
	f := DefaultFormat()
	assert.Equal(t, "+1.2", signed(1.23, 1, f))
	assert.Equal(t, "−1.2", signed(-1.23, 1, f))
	assert.Equal(t, "0.0", signed(-0.01, 1, f))
	assert.Equal(t, "−3.0 (−4.0\u00a0to\u00a0−2.0)", pointsText(sim.Difference{Mean: -0.03, Low: -0.04, High: -0.02}, f))
}

// Every column that a file has is documented.
func TestAdviceColumnsAreDocumented(t *testing.T) {
	for _, d := range AdviceFiles() {
		assert.NotEmpty(t, d.Columns, d.Name)
		for _, c := range d.Columns {
			assert.NotEmpty(t, c.Doc, "%s: %s", d.Name, c.Key)
		}
	}
}

// Names that people wrote cannot break a terminal or run as a formula.
func TestHostileNamesInAdviceAreHarmless(t *testing.T) {
	s, b, systems := adviceStudy(t)
	systems[0].Name = "=1+1\x1b[31m\n"
	systems[0].Chargers[0].Name = "\x1b]0;x\a"
	c, err := s.Compare(context.Background(), systems, 0, 20, nil)
	require.NoError(t, err)
	a := &CompareAdvice{Basis: b, Comparison: c}
	assert.NotContains(t, a.Text(wide80()), "\x1b")
	assert.Contains(t, string(a.CSV()), "'=1+1")
	adv, err := s.Advise(context.Background(), systems[0], sim.Goal{FlatRisk: 0.05}, 20, nil)
	require.NoError(t, err)
	assert.NotContains(t, (&FixAdvice{Basis: b, Advice: []*sim.Advice{adv}}).Text(wide80()), "\x1b")
}
