// Package solar is the room for the sun: where it stands, what reaches the
// ground under a clear sky, how sunlight splits into beam and diffuse, what
// falls on a tilted panel, and what DC power the panel gives.
//
// Everything here is a pure function of numbers. The package knows nothing of
// trips, vehicles, batteries, files or the clock; it may import only the
// standard library and gonum.
//
// Conventions: angles in degrees at every exported name (suffix Deg), azimuth
// from north, clockwise (east 90, south 180); latitude north positive,
// longitude east positive; irradiance in W/m2, daily energy in kWh/m2 per day,
// temperatures in degrees Celsius; times are absolute (any time.Location,
// UTC inside). Each function names the publication of its equation. Book
// references: Duffie & Beckman, Solar Engineering of Thermal Processes.
//
// The simulation uses [IntervalAt] and [PlaneFactorsAt] once per step and
// place, and then [PlaneOfArrayWm2] and [PanelW] for every weather draw.
package solar

import "math"

const (
	deg = math.Pi / 180 // radians per degree
	rad = 180 / math.Pi // degrees per radian
)

func clamp(x, low, high float64) float64 { return min(max(x, low), high) }
