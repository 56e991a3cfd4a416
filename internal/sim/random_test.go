package sim

import (
	"context"
	"math"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tripsim/internal/profiles"
	"tripsim/internal/solar"
)

// anyTrip draws a valid trip: any place, season and mix of days.
func anyTrip(rt *rapid.T) *Trip {
	lat := rapid.Float64Range(-90, 90).Draw(rt, "lat")
	lon := rapid.Float64Range(-180, 180).Draw(rt, "lon")
	date := day(2026, 1, 1).AddDate(0, 0, rapid.IntRange(0, 364).Draw(rt, "day"))
	var stops []Stop
	for range rapid.IntRange(1, 4).Draw(rt, "stops") {
		s := Stop{
			Date: date, Days: rapid.IntRange(1, 2).Draw(rt, "days"), Place: "x", Zone: time.UTC,
			Position: solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: rapid.Float64Range(-100, 5000).Draw(rt, "elev")},
			SunKWhM2: nan, TempMinC: nan, TempMaxC: nan, Shade: rapid.Float64Range(0, 1).Draw(rt, "shade"),
		}
		if rapid.Bool().Draw(rt, "drives") {
			s.Drive = Span{rapid.Float64Range(5, 12).Draw(rt, "driveAt"), rapid.Float64Range(0.1, 9).Draw(rt, "driveFor")}
		}
		if rapid.Bool().Draw(rt, "powered") {
			s.Mains = Span{rapid.Float64Range(21.5, 23).Draw(rt, "mainsAt"), rapid.Float64Range(1, 6).Draw(rt, "mainsFor")}
			s.MainsA = rapid.SampledFrom([]float64{0, 3, 10, 16}).Draw(rt, "siteA")
		}
		if rapid.IntRange(0, 3).Draw(rt, "gen") == 0 {
			s.Generator, s.GenW = Span{21.2, 0.2}, rapid.Float64Range(300, 2000).Draw(rt, "genW")
		}
		if rapid.IntRange(0, 3).Draw(rt, "own") == 0 {
			s.TempMinC = rapid.Float64Range(-30, 30).Draw(rt, "tmin")
			s.TempMaxC = s.TempMinC + rapid.Float64Range(0, 20).Draw(rt, "range")
		}
		stops = append(stops, s)
		date = date.AddDate(0, 0, s.Days)
	}
	return &Trip{Stops: stops}
}

func anyLoads(rt *rapid.T) []Load {
	var out []Load
	for range rapid.IntRange(0, 5).Draw(rt, "loads") {
		l := Load{
			Name: "l", Kind: LoadKind(rapid.IntRange(0, 3).Draw(rt, "kind")), Supply: Supply(rapid.IntRange(0, 1).Draw(rt, "supply")),
			Watts: rapid.Float64Range(0, 2500).Draw(rt, "watts"), StandbyW: rapid.Float64Range(0, 10).Draw(rt, "standby"),
			Duty: rapid.Float64Range(0, 1).Draw(rt, "duty"), Window: Span{rapid.Float64Range(0, 23.9).Draw(rt, "at"), rapid.Float64Range(0, 24).Draw(rt, "for")},
			TimesH: rapid.SliceOfN(rapid.Float64Range(0, 23.9), 1, 3).Draw(rt, "times"), Minutes: rapid.Float64Range(1, 90).Draw(rt, "minutes"),
			Days: DayMask(rapid.IntRange(0, 4).Draw(rt, "mask")), Essential: rapid.Bool().Draw(rt, "essential"),
		}
		l.SurgeW = 2 * l.Watts
		if l.Kind == Fridge {
			l.Fridge = &profiles.Fridge{Litres: rapid.Float64Range(20, 120).Draw(rt, "litres"), SetpointC: rapid.Float64Range(-18, 6).Draw(rt, "set")}
		}
		out = append(out, l)
	}
	return out
}

