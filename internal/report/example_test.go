package report_test

import (
	"fmt"
	"strings"
	"time"

	"tripsim/internal/profiles"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

func ExampleVerdict() {
	lithium, _ := profiles.ChemistryByID("lifepo4")
	r := &sim.Result{
		System: &sim.System{
			Name: "Weekend", Battery: profiles.NewBatterySpec(lithium, 100, 1, 12),
			Chargers: []sim.Charger{{Name: "DC charger", AlternatorA: 40}},
		},
		Days: []sim.Day{
			{Date: time.Date(2025, 10, 13, 0, 0, 0, 0, time.UTC), Place: "Zagora", LowSoC: 0.52},
			{Date: time.Date(2025, 10, 14, 0, 0, 0, 0, time.UTC), Place: "Erg Chebbi", LowSoC: 0.34},
		},
		LowSoC: 0.34, LowReserve: 0.24, MinSoC: 0.1,
	}
	sentence := report.Verdict(r, report.DefaultFormat())
	fmt.Println(strings.ReplaceAll(sentence, "\u00a0", " "))
	// Output:
	// Weekend (100 Ah lithium, 40 A charger) carries this trip; its lowest charge is 34 % on Tue 14 Oct at Erg Chebbi.
}

func ExampleTable() {
	t := report.Table{
		Columns: []report.Column{{Key: "place", Head: "place"}, {Key: "sun_kwh_m2", Head: "sun kWh/m²", Decimals: 1}},
		Rows: []report.Row{
			{Cells: []report.Cell{report.Text("Zagora"), report.Number(5.04)}},
			{Cells: []report.Cell{report.Text("=Erg"), report.Number(5.2)}},
		},
	}
	fmt.Print(t.Render(report.Screen{Width: 40, Format: report.DefaultFormat()}))
	fmt.Print(strings.ReplaceAll(string(t.CSV()), "\r\n", "\n"))
	// Output:
	//              sun
	//   place   kWh/m²
	//   Zagora     5.0
	//   =Erg       5.2
	// place,sun_kwh_m2
	// Zagora,5.04
	// '=Erg,5.2
}

func ExampleClean() {
	fmt.Printf("%q\n", report.Clean("\x1b[31mCamp\x1b[0m\n\u202ewith a view"))
	// Output: "Camp with a view"
}
