package solar

import "math"

// GlassMartinRuiz is the angular loss coefficient of a clean glass-covered
// crystalline panel (Martin & Ruiz 2001, Table 1: 0.16 to 0.17).
const GlassMartinRuiz = 0.16

// IAMASHRAE is the share of the beam that still enters the panel at an angle
// of incidence (degrees), relative to normal incidence: ASHRAE Standard 93
// (Souka & Safwat 1966), 1 - b0 (1/cos - 1), bounded to 0..1.
func IAMASHRAE(aoiDeg, b0 float64) float64 {
	c := math.Cos(aoiDeg * deg)
	if math.Abs(aoiDeg) >= 90 || c <= 0 {
		return 0
	}
	return clamp(1-b0*(1/c-1), 0, 1)
}

// IAMMartinRuiz is the same by Martin & Ruiz 2001, Calculation of the PV
// modules angular losses under field conditions by means of an analytical
// model, Solar Energy Materials & Solar Cells 70: 25-38, with their
// coefficient ar (0.16 for clean glass; above 0).
func IAMMartinRuiz(aoiDeg, ar float64) float64 {
	if math.Abs(aoiDeg) >= 90 {
		return 0
	}
	return (1 - math.Exp(-math.Cos(aoiDeg*deg)/ar)) / (1 - math.Exp(-1/ar))
}

// IAMMartinRuizDiffuse is the same for uniform diffuse light from the sky and
// from the ground on a plane of a tilt of 0..180 degrees: Martin & Ruiz 2013,
// Corrigendum, Solar Energy Materials & Solar Cells 110: 154, and IEC 61853-3
// section 7.2.2. What a plane does not see has share 0.
func IAMMartinRuizDiffuse(tiltDeg, ar float64) (sky, ground float64) {
	beta := clamp(tiltDeg, 0, 180) * deg
	sinB, cosB := math.Sincos(beta)
	c1, c2 := 4/(3*math.Pi), 0.5*ar-0.154
	share := func(trig float64) float64 {
		return 1 - math.Exp(-(c1+c2*trig)*trig/ar)
	}
	// (x - sin x)/(1 - cos x), which tends to x/3.
	quotient := func(x, oneMinusCos float64) float64 {
		if x < 1e-3 {
			return x / 3
		}
		return (x - sinB) / oneMinusCos
	}
	if beta < math.Pi {
		sky = share(sinB + quotient(math.Pi-beta, 1+cosB))
	}
	if beta > 0 {
		ground = share(sinB + quotient(beta, 1-cosB))
	}
	return sky, ground
}
