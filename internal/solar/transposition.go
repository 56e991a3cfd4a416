package solar

import "math"

// Sky diffuse irradiance on a tilted plane (W/m2), four published models. In
// all of them the tilt is in degrees, cosAOI is the cosine of the angle of
// incidence and cosZ that of the zenith angle.

// IsotropicSkyWm2 takes the sky as equally bright everywhere: Liu & Jordan
// 1963 (Duffie & Beckman eq. 2.15.1).
func IsotropicSkyWm2(tiltDeg, dhiWm2 float64) float64 {
	return dhiWm2 * (1 + math.Cos(tiltDeg*deg)) / 2
}

// GroundReflectedWm2 is the light the ground throws on the plane (same source).
func GroundReflectedWm2(tiltDeg, ghiWm2, albedo float64) float64 {
	return ghiWm2 * albedo * (1 - math.Cos(tiltDeg*deg)) / 2
}

// minCosZ bounds the beam ratio at low sun (zenith 89 degrees), so that a
// ratio of two small numbers cannot run away: common practice.
const minCosZ = 0.01745

// BeamRatio is Rb, beam on the plane over beam on the horizontal (Duffie &
// Beckman eq. 1.8.1), zero behind the plane, with the zenith held at 89 degrees.
func BeamRatio(cosAOI, cosZ float64) float64 { return max(0, cosAOI) / max(cosZ, minCosZ) }

// HayDaviesSkyWm2 adds a circumsolar part weighted with the beam's
// transmittance dni/dniExtra: Hay & Davies 1980, Calculation of the solar
// radiation incident on an inclined surface, First Canadian Solar Radiation
// Data Workshop: 59-72 (Duffie & Beckman eq. 2.16.4 without horizon term).
func HayDaviesSkyWm2(tiltDeg, cosAOI, cosZ, dniWm2, dhiWm2, dniExtraWm2 float64) float64 {
	a := dniWm2 / dniExtraWm2
	return dhiWm2 * (a*BeamRatio(cosAOI, cosZ) + (1-a)*(1+math.Cos(tiltDeg*deg))/2)
}

// HDKRSkyWm2 adds horizon brightening to it: Reindl, Beckman & Duffie 1990,
// Evaluation of hourly tilted surface radiation models, Solar Energy 45: 9-17
// (Duffie & Beckman eq. 2.16.7).
func HDKRSkyWm2(tiltDeg, cosAOI, cosZ, ghiWm2, dniWm2, dhiWm2, dniExtraWm2 float64) float64 {
	a := dniWm2 / dniExtraWm2
	f := 0.0
	if ghiWm2 > 0 {
		f = math.Sqrt(max(0, dniWm2*cosZ) / ghiWm2)
	}
	s := math.Sin(tiltDeg / 2 * deg)
	return dhiWm2 * (a*BeamRatio(cosAOI, cosZ) + (1-a)*(1+math.Cos(tiltDeg*deg))/2*(1+f*s*s*s))
}

// PerezSky is the diffuse light from the sky on a plane by origin, W/m2. The
// horizon part may be negative (a dark horizon).
type PerezSky struct{ IsotropicWm2, CircumsolarWm2, HorizonWm2 float64 }

// TotalWm2 is the sum of the parts, never below zero.
func (s PerezSky) TotalWm2() float64 { return max(0, s.IsotropicWm2+s.CircumsolarWm2+s.HorizonWm2) }

// perezClass holds F11 F12 F13 F21 F22 F23 for sky clearness below upper.
type perezClass struct {
	upper float64
	f     [6]float64
}

// Table 6 (all sites composite) of Perez et al. 1990.
var perezClasses = [8]perezClass{
	{1.065, [6]float64{-0.008, 0.588, -0.062, -0.060, 0.072, -0.022}},
	{1.23, [6]float64{0.130, 0.683, -0.151, -0.019, 0.066, -0.029}},
	{1.5, [6]float64{0.330, 0.487, -0.221, 0.055, -0.064, -0.026}},
	{1.95, [6]float64{0.568, 0.187, -0.295, 0.109, -0.152, -0.014}},
	{2.8, [6]float64{0.873, -0.392, -0.362, 0.226, -0.462, 0.001}},
	{4.5, [6]float64{1.132, -1.237, -0.412, 0.288, -0.823, 0.056}},
	{6.2, [6]float64{1.060, -1.600, -0.359, 0.264, -1.127, 0.131}},
	{math.Inf(1), [6]float64{0.678, -0.327, -0.250, 0.156, -1.377, 0.251}},
}

// Perez1990 is the model of Perez, Ineichen, Seals, Michalsky & Stewart 1990,
// Modeling daylight availability and irradiance components from direct and
// global irradiance, Solar Energy 44: 271-289 (Duffie & Beckman section 2.16).
// Zenith in degrees; airmass relative.
func Perez1990(tiltDeg, cosAOI, zenithDeg, dniWm2, dhiWm2, dniExtraWm2, airmassRel float64) PerezSky {
	if dhiWm2 <= 0 {
		return PerezSky{}
	}
	z := zenithDeg * deg
	f1, f2 := perezBrightness(z, dniWm2/dhiWm2, dhiWm2*airmassRel/dniExtraWm2)
	sinT, cosT := math.Sincos(tiltDeg * deg)
	ratio := max(0, cosAOI) / max(perezMinCosZ, math.Cos(z))
	return PerezSky{
		IsotropicWm2:   dhiWm2 * (1 - f1) * (1 + cosT) / 2,
		CircumsolarWm2: dhiWm2 * f1 * ratio,
		HorizonWm2:     dhiWm2 * f2 * sinT,
	}
}

// perezMinCosZ holds the zenith at 85 degrees in the circumsolar ratio.
var perezMinCosZ = math.Cos(85 * deg)

// perezBrightness gives the circumsolar and horizon coefficients F1 and F2 from
// the zenith angle (rad), beam normal over diffuse, and the sky's brightness.
func perezBrightness(z, beamOverDiffuse, brightness float64) (f1, f2 float64) {
	kz3 := 1.041 * z * z * z
	clearness := (1 + beamOverDiffuse + kz3) / (1 + kz3)
	class := 0
	for class < len(perezClasses)-1 && clearness >= perezClasses[class].upper {
		class++
	}
	f := &perezClasses[class].f
	return max(0, f[0]+f[1]*brightness+f[2]*z), f[3] + f[4]*brightness + f[5]*z
}

// DailyBeamRatio is the beam on a tilted plane over that on the horizontal for
// a whole day outside the air, the plane facing the equator: Liu & Jordan 1962
// and Klein 1977 (Duffie & Beckman eq. 2.19.3). Latitude and declination
// -90..90 and tilt 0..90 degrees; 0 in the polar night. With a month's mean
// day it is the monthly mean ratio.
func DailyBeamRatio(latDeg, declinationDeg, tiltDeg float64) float64 {
	facing := latDeg - tiltDeg // the latitude where this plane would lie flat
	if latDeg < 0 {
		facing = latDeg + tiltDeg
	}
	horizontal := SunsetHourAngleDeg(latDeg, declinationDeg)
	day := HorizontalHoursKWhM2(1, declinationDeg, latDeg, -horizontal, horizontal)
	if day <= 0 {
		return 0
	}
	ws := min(horizontal, SunsetHourAngleDeg(facing, declinationDeg))
	return HorizontalHoursKWhM2(1, declinationDeg, facing, -ws, ws) / day
}
