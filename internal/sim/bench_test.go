package sim

import (
	"context"
	"testing"
	"time"

	"tripsim/internal/profiles"
)

// benchTrip is 14 days of driving, parking and one powered night, with a
// fridge, lights, a coffee machine and a roof panel: invented.
func benchTrip(t testing.TB) (*Trip, []Load, *System) {
	z := zone(t, "Africa/Casablanca")
	var stops []Stop
	for d := range 14 {
		s := stopAt(31+0.1*float64(d), -7, z, day(2026, 10, 3+d), 1)
		if d%2 == 0 {
			s.Drive = Span{9, 3}
		}
		if d == 6 {
			s.Mains = Span{18, 12}
		}
		stops = append(stops, s)
	}
	loads := []Load{
		{Name: "fridge", Kind: Fridge, Essential: true, Fridge: &profiles.Fridge{Litres: 50, SetpointC: 4}},
		steady("standby", 3),
		{Name: "lights", Kind: Window, Watts: 15, Duty: 1, Window: Span{18, 4}, Essential: true},
		{Name: "coffee", Kind: Uses, Supply: AC, Watts: 1200, Duty: 1, TimesH: []float64{7.5}, Minutes: 6},
	}
	inv, err := profiles.NewInverter(2000, 4000, nan, 12)
	if err != nil {
		t.Fatal(err)
	}
	sys := bareSystem(t, 200)
	sys.Inverter, sys.InverterMode = inv, InverterNeeded
	sys.Chargers = []Charger{{Name: "combined", AlternatorA: 40, SolarA: 40, TotalA: 40, Efficiency: 0.93}}
	sys.Panels = []Panel{{Name: "roof", RatedW: 150, AzimuthDeg: nan, Charger: 0, Soiling: 0.03, TempCoeffPerK: -0.0035, NOCTC: 48}}
	return &Trip{Stops: stops}, loads, sys
}

func benchWorker(b *testing.B) *worker {
	trip, loads, sys := benchTrip(b)
	s := mustStudy(b, trip, loads)
	plans, err := s.plansFor([]*System{sys})
	if err != nil {
		b.Fatal(err)
	}
	w, err := s.newWorker(plans)
	if err != nil {
		b.Fatal(err)
	}
	w.draw(0)
	return w
}

// perStep reports the time of a slot.
func perStep(b *testing.B, steps int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(steps), "ns/step")
}

// BenchmarkKernel is the battery kernel alone, 14 days at 15-minute steps.
func BenchmarkKernel(b *testing.B) {
	w := benchWorker(b)
	k := w.lanes[0].k
	var f flow
	b.ReportAllocs()
	for b.Loop() {
		k.start(1)
		for t := range k.drives {
			k.step(t, &f)
		}
	}
	perStep(b, len(k.drives))
}

// BenchmarkDraw is one whole draw: weather, fridge, traces, kernel, statistics.
func BenchmarkDraw(b *testing.B) {
	w := benchWorker(b)
	b.ReportAllocs()
	k := uint64(0)
	for b.Loop() {
		w.draw(k)
		k++
	}
	perStep(b, len(w.soc)-1)
}

// BenchmarkTraces is a draw's weather and traces without the kernel.
func BenchmarkTraces(b *testing.B) {
	w := benchWorker(b)
	b.ReportAllocs()
	k := uint64(0)
	for b.Loop() {
		w.weatherOf(k)
		w.fillLane(&w.lanes[0])
		k++
	}
	perStep(b, len(w.soc)-1)
}

// BenchmarkEnsemble is 10,000 draws of the trip on all cores.
func BenchmarkEnsemble(b *testing.B) {
	trip, loads, sys := benchTrip(b)
	s := mustStudy(b, trip, loads)
	for b.Loop() {
		if _, err := s.Ensemble(context.Background(), []*System{sys}, 10_000, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkBareRecurrence is only the recurrence of the state of charge with
// its limits: the floor to compare the kernel with.
func BenchmarkBareRecurrence(b *testing.B) {
	w := benchWorker(b)
	k := w.lanes[0].k
	n := len(k.drives)
	netA := make([]float64, n)
	for t := range netA {
		netA[t] = 40*k.drives[t].drv + k.pvBusW[0][t]/13 - k.drives[t].loadW/13
	}
	sink := 0.0
	for b.Loop() {
		soc := 1.0
		for _, a := range netA {
			soc = min(1, max(0.1, soc+a*k.stepH/200))
		}
		sink += soc
	}
	perStep(b, n)
	_ = sink
}

// BenchmarkLayOut is what a trip costs before the first draw.
func BenchmarkLayOut(b *testing.B) {
	trip, loads, _ := benchTrip(b)
	opt := DefaultOptions()
	opt.Step = 15 * time.Minute
	for b.Loop() {
		if _, err := NewStudy(trip, loads, opt); err != nil {
			b.Fatal(err)
		}
	}
}
