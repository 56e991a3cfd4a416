package solar

import (
	"math"
	"time"
)

// Place is a point on the earth: latitude -90..90 (north positive), longitude
// -180..180 (east positive), elevation above the sea -400..6000 m.
type Place struct{ LatDeg, LonDeg, ElevationM float64 }

// DistanceKM is the way to another place along the great circle of a sphere of
// 6,371 km (haversine form), km; NaN where a position is not known.
func (p Place) DistanceKM(q Place) float64 {
	sLat, sLon := math.Sin((q.LatDeg-p.LatDeg)/rad/2), math.Sin((q.LonDeg-p.LonDeg)/rad/2)
	h := sLat*sLat + math.Cos(p.LatDeg/rad)*math.Cos(q.LatDeg/rad)*sLon*sLon
	return 2 * 6371 * math.Asin(math.Min(1, math.Sqrt(h)))
}

// Position is where the sun stands, seen from a place.
type Position struct {
	ZenithDeg         float64 // true topocentric zenith angle, no refraction
	ApparentZenithDeg float64 // with refraction (standard air for the elevation, 12 C)
	AzimuthDeg        float64 // from north, clockwise, 0..360
	DeclinationDeg    float64 // apparent geocentric declination
	DistanceAU        float64 // earth to sun
	EquationOfTimeMin float64 // apparent minus mean solar time, minutes
}

// PositionAt gives the sun's position at an instant, for 1950-2100 within
// 0.01 degrees of the full algorithm of Reda & Andreas 2004 (NREL/TP-560-34302),
// whose steps it follows with a shortened series. Refraction assumes the
// standard pressure of the elevation and 12 C.
func PositionAt(t time.Time, p Place) Position {
	return positionAt(t, p, PressurePa(p.ElevationM)/100, standardAirC)
}

// standardAirC is the air temperature taken for refraction where none is known.
const standardAirC = 12

func positionAt(t time.Time, p Place, pressureHPa, airTempC float64) Position {
	e := ephemerisAt(daysSinceJ2000(t))
	sinLat, cosLat := math.Sincos(p.LatDeg * deg)
	sinH, cosH := math.Sincos(e.greenwichHARad + p.LonDeg*deg)
	cosZ := clamp(sinLat*e.sinDec+cosLat*e.cosDec*cosH, -1, 1)
	elevation := elevationDeg(cosZ, e.distanceAU)
	azimuth := math.Atan2(-e.cosDec*sinH, cosLat*e.sinDec-sinLat*e.cosDec*cosH) * rad
	if azimuth < 0 {
		azimuth += 360
	}
	return Position{
		ZenithDeg:         90 - elevation,
		ApparentZenithDeg: 90 - elevation - refractionDeg(elevation, pressureHPa, airTempC),
		AzimuthDeg:        azimuth,
		DeclinationDeg:    e.decRad * rad,
		DistanceAU:        e.distanceAU,
		EquationOfTimeMin: e.equationMin,
	}
}

// elevationDeg turns the geocentric cosine of the zenith angle into the
// topocentric elevation: the horizontal parallax of 8.794 arc seconds at 1 AU
// lowers the sun by parallax*cos(elevation).
func elevationDeg(cosZ, distanceAU float64) float64 {
	geocentric := math.Asin(cosZ)
	return geocentric*rad - 8.794/3600/distanceAU*math.Sqrt(1-cosZ*cosZ)
}

// refractionDeg is the lift of the sun by the air (degrees) at a true
// elevation: Reda & Andreas 2004 eq. 42 (after Meeus). Below -0.8333 degrees,
// where the whole disc is under the horizon, it is zero as in that report.
func refractionDeg(trueElevationDeg, pressureHPa, airTempC float64) float64 {
	if trueElevationDeg < sunriseElevationDeg {
		return 0
	}
	return refractionScale(pressureHPa, airTempC) * unitRefractionDeg(trueElevationDeg)
}

func refractionScale(pressureHPa, airTempC float64) float64 {
	return pressureHPa / 1010 * 283 / (273 + airTempC)
}

func unitRefractionDeg(e float64) float64 {
	return 1.02 / (60 * math.Tan((e+10.3/(e+5.11))*deg))
}

// CosIncidence is the cosine of the angle between the sun's rays and the
// normal of a plane (Duffie & Beckman eq. 1.6.3); negative when the sun is
// behind the plane. Angles in degrees, azimuths from north clockwise.
func CosIncidence(zenithDeg, sunAzimuthDeg, tiltDeg, planeAzimuthDeg float64) float64 {
	sinZ, cosZ := math.Sincos(zenithDeg * deg)
	sinT, cosT := math.Sincos(tiltDeg * deg)
	return clamp(cosZ*cosT+sinZ*sinT*math.Cos((sunAzimuthDeg-planeAzimuthDeg)*deg), -1, 1)
}
