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

// A study lays a trip out once; systems and weather run on it. Invented: three
// days parked in the desert with a lamp and a box that hums.
func ExampleNewStudy() {
	none := math.NaN() // from the climate
	trip := &sim.Trip{Stops: []sim.Stop{{
		Date: time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC), Days: 3, Place: "Camp", Zone: time.UTC,
		Position: solar.Place{LatDeg: 30.9, LonDeg: -6.9, ElevationM: 1100}, SunKWhM2: none, TempMinC: none, TempMaxC: none,
	}}}
	loads := []sim.Load{
		{Name: "box", Kind: sim.Steady, Watts: 20, Duty: 1, Essential: true},
		{Name: "lamp", Kind: sim.Window, Watts: 10, Duty: 1, Window: sim.Span{StartH: 19, Hours: 4}},
	}
	study, err := sim.NewStudy(trip, loads, sim.DefaultOptions())
	if err != nil {
		panic(err)
	}
	lithium, _ := profiles.ChemistryByID("lifepo4")
	system := &sim.System{Name: "Small", Battery: profiles.NewBatterySpec(lithium, 100, 1, 12), StartSoC: 1, AlternatorSpareA: none, Price: none}
	typical, err := study.Typical(system)
	if err != nil {
		panic(err)
	}
	fmt.Printf("asked for %.0f Wh, unserved %.0f Wh, flat on %d of %d days\n",
		typical.Total.ServedWh()+typical.Total.UnservedWh, typical.Total.UnservedWh, typical.FlatDays, len(typical.Days))
	risks, err := study.Ensemble(context.Background(), []*sim.System{system}, 100, nil)
	if err != nil {
		panic(err)
	}
	fmt.Printf("flat in %d of %d simulated trips\n", risks[0].FlatDraws, risks[0].Draws)
	// Output:
	// asked for 1560 Wh, unserved 367 Wh, flat on 1 of 3 days
	// flat in 100 of 100 simulated trips
}
