package scenario_test

import (
	"fmt"

	"tripsim/internal/scenario"
)

func ExampleFromFiles() {
	files := map[string][]byte{
		"trip.csv":    []byte("date,days,place,latitude,longitude,elevation_m,drive_hours\n2026-10-03,2,Coast,30.54,-9.71,10,0\n,1,Desert,30.09,-6.87,650,6.5\n"),
		"loads.csv":   []byte("name,preset\nFridge,fridge_40\nLights,led_inside\n"),
		"systems.csv": []byte("system,battery_ah\nSmall,100\n"),
	}
	s, err := scenario.FromFiles("example", files)
	fmt.Println(err)
	fmt.Println(s.Trip.Days(), "days,", len(s.Loads), "appliances, clock of", s.Trip.Stops[1].Zone)
	fmt.Println(s.Warnings[0])

	files["trip.csv"] = []byte("date,place,lattitude,longitude,drive_hours\n2026-10-03,Coast,30.54,-9.71,9h\n")
	_, err = scenario.FromFiles("example", files)
	fmt.Println(err)
	// Output:
	// <nil>
	// 3 days, 2 appliances, clock of Africa/Casablanca
	// systems.csv:2: system "Small" has no unit in chargers.csv: nothing charges it
	// trip.csv:1: "lattitude" is not a column of this table; did you mean latitude?
	// trip.csv:2: drive_hours: "9h" is not a number of hours; use e.g. 9 or 9.5
}

func ExampleParseTable() {
	table, _ := scenario.ParseTable("job.csv", []byte("# who\nkey;value\ncustomer;Customer A\n"), 100)
	table.Rows[0].Cells[table.Column("value")] = "Customer B"
	fmt.Printf("%s", table.Bytes())
	// Output:
	// # who
	// key;value
	// customer;Customer B
}
