package atlas_test

import (
	"fmt"

	"tripsim/internal/web/atlas"
)

// Two places on either side of the date line lie side by side on the map.
func ExampleFit() {
	view := atlas.Fit([]float64{-17, -18}, []float64{179, -179}, 600, 300)
	west, _ := view.XY(-17, 179)
	east, _ := view.XY(-18, -179)
	fmt.Printf("%.0f px apart, %.1f degrees wide\n", east-west, view.East-view.West)
	fmt.Println("coast:", len(view.Draw().Land) > 0)
	// Output:
	// 400 px apart, 3.0 degrees wide
	// coast: true
}
