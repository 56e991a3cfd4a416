package solar

import "math"

// LinkeTurbidity is a rule for the Linke turbidity (the number of clean dry
// atmospheres that would dim the beam as much) by latitude, month and height,
// where no measurement is known. Month runs from 1 (mid January) to 12 (mid
// December), fractions allowed, and wraps.
//
//	TL = (1.95 + 1.45 cos(lat)^0.6 + 0.5 |sin 2 lat| cos(2 pi (month - 7)/12) * sign(lat)) * exp(-height/8435 m)
//
// Rule of thumb fitted by eye to the few published monthly points of Remund,
// Wald, Lefevre, Ranchin & Page 2003 (Worldwide Linke Turbidity Information):
// the poles, Tucson, and a coastal station in Alaska; hazy in the tropics and
// in summer, clean at the poles and on mountains (the height term as in that
// paper, from memory). Desert dust and city haze are not in it. Daily totals
// come from the climate, so that the turbidity only shapes the clear day.
func LinkeTurbidity(p Place, month float64) float64 {
	sin2, cosLat := math.Sin(2*p.LatDeg*deg), math.Max(0, math.Cos(p.LatDeg*deg))
	season := math.Cos(2 * math.Pi * (month - 7) / 12)
	seaLevel := 1.95 + 1.45*math.Pow(cosLat, 0.6) + 0.5*sin2*season
	return math.Max(1, seaLevel*math.Exp(-p.ElevationM/8435))
}
