package solar

import "math"

// ErbsHourly is the diffuse share of hourly global irradiation by the hourly
// clearness index: Erbs, Klein & Duffie 1982, Estimation of the diffuse
// radiation fraction for hourly, daily and monthly-average global radiation,
// Solar Energy 28: 293-302. Any kt is accepted; below 0 counts as 0.
func ErbsHourly(kt float64) float64 {
	switch {
	case kt <= 0:
		return 1
	case kt <= 0.22:
		return 1 - 0.09*kt
	case kt <= 0.80:
		return 0.9511 + kt*(-0.1604+kt*(4.388+kt*(-16.638+kt*12.336)))
	default:
		return 0.165
	}
}

// ErbsDaily is the diffuse share of daily irradiation by daily clearness and
// the sunset hour angle in degrees (same paper; Duffie & Beckman eq. 2.11.1).
func ErbsDaily(kt, sunsetHourAngleDeg float64) float64 {
	kt = max(kt, 0)
	if sunsetHourAngleDeg <= 81.4 {
		if kt >= 0.715 {
			return 0.143
		}
		return 1 + kt*(-0.2727+kt*(2.4495+kt*(-11.9514+kt*9.3879)))
	}
	if kt >= 0.722 {
		return 0.175
	}
	return 1 + kt*(0.2832+kt*(-2.5557+kt*0.8448))
}

// ErbsMonthly is the diffuse share of a month's mean day by its clearness and
// sunset hour angle in degrees (same paper; Duffie & Beckman eq. 2.12.1).
// Published for 0.3..0.8; outside, the clearness is held at that bound.
func ErbsMonthly(kt, sunsetHourAngleDeg float64) float64 {
	kt = clamp(kt, 0.3, 0.8)
	if sunsetHourAngleDeg <= 81.4 {
		return 1.391 + kt*(-3.560+kt*(4.189-kt*2.137))
	}
	return 1.311 + kt*(-3.022+kt*(3.427-kt*1.821))
}

// SplitErbsWm2 gives the diffuse part of a global irradiance with
// [ErbsHourly], kt being ghi over the extraterrestrial horizontal irradiance
// of the same interval. With no extraterrestrial light all is diffuse.
func SplitErbsWm2(ghiWm2, i0HorizWm2 float64) (dhiWm2 float64) {
	if i0HorizWm2 <= 0 {
		return ghiWm2
	}
	return ghiWm2 * ErbsHourly(ghiWm2/i0HorizWm2)
}

// CollaresPereiraRabl is r_t, hourly over daily global irradiation, for the
// hour centred on an hour angle: Collares-Pereira & Rabl 1979, The average
// distribution of solar radiation, Solar Energy 22: 155-164 (Duffie & Beckman
// eq. 2.13.2). Angles in degrees; zero outside the day.
func CollaresPereiraRabl(hourAngleDeg, sunsetHourAngleDeg float64) float64 {
	s := math.Sin((sunsetHourAngleDeg - 60) * deg)
	a, b := 0.409+0.5016*s, 0.6609-0.4767*s
	return LiuJordan(hourAngleDeg, sunsetHourAngleDeg) * (a + b*math.Cos(hourAngleDeg*deg))
}

// LiuJordan is r_d, hourly over daily diffuse irradiation: Liu & Jordan 1960,
// The interrelationship and characteristic distribution of direct, diffuse and
// total solar radiation, Solar Energy 4: 1-19 (Duffie & Beckman eq. 2.13.4).
func LiuJordan(hourAngleDeg, sunsetHourAngleDeg float64) float64 {
	ws := sunsetHourAngleDeg * deg
	sinWs, cosWs := math.Sincos(ws)
	span := sinWs - ws*cosWs
	if span <= 0 || math.Abs(hourAngleDeg) >= sunsetHourAngleDeg {
		return 0
	}
	return math.Pi / 24 * (math.Cos(hourAngleDeg*deg) - cosWs) / span
}
