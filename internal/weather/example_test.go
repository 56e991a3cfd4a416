package weather_test

import (
	"fmt"
	"math"
	"time"

	"tripsim/internal/solar"
	"tripsim/internal/weather"
)

// Three days on a hill in the south of Morocco, hour by hour.
func Example() {
	place := solar.Place{LatDeg: 30.92, LonDeg: -6.91, ElevationM: 1160}
	start := time.Date(2027, 3, 10, 0, 0, 0, 0, time.UTC)
	grid := weather.Grid{StartUTC: start, Step: time.Hour}
	var days []weather.DaySpec
	climate := math.NaN()
	for d := range 3 {
		days = append(days, weather.DaySpec{Place: place, Date: start.AddDate(0, 0, d), GHIKWhM2: climate, TempMinC: climate, TempMaxC: climate})
		for range 24 {
			grid.Places, grid.Day = append(grid.Places, place), append(grid.Day, int32(d))
		}
	}
	plan, err := weather.NewPlan(grid, days)
	if err != nil {
		fmt.Println(err)
		return
	}
	series := plan.NewSeries()
	total := func() (kWh float64) {
		for _, w := range series.GHIWm2 {
			kWh += w / 1000
		}
		return kWh
	}
	plan.Typical(series)
	fmt.Printf("typical: %.0f kWh/m2 in three days\n", total())
	worst := math.Inf(1)
	for k := range uint64(1000) {
		plan.Draw(1, k, series)
		worst = min(worst, total())
	}
	fmt.Printf("less than two thirds of it in the worst of 1000 draws: %t\n", worst < 11)
	// Output:
	// typical: 16 kWh/m2 in three days
	// less than two thirds of it in the worst of 1000 draws: true
}

// What the climate says of a place.
func ExampleNormalsAt() {
	n, err := weather.NormalsAt(solar.Place{LatDeg: 48.2, LonDeg: 16.4, ElevationM: math.NaN()})
	if err != nil {
		fmt.Println(err)
		return
	}
	july := n.Months[6]
	fmt.Printf("July: %.0f kWh/m2 a day, %.0f to %.0f degrees; data %t\n",
		july.GHIKWhM2, july.TempMinC, july.TempMaxC, n.NearestKM < 200)
	// Output:
	// July: 6 kWh/m2 a day, 13 to 23 degrees; data true
}
