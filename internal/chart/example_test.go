package chart

import (
	"fmt"
	"math"
	"time"

	"tripsim/internal/sim"
)

func ExampleStateOfCharge() {
	r := inventedTrips()["three-weeks"].result() // invented data
	p, err := StateOfCharge(r, nil, In(German))
	if err != nil {
		fmt.Println(err)
		return
	}
	s := p.Structure()
	fmt.Println(p.AltText)
	fmt.Println(s.Count("flat day"), "flat days flagged,", s.Count("flat spell"), "flat spells hatched")
	// Output:
	// State of charge of 200 Ah with 40 A charger over 21 days: starts at 90 %, ends at 36 %, cut-off at 20 %. Runs flat on 12 of 21 days, 83 h in all.
	// 12 flat days flagged, 14 flat spells hatched
}

func ExampleEnergyByDay() {
	r := inventedTrips()["week"].result() // invented data
	p, err := EnergyByDay(r)
	if err != nil {
		fmt.Println(err)
		return
	}
	svg, err := p.SVG()
	fmt.Println(p.Name, len(svg) > 10_000, err)
	// Output:
	// energy-by-day true <nil>
}

func ExampleCompare() {
	half := sim.Proportion{Share: 0.5, Low: 0.47, High: 0.53}
	rare := sim.Proportion{Share: 0.02, Low: 0.013, High: 0.031}
	p, err := Compare(Comparison{Draws: 1000, Target: 0.05, Currency: "EUR", Candidates: []Candidate{
		{Name: "Small", NotCarried: half, Price: 1200, Reserve: sim.Distribution{Q50: 0.05}},
		{Name: "Large", NotCarried: rare, Price: 2400, Reserve: sim.Distribution{Q50: 0.31}, Recommended: true},
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.AltText)
	// Output:
	// Small: 50 % of trips not carried, median reserve 5 %; Large: 2 % of trips not carried, median reserve 31 % (recommended).
}

func ExampleVary() {
	p, err := Vary(Variation{Draws: 1000, Setting: "charger", Unit: "A", Target: math.NaN(), Variations: []VariedSystem{
		{Name: "Weekend", Points: []VariedPoint{{25, sim.Proportion{Share: 0.3, Low: 0.27, High: 0.33}}, {40, sim.Proportion{Share: 0.1, Low: 0.08, High: 0.12}}}},
	}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.Title, "-", p.AltText)
	// Output:
	// Trips not carried as the charger varies - Trips not carried for Weekend: 30 % at 25 A, 10 % at 40 A.
}

func ExampleSeason() {
	often := sim.Proportion{Share: 0.2, Low: 0.18, High: 0.23}
	never := sim.Proportion{Share: 0, Low: 0, High: 0.004}
	p, err := Season(SeasonTable{
		Draws: 1000, Target: 0.05, Systems: []string{"Weekend"},
		Starts: []time.Time{day(2026, 1, 1), day(2026, 7, 1)}, NotCarried: [][]sim.Proportion{{often, never}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.AltText)
	// Output:
	// Trips not carried by start of the trip. Weekend: lowest 0 % for a start on 1 Jul, highest 20 % on 1 Jan.
}
