package gazetteer_test

import (
	"fmt"

	"tripsim/internal/gazetteer"
)

// The largest place of a name comes first; region and country tell it from its
// namesakes.
func ExampleFind() {
	for _, p := range gazetteer.Find("zagora") {
		fmt.Printf("%s: %.1f, %.1f\n", p.Label(), p.LatDeg, p.LonDeg)
	}
	fmt.Println(len(gazetteer.Find("Springfield")) > len(gazetteer.Find("Springfield, Illinois")))
	// Output:
	// Zagora, Drâa-Tafilalet, Morocco: 30.3, -5.8
	// Zagorá, Thessaly, Greece: 39.5, 23.1
	// true
}
