package quote_test

import (
	"bytes"
	"fmt"
	"math"
	"time"

	"tripsim/internal/profiles"
	"tripsim/internal/report"
	"tripsim/internal/report/quote"
	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

// A document of a run: the same content as a page and for the printer. The trip
// is invented.
func ExampleBuild() {
	none := math.NaN() // from the climate
	trip := &sim.Trip{Stops: []sim.Stop{{
		Date: time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC), Days: 2, Place: "Camp", Zone: time.UTC,
		Position: solar.Place{LatDeg: 30.9, LonDeg: -6.9, ElevationM: 1100}, SunKWhM2: none, TempMinC: none, TempMaxC: none,
	}}}
	loads := []sim.Load{{Name: "lamp", Kind: sim.Window, Watts: 10, Duty: 1, Window: sim.Span{StartH: 19, Hours: 4}}}
	study, err := sim.NewStudy(trip, loads, sim.DefaultOptions())
	if err != nil {
		panic(err)
	}
	lithium, _ := profiles.ChemistryByID("lifepo4")
	typical, err := study.Typical(&sim.System{
		Name: "Small", Battery: profiles.NewBatterySpec(lithium, 100, 1, 12), StartSoC: 1, AlternatorSpareA: none, Price: none,
	})
	if err != nil {
		panic(err)
	}
	doc, err := quote.Build(&quote.Input{
		Run:   &report.Run{Options: sim.DefaultOptions(), Results: []*sim.Result{typical}},
		Loads: loads, Date: time.Date(2026, 5, 31, 0, 0, 0, 0, time.UTC), Format: report.DefaultFormat(),
		Paper: quote.A4, Sections: []string{"days", "appliances"},
	})
	if err != nil {
		panic(err)
	}
	for _, section := range doc.Contents() {
		fmt.Println(section.Title)
	}
	page, _ := doc.HTML()
	pdf, _ := doc.PDF()
	fmt.Println(bytes.Contains(page, []byte("lamp")), bytes.HasPrefix(pdf, []byte("%PDF-")))
	// Output:
	// Day by day
	// Your appliances as we understood them
	// Cautions
	// true true
}
