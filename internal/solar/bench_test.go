package solar

import (
	"testing"
	"time"
)

func BenchmarkPosition(b *testing.B) {
	at, p := utc("2024-04-20 09:00:00"), Place{45, 10, 300}
	for i := range b.N {
		sink += PositionAt(at.Add(time.Duration(i)*time.Minute), p).ZenithDeg
	}
}

func BenchmarkEvents(b *testing.B) {
	day, p := utc("2024-04-20 00:00:00"), Place{45, 10, 300}
	for i := range b.N {
		sink += EventsOn(day.AddDate(0, 0, i%365), p).DaylightH
	}
}

// A day of sun and three planes in steps of 15 minutes.
func BenchmarkDayIrradiance(b *testing.B) {
	day, p := utc("2024-04-20 00:00:00"), Place{45, 10, 300}
	planes := []Plane{{}, {Mount: HeadingAveraged, TiltDeg: 10}, {Mount: Turned, TiltDeg: 40, TurnsPerDay: 4}}
	b.ReportAllocs()
	for range b.N {
		for i := range 96 {
			at := day.Add(time.Duration(i) * 15 * time.Minute)
			sink += IntervalAt(at, 15*time.Minute, p, 3).CosZ
			for _, pl := range planes {
				sink += PlaneFactorsAt(at, 15*time.Minute, p, pl, 3).BeamRatio
			}
		}
	}
}

// One step of a weather draw: irradiance on the plane and panel power.
func BenchmarkStepPower(b *testing.B) {
	f := PlaneFactors{1.2, 1.15, 0.9, 0.05, 0.3}
	b.ReportAllocs()
	for i := range b.N {
		ghi := float64(i & 1023)
		sink += PanelW(200, PlaneOfArrayWm2(ghi, 0.3*ghi, 1100, f, 0.2), 20, DefaultPanel)
	}
}