func anySystem(rt *rapid.T) *System {
	c := rapid.SampledFrom(profiles.Chemistries()).Draw(rt, "chemistry")
	b := profiles.NewBatterySpec(c, rapid.Float64Range(20, 500).Draw(rt, "ah"), rapid.IntRange(1, 4).Draw(rt, "count"),
		rapid.SampledFrom([]float64{12, 24, 48}).Draw(rt, "volts"))
	b.Health = rapid.Float64Range(0.5, 1).Draw(rt, "health")
	b.HeaterW = rapid.SampledFrom([]float64{0, 0, 60}).Draw(rt, "heater")
	s := &System{
		Name: "s", Battery: b, StartSoC: rapid.Float64Range(0.2, 1).Draw(rt, "start"), Price: nan,
		InverterMode: InverterMode(rapid.IntRange(0, 2).Draw(rt, "mode")), InverterSpan: Span{18, 6},
		ACTransfer: rapid.Bool().Draw(rt, "transfer"), AlternatorSpareA: rapid.SampledFrom([]float64{nan, 20, 60}).Draw(rt, "spare"),
		ShedSoC: rapid.SampledFrom([]float64{0, 0, 0.4}).Draw(rt, "shed"), StandbyW: rapid.Float64Range(0, 3).Draw(rt, "own"),
	}
	if rapid.Bool().Draw(rt, "inverter") {
		w := rapid.Float64Range(200, 3000).Draw(rt, "inverterW")
		inv, err := profiles.NewInverter(w, 2*w, nan, b.NominalV)
		if err != nil {
			rt.Fatal(err)
		}
		s.Inverter = inv
	}
	for range rapid.IntRange(0, 3).Draw(rt, "units") {
		s.Chargers = append(s.Chargers, Charger{
			Name: "c", AlternatorA: rapid.SampledFrom([]float64{0, 30, 50}).Draw(rt, "altA"),
			SolarA: 30, MainsA: rapid.SampledFrom([]float64{0, 30}).Draw(rt, "mainsA"),
			TotalA: rapid.SampledFrom([]float64{0, 30, 60}).Draw(rt, "totalA"), Efficiency: rapid.Float64Range(0.8, 1).Draw(rt, "eff"),
			Priority: rapid.IntRange(0, 2).Draw(rt, "priority"),
		})
	}
	for u := range s.Chargers {
		for range rapid.IntRange(0, 2).Draw(rt, "panels") {
			s.Panels = append(s.Panels, Panel{
				Name: "p", RatedW: rapid.Float64Range(20, 600).Draw(rt, "pw"), Mount: Mount(rapid.IntRange(0, 1).Draw(rt, "mount")),
				TiltDeg: rapid.Float64Range(0, 90).Draw(rt, "tilt"), AzimuthDeg: rapid.SampledFrom([]float64{nan, 0, 180}).Draw(rt, "az"),
				TurnsPerDay: 3, Charger: u, TempCoeffPerK: -0.0035, NOCTC: 45,
			})
		}
	}
	return s
}

// Every run asserts in each step that the energy closes to 1e-9 (it panics
// otherwise); here over random trips, appliances and systems, with the other
// facts that must always hold.
func TestEnergyClosesOnRandomTrips(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		opt := DefaultOptions()
		opt.Step = rapid.SampledFrom([]time.Duration{10 * time.Minute, 15 * time.Minute, time.Hour}).Draw(rt, "step")
		opt.UseSpread = rapid.SampledFrom([]float64{0, 0.2}).Draw(rt, "spread")
		s, err := NewStudy(anyTrip(rt), anyLoads(rt), opt)
		if err != nil {
			rt.Fatal(err)
		}
		sys := anySystem(rt)
		r, err := s.RunDraw(sys, rapid.Uint64Range(0, 50).Draw(rt, "draw"))
		if err != nil {
			rt.Fatal(err)
		}
		checkResult(rt, r)
		risk, err := s.Ensemble(context.Background(), []*System{sys}, 3, nil)
		if err != nil {
			rt.Fatal(err)
		}
		assert.Equal(rt, 3, risk[0].Draws)
	})
}

func checkResult(t assert.TestingT, r *Result) {
	assert.LessOrEqual(t, r.Residual, 1e-9)
	var days Ledger
	for i := range r.Days {
		days.Add(&r.Days[i].Ledger)
	}
	assert.InDelta(t, r.Total.InWh(), days.InWh(), 1e-6)
	unserved, asked := 0.0, 0.0
	for i := range r.Loads {
		unserved += r.Loads[i].UnservedWh
		asked += r.Loads[i].AskedWh
		assert.GreaterOrEqual(t, r.Loads[i].AskedWh*(1+1e-9)+1e-6, r.Loads[i].UnservedWh+r.Loads[i].ShedWh+r.Loads[i].NoOutletWh)
	}
	assert.InDelta(t, r.Total.UnservedWh, unserved, 1e-6*(1+asked), "unserved energy by load adds up")
	onH := 0.0
	for t2 := range r.Rows {
		onH += r.Step.Hours() - r.Rows[t2].OffH
	}
	served := r.Total.ServedWh() - r.System.StandbyW*onH
	assert.InDelta(t, asked, served+r.Total.UnservedWh+r.Total.ShedWh+r.Total.NoOutletWh, 1e-6*(1+asked),
		"asked = served + unserved + shed + no outlet")
	for t2 := range r.Rows {
		row := &r.Rows[t2]
		assert.True(t, row.SoC >= -1e-9 && row.SoC <= 1+1e-9, "state of charge %g", row.SoC)
		for _, x := range []float64{
			row.SolarWh, row.AlternatorWh, row.MainsWh, row.TransferWh, row.DCLoadWh, row.ACLoadWh, row.ChargerLossWh,
			row.InverterLossWh, row.SpilledWh, row.UnservedWh,
		} {
			assert.True(t, x >= -1e-9 && !math.IsInf(x, 0), "row %d: %+v", t2, *row)
		}
		// The wells of a lead-acid battery drift apart and meet again: a step
		// may give back a little of an earlier diffusion loss.
		assert.GreaterOrEqual(t, row.BatteryLossWh, -0.1*(row.DischargedWh+row.ChargedWh)-1e-9, "row %d: %+v", t2, *row)
	}
}

