package solar_test

import (
	"fmt"
	"time"

	"tripsim/internal/solar"
)

// A 200 W panel lying flat on a roof, one clear spring morning hour.
func Example() {
	place := solar.Place{LatDeg: 43.1, LonDeg: 11.8, ElevationM: 450}
	start := time.Date(2025, time.April, 12, 8, 0, 0, 0, time.UTC)

	sun := solar.IntervalAt(start, time.Hour, place, 0)
	flat := solar.PlaneFactorsAt(start, time.Hour, place, solar.Plane{Mount: solar.Fixed}, 0)
	onPanel := solar.PlaneOfArrayWm2(sun.ClearGHIWm2, sun.ClearDHIWm2, sun.I0HorizWm2, flat, 0.2)
	power := solar.PanelW(200, onPanel, 14, solar.DefaultPanel)

	fmt.Printf("sun %.0f degrees high, clear sky %.0f W/m2, panel %.0f W\n", 90-sun.ZenithDeg, sun.ClearGHIWm2, power)
	// Output: sun 41 degrees high, clear sky 648 W/m2, panel 121 W
}

func ExamplePositionAt() {
	place := solar.Place{LatDeg: 39.742476, LonDeg: -105.1786, ElevationM: 1830.14}
	at := time.Date(2003, time.October, 17, 12, 30, 30, 0, time.FixedZone("", -7*3600))
	sun := solar.PositionAt(at, place)
	fmt.Printf("zenith %.2f, azimuth %.2f\n", sun.ApparentZenithDeg, sun.AzimuthDeg)
	// Output: zenith 50.11, azimuth 194.34
}

func ExampleEventsOn() {
	tromso := solar.Place{LatDeg: 69.65, LonDeg: 18.96}
	midsummer := solar.EventsOn(time.Date(2025, time.June, 21, 0, 0, 0, 0, time.UTC), tromso)
	september := solar.EventsOn(time.Date(2025, time.September, 23, 0, 0, 0, 0, time.UTC), tromso)
	fmt.Println(midsummer.PolarDay, midsummer.DaylightH)
	fmt.Printf("%s to %s UTC\n", september.Sunrise.Format("15:04"), september.Sunset.Format("15:04"))
	// Output:
	// true 24
	// 04:28 to 16:42 UTC
}
