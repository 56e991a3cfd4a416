package solar

import "math"

// IneichenPerez is the clear-sky model of Ineichen & Perez 2002, A new airmass
// independent formulation for the Linke turbidity coefficient, Solar Energy 73:
// 151-157 (without the high-airmass enhancement term). Zenith is apparent, in
// degrees; airmass is absolute (see [AbsoluteAirmass]); altitude -400..6000 m;
// dniExtra is the extraterrestrial normal irradiance. Results in W/m2; all are
// zero when the sun is at or below the horizon. High in the mountains the
// formula runs too bright (past the extraterrestrial above about 4500 m): it
// is cut off there, and [IntervalAt] holds the height at 2000 m.
func IneichenPerez(apparentZenithDeg, airmassAbs, linke, altitudeM, dniExtraWm2 float64) (ghi, dni, dhi float64) {
	cosZ := math.Cos(apparentZenithDeg * deg)
	if apparentZenithDeg >= 90 || cosZ <= 0 {
		return 0, 0, 0
	}
	m := newClearSky(linke, altitudeM)
	return m.at(cosZ, airmassAbs, dniExtraWm2)
}

// clearSky holds the coefficients of Ineichen & Perez 2002 that depend only on
// turbidity and height.
type clearSky struct {
	cg1, ghiExponent float64 // GHI = cg1 I0 cosz exp(ghiExponent AM)
	b, dniExponent   float64 // DNI = b I0 exp(dniExponent AM)
	beamShare        float64 // largest beam share of GHI
	pressureRatio    float64 // airmass: relative to absolute
}

// maxClearSkyHeightM is the height above which a step keeps the coefficients of
// this height. There a clear noon has about 0.88 of the extraterrestrial, near
// what high observatories measure (from memory); the formula's growth beyond
// is an extrapolation from the low stations of its authors.
const maxClearSkyHeightM = 2000

func stepClearSky(linke float64, p Place) clearSky {
	return newClearSky(linke, min(p.ElevationM, maxClearSkyHeightM))
}

func newClearSky(linke, altitudeM float64) clearSky {
	fh1 := math.Exp(-altitudeM / 8000)
	fh2 := math.Exp(-altitudeM / 1250)
	cg2 := 3.92e-5*altitudeM + 0.0387
	return clearSky{
		cg1:           5.09e-5*altitudeM + 0.868,
		ghiExponent:   -cg2 * (fh1 + fh2*(linke-1)),
		b:             0.664 + 0.163/fh1,
		dniExponent:   -0.09 * (linke - 1),
		beamShare:     clamp(1-(0.1-0.2*math.Exp(-linke))/(0.1+0.882/fh1), 0, 1),
		pressureRatio: PressurePa(altitudeM) / seaLevelPressurePa,
	}
}

func (m *clearSky) at(cosZ, airmassAbs, dniExtra float64) (ghi, dni, dhi float64) {
	ghi = min(m.cg1*math.Exp(m.ghiExponent*airmassAbs), 1) * dniExtra * cosZ
	beamHorizontal := min(m.b*dniExtra*math.Exp(m.dniExponent*airmassAbs)*cosZ, ghi*m.beamShare)
	return ghi, beamHorizontal / cosZ, ghi - beamHorizontal
}

// HaurwitzGHI is the clear-sky global irradiance (W/m2) of Haurwitz 1945,
// Insolation in relation to cloudiness and cloud density, J. Meteorology 2:
// 154-166: it knows only the zenith angle and serves as a cross-check.
func HaurwitzGHI(apparentZenithDeg float64) float64 {
	cosZ := math.Cos(apparentZenithDeg * deg)
	if cosZ <= 0 {
		return 0
	}
	return 1098 * cosZ * math.Exp(-0.059/cosZ)
}