func TestTheNumberOfCoresDoesNotMatter(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	small := *sys
	small.Name, small.Battery = "small", lithium(t, 60)
	s := mustStudy(t, trip, loads)
	run := func(procs int) []*Risk {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		r, err := s.Ensemble(context.Background(), []*System{sys, &small}, 150, nil)
		require.NoError(t, err)
		return r
	}
	assert.Equal(t, run(1), run(2))
	assert.Equal(t, run(1), run(5))
}

func TestTheEnsembleAgreesWithFullRuns(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	sys.Battery, sys.Panels = lithium(t, 60), nil
	s := mustStudy(t, trip, loads)
	const draws = 40
	risk, err := s.Ensemble(context.Background(), []*System{sys}, draws, nil)
	require.NoError(t, err)
	flat, unserved, spilled, reserve, flatDays := 0, 0.0, 0.0, 0.0, 0
	worst, worstWh := uint64(0), -1.0
	for k := range uint64(draws) {
		r, err := s.RunDraw(sys, k)
		require.NoError(t, err)
		if r.FlatH > 0 {
			flat++
		}
		if r.Total.UnservedWh > worstWh {
			worst, worstWh = k, r.Total.UnservedWh
		}
		unserved += r.Total.UnservedWh / draws
		spilled += r.Total.SpilledWh / draws
		reserve += r.Reserve() / draws
		flatDays += r.FlatDays
	}
	require.NotZero(t, flat)
	assert.Equal(t, flat, risk[0].FlatDraws)
	assert.Equal(t, worst, risk[0].WorstDraw)
	assert.InDelta(t, unserved, risk[0].Unserved.Mean, 1e-5)
	assert.InDelta(t, worstWh, risk[0].Unserved.Max, 1e-6)
	assert.InDelta(t, spilled, risk[0].Spilled.Mean, 1e-5)
	assert.InDelta(t, reserve, risk[0].Reserve.Mean, 1e-5)
	assert.InDelta(t, float64(flatDays)/draws, risk[0].FlatDays, 1e-9)
	last := risk[0].Bands[len(risk[0].Bands)-1]
	assert.True(t, last.Q05 <= last.Q50 && last.Q50 <= last.Q95)
}

func TestACancelledEnsembleStops(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	s := mustStudy(t, trip, loads)
	ctx, cancel := context.WithCancel(context.Background())
	_, err := s.Ensemble(ctx, []*System{sys}, 100_000, func(done, _ int) {
		if done >= 64 {
			cancel()
		}
	})
	assert.ErrorIs(t, err, context.Canceled)
	_, err = s.Ensemble(context.Background(), []*System{sys}, MaxDraws+1, nil)
	assert.ErrorContains(t, err, "draws")
	_, err = s.Ensemble(context.Background(), nil, 10, nil)
	assert.ErrorContains(t, err, "no system")
}

// Wilson 1927; the check values are a textbook example: 10 of 100 gives
// 0.0552 to 0.1744 at 95 % (recomputed from the formula, from memory).
func TestWilsonInterval(t *testing.T) {
	p := Wilson(10, 100)
	assert.InDelta(t, 0.1, p.Share, 1e-12)
	assert.InDelta(t, 0.0552, p.Low, 1e-4)
	assert.InDelta(t, 0.1744, p.High, 1e-4)
	assert.Equal(t, Proportion{0, 0, 1}, Wilson(0, 0))
	zero := Wilson(0, 1000)
	assert.Zero(t, zero.Low)
	assert.InDelta(t, 0.003827, zero.High, 1e-5)
}

func TestQuantilesOfTheStreamedHistogramAreGoodToOnePercent(t *testing.T) {
	var h energyHist
	for i := 1; i <= 1000; i++ {
		h.add(float64(i))
	}
	d := h.distribution()
	assert.InDelta(t, 500.5, d.Mean, 1e-6)
	assert.InEpsilon(t, 500, d.Q50, 0.011)
	assert.InEpsilon(t, 50, d.Q05, 0.011)
	assert.InEpsilon(t, 950, d.Q95, 0.011)
	assert.Equal(t, 1.0, d.Min)
	assert.Equal(t, 1000.0, d.Max)
}
