package solar

import (
	"math"
	"time"
)

// periodicTerm is one term a*cos(b + c*tau) of the heliocentric series.
type periodicTerm struct{ a, b, c float64 }

// The largest terms of the earth's heliocentric longitude (1e-8 rad) and
// radius vector (1e-8 AU): Reda & Andreas 2004, Solar Position Algorithm for
// Solar Radiation Applications, NREL/TP-560-34302, Table A4.2 (after Bretagnon
// & Francou 1988, VSOP87). The terms left out, and the sun's ecliptic latitude
// (below 1.2 arc seconds), add up to about 0.001 degrees; the tests measure it
// against the full series.
var (
	longitudeTerms0 = [...]periodicTerm{
		{3341656, 4.6692568, 6283.07585},
		{34894, 4.6261, 12566.1517},
		{3497, 2.7441, 5753.3849},
		{3418, 2.8289, 3.5231},
		{3136, 3.6277, 77713.7715},
		{2676, 4.4181, 7860.4194},
		{2343, 6.1352, 3930.2097},
		{1324, 0.7425, 11506.7698},
		{1273, 2.0371, 529.691},
		{1199, 1.1096, 1577.3435},
		{990, 5.233, 5884.927},
		{902, 2.045, 26.298},
		{857, 3.508, 398.149},
		{780, 1.179, 5223.694},
		{753, 2.533, 5507.553},
		{505, 4.583, 18849.228},
		{492, 4.205, 775.523},
	}
	longitudeTerms1 = [...]periodicTerm{{206059, 2.678235, 6283.07585}, {4303, 2.6351, 12566.1517}}
	longitudeTerms2 = [...]periodicTerm{{8720, 1.0721, 6283.0758}}
	radiusTerms0    = [...]periodicTerm{
		{1670700, 3.0984635, 6283.07585},
		{13956, 3.05525, 12566.1517},
		{3084, 5.1985, 77713.7715},
		{1628, 1.1739, 5753.3849},
		{1576, 2.8469, 7860.4194},
	}
	radiusTerms1 = [...]periodicTerm{{103019, 1.10749, 6283.07585}}
)

const (
	longitudeMean0 = 175347046    // 1e-8 rad
	longitudeMean1 = 628331966747 // 1e-8 rad per millennium
	longitudeMean2 = 52919
	radiusMean0    = 100013989 // 1e-8 AU
)

func seriesSum(terms []periodicTerm, tau float64) float64 {
	sum := 0.0
	for i := range terms {
		sum += terms[i].a * math.Cos(terms[i].b+terms[i].c*tau)
	}
	return sum
}

// ephemeris is the sun as seen from the earth's centre at one instant.
type ephemeris struct {
	decRad          float64 // apparent declination
	sinDec, cosDec  float64
	greenwichHARad  float64 // hour angle at longitude 0, not wrapped
	distanceAU      float64
	equationMin     float64 // equation of time
	decRateRadPerS  float64
	hourRateRadPerS float64 // growth of the hour angle
}

var j2000 = time.Date(2000, 1, 1, 12, 0, 0, 0, time.UTC).Unix()

// daysSinceJ2000 is the number of UT days since 2000-01-01 12:00.
func daysSinceJ2000(t time.Time) float64 {
	return float64(t.Unix()-j2000)/86400 + float64(t.Nanosecond())/86400e9
}

// deltaTSeconds is terrestrial time minus universal time: the polynomials of
// Espenak & Meeus 2006, Five Millennium Canon of Solar Eclipses (NASA/TP-
// 2006-214141), for 1941-2150. An error of 10 s moves the sun 0.0001 degrees.
func deltaTSeconds(year float64) float64 {
	switch {
	case year < 1961:
		t := year - 1950
		return 29.07 + t*(0.407+t*(-1.0/233+t/2547))
	case year < 1986:
		t := year - 1975
		return 45.45 + t*(1.067+t*(-1.0/260-t/718))
	case year < 2005:
		t := year - 2000
		return 63.86 + t*(0.3345+t*(-0.060374+t*(0.0017275+t*(0.000651814+t*0.00002373599))))
	case year < 2050:
		t := year - 2000
		return 62.92 + t*(0.32217+t*0.005589)
	default:
		u := (year - 1820) / 100
		return -20 + 32*u*u - 0.5628*(2150-year)
	}
}

// ephemerisAt follows the steps of Reda & Andreas 2004 (section 3.2 to 3.9)
// with the shortened series above and the four largest nutation terms (Meeus
// 1998, Astronomical Algorithms, chapter 22).
func ephemerisAt(days float64) ephemeris {
	tau := (days + deltaTSeconds(2000+days/365.25)/86400) / 365250
	century := 10 * tau

	longitude := 1e-8 * (longitudeMean0 + seriesSum(longitudeTerms0[:], tau) +
		tau*(longitudeMean1+seriesSum(longitudeTerms1[:], tau)+
			tau*(longitudeMean2+seriesSum(longitudeTerms2[:], tau))))
	radius := 1e-8 * (radiusMean0 + seriesSum(radiusTerms0[:], tau) + tau*seriesSum(radiusTerms1[:], tau))

	sinNode, cosNode := math.Sincos((125.04452 - 1934.136261*century) * deg)
	sin2Sun, cos2Sun := math.Sincos(2 * (280.4665 + 36000.7698*century) * deg)
	sin2Moon, cos2Moon := math.Sincos(2 * (218.3165 + 481267.8813*century) * deg)
	const arcsec = deg / 3600
	nutation := arcsec * (-17.20*sinNode - 1.32*sin2Sun - 0.23*sin2Moon + 0.42*sinNode*cosNode)
	obliquity := (23.4392911-century*(0.0130042+century*1.64e-7))*deg +
		arcsec*(9.20*cosNode+0.57*cos2Sun+0.10*cos2Moon-0.09*(2*cosNode*cosNode-1))

	apparent := longitude + math.Pi + nutation - 20.4898*arcsec/radius
	sinLon, cosLon := math.Sincos(apparent)
	sinObl, cosObl := math.Sincos(obliquity)
	rightAscension := math.Atan2(sinLon*cosObl, cosLon)
	sinDec := sinObl * sinLon
	cosDec := math.Sqrt(1 - sinDec*sinDec)

	sidereal := (280.46061837+360.98564736629*days+century*century*0.000387933)*deg + nutation*cosObl
	meanSun := (280.4664567 + tau*(360007.6982779+tau*0.03032028)) * deg
	equation := math.Remainder(meanSun-0.0057183*deg-rightAscension+nutation*cosObl, 2*math.Pi)

	// Kepler's second law: the longitude grows as 1/r^2.
	const meanMotion = 2 * math.Pi / (365.25636 * 86400) * 0.99986 // rad/s; sqrt(1-e^2)
	lonRate := meanMotion / (radius * radius)
	return ephemeris{
		decRad:          math.Asin(sinDec),
		sinDec:          sinDec,
		cosDec:          cosDec,
		greenwichHARad:  sidereal - rightAscension,
		distanceAU:      radius,
		equationMin:     equation * rad * 4,
		decRateRadPerS:  sinObl * cosLon / cosDec * lonRate,
		hourRateRadPerS: 360.98564736629*deg/86400 - cosObl/(cosDec*cosDec)*lonRate,
	}
}
