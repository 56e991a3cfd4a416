package sim_test

import (
	"context"
	"fmt"
	"math"
	"time"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

// fourDays is an invented trip: parked for four days with a lamp of 26 W.
func fourDays() (*sim.Study, *sim.System) {
	nan := math.NaN()
	trip := &sim.Trip{Stops: []sim.Stop{{
		Date: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), Days: 4, Place: "Bay", Zone: time.UTC,
		Position: solar.Place{LatDeg: 36, LonDeg: -6, ElevationM: 10}, SunKWhM2: nan, TempMinC: nan, TempMaxC: nan,
	}}}
	study, err := sim.NewStudy(trip, []sim.Load{{Name: "lamp", Kind: sim.Steady, Watts: 26, Duty: 1, Essential: true}}, sim.DefaultOptions())
	if err != nil {
		panic(err)
	}
	lithium, _ := profiles.ChemistryByID("lifepo4")
	return study, &sim.System{Name: "Van", Battery: profiles.NewBatterySpec(lithium, 100, 1, 12), StartSoC: 1, AlternatorSpareA: nan, Price: nan}
}

// The smallest of the sizes that are sold which is flat in at most 5 % of the
// draws.
func ExampleStudy_SizeFor() {
	study, system := fourDays()
	answer, err := study.SizeFor(context.Background(), system, sim.BatterySize, sim.BankSizes(system), sim.Goal{FlatRisk: 0.05}, 200, nil)
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.0f Ah, certain: %t\n", answer.Points[answer.Best].Size, answer.Certain)
	// Output: 230 Ah, certain: true
}

// What would keep the lamp on: single changes, best first.
func ExampleStudy_Advise() {
	study, system := fourDays()
	advice, err := study.Advise(context.Background(), system, sim.Goal{}, 100, nil)
	if err != nil {
		panic(err)
	}
	fmt.Printf("as it is: %.0f %% flat\n", 100*advice.Before.Flat.Share)
	for _, fix := range advice.Fixes {
		fmt.Println(fix.Kind)
	}
	// Output:
	// as it is: 100 % flat
	// powered night
	// portable panel
	// larger battery
}

// The classical daily budget, by hand 800*3/12/.5*1.11/.8*1.1.
func ExampleBudgetInput_LastingAh() {
	b := sim.BudgetInput{DailyWh: 800, NominalV: 12, AutonomyDays: 3, MaxDepth: 0.5, TempFactor: 1.11, EndOfLife: 0.8, Margin: 1.1}
	fmt.Printf("%.1f Ah\n", b.LastingAh())
	// Output: 610.5 Ah
}

// Two systems on the same 161 trips: A alone is flat in 6, B alone in 16, both
// in 59.
func ExamplePairs_Difference() {
	d := sim.Pairs{Both: 59, OnlyA: 6, OnlyB: 16, Neither: 80}.Difference()
	fmt.Printf("%.3f (%.3f to %.3f), certain: %t\n", d.Mean, d.Low, d.High, d.Certain())
	// Output: -0.062 (-0.119 to -0.005), certain: true
}
