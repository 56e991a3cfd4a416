package solar

import "math"

// SolarConstantWm2 is the mean irradiance of the sun outside the air at 1 AU:
// Kopp & Lean 2011, A new, lower value of total solar irradiance, Geophysical
// Research Letters 38: L01706.
const SolarConstantWm2 = 1361

// ExtraterrestrialNormalWm2 is the irradiance on a plane facing the sun outside
// the air on a day of the year (1..366, fractions allowed): Spencer 1971,
// Fourier series representation of the position of the sun, Search 2: 172.
func ExtraterrestrialNormalWm2(dayOfYear float64) float64 {
	sin, cos := math.Sincos(2 * math.Pi * (dayOfYear - 1) / 365)
	sin2, cos2 := 2*sin*cos, cos*cos-sin*sin
	return SolarConstantWm2 * (1.00011 + 0.034221*cos + 0.00128*sin + 0.000719*cos2 + 0.000077*sin2)
}

// ExtraterrestrialNormalDuffieWm2 is the one-term form for a solar constant of
// 1367 W/m2, Duffie & Beckman eq. 1.4.1a: the convention of that book's examples.
func ExtraterrestrialNormalDuffieWm2(dayOfYear float64) float64 {
	return 1367 * (1 + 0.033*math.Cos(2*math.Pi*dayOfYear/365))
}

// DeclinationSpencerDeg is the declination by day of year of Spencer 1971
// (good to 0.04 degrees for the mean year; for an instant use [PositionAt]).
func DeclinationSpencerDeg(dayOfYear float64) float64 {
	b := 2 * math.Pi * (dayOfYear - 1) / 365
	return rad * (0.006918 - 0.399912*math.Cos(b) + 0.070257*math.Sin(b) -
		0.006758*math.Cos(2*b) + 0.000907*math.Sin(2*b) - 0.002697*math.Cos(3*b) + 0.00148*math.Sin(3*b))
}

// DeclinationCooperDeg is the declination by day of year of Cooper 1969, The
// absorption of radiation in solar stills, Solar Energy 12: 333-346 (good to
// half a degree; Duffie & Beckman eq. 1.6.1a).
func DeclinationCooperDeg(dayOfYear float64) float64 {
	return 23.45 * math.Sin(2*math.Pi*(284+dayOfYear)/365)
}

// EquationOfTimeSpencerMin is the equation of time (minutes) by day of year of
// Spencer 1971, with his coefficients 0.0000075 and 0.040849 (Duffie & Beckman
// eq. 1.5.3 prints 0.000075 and 0.04089, a difference of up to 1.5 seconds).
func EquationOfTimeSpencerMin(dayOfYear float64) float64 {
	b := 2 * math.Pi * (dayOfYear - 1) / 365
	return 720 / math.Pi * (0.0000075 + 0.001868*math.Cos(b) - 0.032077*math.Sin(b) -
		0.014615*math.Cos(2*b) - 0.040849*math.Sin(2*b))
}

// SunsetHourAngleDeg is the hour angle of the geometric sunset, 0 (polar night)
// to 180 (polar day): Duffie & Beckman eq. 1.6.10.
func SunsetHourAngleDeg(latDeg, declinationDeg float64) float64 {
	return rad * math.Acos(clamp(-math.Tan(clampLat(latDeg)*deg)*math.Tan(declinationDeg*deg), -1, 1))
}

// clampLat keeps the tangent of the latitude finite at the poles.
func clampLat(latDeg float64) float64 { return clamp(latDeg, -89.9999, 89.9999) }

// DailyExtraterrestrialKWhM2 is the daily energy on the horizontal outside the
// air, H0 in kWh/m2 per day, by day of year and latitude (-90..90): Duffie &
// Beckman eq. 1.10.3 with Spencer's declination and distance.
func DailyExtraterrestrialKWhM2(dayOfYear, latDeg float64) float64 {
	return HorizontalDayKWhM2(ExtraterrestrialNormalWm2(dayOfYear), DeclinationSpencerDeg(dayOfYear), latDeg)
}

// HorizontalDayKWhM2 integrates a constant normal irradiance over the
// geometric day on the horizontal (Duffie & Beckman eq. 1.10.3).
func HorizontalDayKWhM2(normalWm2, declinationDeg, latDeg float64) float64 {
	ws := SunsetHourAngleDeg(latDeg, declinationDeg)
	return HorizontalHoursKWhM2(normalWm2, declinationDeg, latDeg, -ws, ws)
}

// HorizontalHoursKWhM2 is the same between two hour angles (degrees from solar
// noon, afternoon positive), Duffie & Beckman eq. 1.10.4. The caller keeps
// them within sunrise and sunset.
func HorizontalHoursKWhM2(normalWm2, declinationDeg, latDeg, fromDeg, toDeg float64) float64 {
	sinLat, cosLat := math.Sincos(clampLat(latDeg) * deg)
	sinDec, cosDec := math.Sincos(declinationDeg * deg)
	integral := cosLat*cosDec*(math.Sin(toDeg*deg)-math.Sin(fromDeg*deg)) +
		(toDeg-fromDeg)*deg*sinLat*sinDec
	return max(0, 12/math.Pi*normalWm2*integral/1000)
}

// MeanDay is the day whose extraterrestrial irradiation is closest to its
// month's mean.
type MeanDay struct {
	Day            int     // day of the month
	DayOfYear      int     // in a year without a leap day
	DeclinationDeg float64 // as printed
}

// MeanDays are the recommended average days of the months, January first:
// Klein 1977, Calculation of monthly average insolation on tilted surfaces,
// Solar Energy 19: 325-329 (Duffie & Beckman Table 1.6.1).
var MeanDays = [12]MeanDay{
	{17, 17, -20.9},
	{16, 47, -13.0},
	{16, 75, -2.4},
	{15, 105, 9.4},
	{15, 135, 18.8},
	{11, 162, 23.1},
	{17, 198, 21.2},
	{16, 228, 13.5},
	{15, 258, 2.2},
	{15, 288, -9.6},
	{14, 318, -18.9},
	{10, 344, -23.0},
}
