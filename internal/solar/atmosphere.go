package solar

import "math"

// PressurePa is the standard air pressure at a height (m, -400..9000): the
// barometric formula of the US Standard Atmosphere 1976 in the solved form of
// the Portland State Aerospace Society 2004, A Quick Derivation relating
// Altitude to Air Pressure.
func PressurePa(altitudeM float64) float64 {
	return 100 * math.Pow((44331.514-altitudeM)/11880.516, 1/0.1902632)
}

// seaLevelPressurePa is the standard pressure to which airmass is referred.
const seaLevelPressurePa = 101325

// RelativeAirmass is the optical path through the air relative to the zenith
// at sea level, for an apparent zenith angle of 0..90 degrees: Kasten & Young
// 1989, Applied Optics 28: 4735-4738. Beyond 90 degrees it stays at the value
// of the horizon (37.9).
func RelativeAirmass(apparentZenithDeg float64) float64 {
	z := clamp(apparentZenithDeg, 0, 90)
	return relativeAirmass(math.Cos(z*deg), z)
}

func relativeAirmass(cosZ, zenithDeg float64) float64 {
	return 1 / (cosZ + 0.50572*math.Pow(96.07995-zenithDeg, -1.6364))
}

// AbsoluteAirmass is the relative airmass scaled with pressure.
func AbsoluteAirmass(apparentZenithDeg, altitudeM float64) float64 {
	return RelativeAirmass(apparentZenithDeg) * PressurePa(altitudeM) / seaLevelPressurePa
}
