package quote

import (
	"context"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
	"tripsim/internal/report"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

// The trips of these tests are invented.

var nan = math.NaN()

// inventedTrip is so many days, one stop each, along an invented road.
func inventedTrip(days int) *sim.Trip {
	t := &sim.Trip{Name: "Invented road"}
	for i := range days {
		stop := sim.Stop{
			Row: i + 2, Date: time.Date(2026, 10, 3+i, 0, 0, 0, 0, time.UTC), Days: 1, Place: fmt.Sprintf("Place %d", i+1),
			Position: solar.Place{LatDeg: 30 + 0.1*float64(i%10), LonDeg: -6, ElevationM: 700}, Zone: time.UTC,
			SunKWhM2: nan, TempMinC: nan, TempMaxC: nan,
		}
		if i%4 != 3 {
			stop.Drive = sim.Span{StartH: 9, Hours: 2.5}
		}
		if i%7 == 0 {
			stop.Mains, stop.MainsA = sim.Span{StartH: 16, Hours: 16}, 10
		}
		t.Stops = append(t.Stops, stop)
	}
	return t
}

func inventedLoads() []sim.Load {
	box := profiles.Fridge{Litres: 60, SetpointC: 4, OpeningsPerDay: 15}
	return []sim.Load{
		{Row: 2, Name: "Fridge", Kind: sim.Fridge, Supply: sim.DC, Duty: 1, Essential: true, Fridge: &box},
		{Row: 3, Name: "Lights", Kind: sim.Window, Supply: sim.DC, Watts: 12, Duty: 1, Window: sim.Span{StartH: 18, Hours: 5}},
		{Row: 4, Name: "Kettle", Kind: sim.Uses, Supply: sim.AC, Watts: 800, PowerFactor: 1, Duty: 1, TimesH: []float64{7.5}, Minutes: 5},
		{Row: 5, Name: "Breathing aid", Kind: sim.Window, Supply: sim.DC, Watts: 30, Duty: 1, Window: sim.Span{StartH: 22, Hours: 8}, Essential: true, Medical: true},
	}
}

// inventedSystem has a lithium battery, a charger from alternator and mains and,
// above 100 Ah, an inverter and a panel.
func inventedSystem(t testing.TB, label string, ah float64) *sim.System {
	lithium, ok := profiles.ChemistryByID("lifepo4")
	require.True(t, ok)
	s := &sim.System{
		Row: 2, Name: label, Battery: profiles.NewBatterySpec(lithium, ah, 1, 12), StartSoC: 1, ACTransfer: true,
		AlternatorSpareA: 60, Docked: sim.Span{Hours: 24}, Price: 10 * ah,
		Chargers: []sim.Charger{{Name: "Unit", AlternatorA: 30, MainsA: 30, SolarA: 30, TotalA: 30, Efficiency: 0.92, Priority: 1}},
	}
	if ah > 100 {
		inverter, err := profiles.NewInverter(1000, nan, nan, 12)
		require.NoError(t, err)
		s.Inverter, s.InverterMode = inverter, sim.InverterNeeded
		s.Panels = []sim.Panel{{Name: "Roof", RatedW: 100, AzimuthDeg: nan, TempCoeffPerK: -0.0035, NOCTC: 45, Soiling: 0.02}}
	}
	return s
}

func names(n int) (out []string) {
	for i := range n {
		out = append(out, fmt.Sprintf("System %d", i+1))
	}
	return out
}

const testDraws = 40

// invented is a finished input: systems of growing size on a trip of so many
// days, with further answers about the system that the document speaks of.
func invented(t testing.TB, days int, labels []string, sizes ...float64) *Input {
	trip, loads := inventedTrip(days), inventedLoads()
	opt := sim.DefaultOptions()
	opt.Step = time.Hour
	study, err := sim.NewStudy(trip, loads, opt)
	require.NoError(t, err)
	run := &report.Run{
		Scenario: "invented", Title: "An invented road", Hash: "0123456789ab", Program: "tripsim test", Options: opt, Draws: testDraws,
		Goal: report.Goal{FlatRisk: 0.05}, Currency: "EUR",
	}
	var systems []*sim.System
	var hours []float64
	for i, label := range labels {
		s := inventedSystem(t, label, sizes[i%len(sizes)])
		systems = append(systems, s)
		r, err := study.Typical(s)
		require.NoError(t, err)
		run.Results = append(run.Results, r)
		h, err := sim.DrivingTime(s, 0.2, 0.8)
		require.NoError(t, err)
		hours = append(hours, h)
	}
	ctx := context.Background()
	run.Risks, err = study.Ensemble(ctx, systems, testDraws, nil)
	require.NoError(t, err)
	in := &Input{
		Run: run, Loads: loads, Date: time.Date(2026, 5, 31, 10, 0, 0, 0, time.UTC), Format: report.DefaultFormat(), Paper: A4,
		Job:    Job{Business: "Invented Workshop", Contact: "12 Invented Road", Customer: "Customer", Reference: "2026-1", PreparedBy: "The fitter"},
		Remake: "tripsim quote invented --date=2026-05-31", Answers: Answers{DrivingH: hours},
	}
	best, shown := report.Recommend(run.Results, run.Risks, run.Goal)
	sys, goal, few := systems[shown], sim.Goal{FlatRisk: 0.05}, 8
	in.Answers.Chargers, err = study.SizeFor(ctx, sys, sim.ChargerSize, sim.Sizes([]float64{20, 30, 40}), goal, few, nil)
	require.NoError(t, err)
	in.Answers.Map, err = study.SizeMap(ctx, sys, sim.ChargerSize, []float64{60, 100, 200, 300}, []float64{10, 20, 30, 40}, goal, sim.Prices{PerAh: 10, PerA: 5}, few, nil)
	require.NoError(t, err)
	if days < 30 {
		in.Answers.Season, err = sim.RunSeason(ctx, trip, loads, opt, systems[:min(2, len(systems))], sim.MonthlyStarts(trip), 2, nil)
		require.NoError(t, err)
	}
	if best < 0 {
		in.Answers.Advice, err = study.Advise(ctx, sys, goal, few, nil)
		require.NoError(t, err)
	}
	return in
}

// The inputs that several tests look at are made once.
var (
	holding = once(func(t testing.TB) *Input { return invented(t, 8, []string{"Small", "Middle", "Large"}, 40, 200, 300) })
	flat    = once(func(t testing.TB) *Input { return invented(t, 8, []string{"Tiny", "Small"}, 30, 40) })
	long    = once(func(t testing.TB) *Input { return invented(t, 60, names(10), 60, 100, 200, 300) })
)

// once returns a copy of an input that is made at the first call.
func once(make func(testing.TB) *Input) func(testing.TB) *Input {
	var mu sync.Mutex
	var made *Input
	return func(t testing.TB) *Input {
		mu.Lock()
		defer mu.Unlock()
		if made == nil {
			made = make(t)
		}
		in := *made
		return &in
	}
}

func build(t testing.TB, in *Input) *Document {
	d, err := Build(in)
	require.NoError(t, err)
	return d
}

// pdfText is what a reader finds on the pages of a PDF, one string per page.
// The test is skipped where the tool that tells is not installed.
func pdfText(t *testing.T, data []byte) []string {
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not installed")
	}
	file := filepath.Join(t.TempDir(), "quote.pdf")
	require.NoError(t, os.WriteFile(file, data, 0o600))
	out, err := exec.Command(tool, "-layout", file, "-").Output()
	require.NoError(t, err)
	return splitPages(string(out))
}
