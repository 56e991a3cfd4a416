package solar

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// track is the sun's path over a place near one instant: the ephemeris there,
// with declination and hour angle growing linearly. Over half a day the
// declination is then off by less than 0.001 degrees.
type track struct {
	ephemeris
	days           float64 // of the instant, since J2000
	sinLat, cosLat float64
	hourAngleRad   float64 // local, at the instant, within -pi..pi
}

func trackAt(days float64, p Place) track {
	tr := track{ephemeris: ephemerisAt(days), days: days}
	tr.sinLat, tr.cosLat = math.Sincos(p.LatDeg * deg)
	tr.hourAngleRad = math.Remainder(tr.greenwichHARad+p.LonDeg*deg, 2*math.Pi)
	return tr
}

func (tr *track) declination(dtS float64) (sin, cos float64) {
	d := tr.decRateRadPerS * dtS
	return tr.sinDec + tr.cosDec*d, tr.cosDec - tr.sinDec*d
}

// cosZenith is the cosine of the geocentric zenith angle dtS seconds later.
func (tr *track) cosZenith(dtS float64) float64 {
	sinDec, cosDec := tr.declination(dtS)
	return tr.sinLat*sinDec + tr.cosLat*cosDec*math.Cos(tr.hourAngleRad+tr.hourRateRadPerS*dtS)
}

// span is a stretch of seconds relative to the track's instant.
type span struct{ from, to float64 }

// spansAbove finds when, within from..to (at most half a day), the cosine of
// the zenith angle is above a threshold: at most two spans. The path is cut at
// the solar noon or midnight inside, so that each piece rises or falls only.
func (tr *track) spansAbove(threshold, from, to float64) (spans [2]span, n int) {
	cut := to
	for _, culmination := range [3]float64{-math.Pi, 0, math.Pi} {
		if dt := (culmination - tr.hourAngleRad) / tr.hourRateRadPerS; dt > from && dt < to {
			cut = dt
		}
	}
	fFrom, fCut := tr.cosZenith(from)-threshold, tr.cosZenith(cut)-threshold
	if s, ok := tr.spanAbove(threshold, from, fFrom, cut, fCut); ok {
		spans[0], n = s, 1
	}
	if cut == to {
		return spans, n
	}
	fTo := tr.cosZenith(to) - threshold
	if s, ok := tr.spanAbove(threshold, cut, fCut, to, fTo); ok {
		if n == 1 && spans[0].to == s.from {
			spans[0].to = s.to
		} else {
			spans[n], n = s, n+1
		}
	}
	return spans, n
}

// spanAbove does one monotone piece, given f = cosZenith-threshold at its ends.
func (tr *track) spanAbove(threshold, from, fFrom, to, fTo float64) (span, bool) {
	switch {
	case fFrom > 0 && fTo > 0:
		return span{from, to}, true
	case fFrom <= 0 && fTo <= 0:
		return span{}, false
	}
	root := tr.crossing(threshold, from, fFrom, to, fTo)
	if fFrom > 0 {
		return span{from, root}, true
	}
	return span{root, to}, true
}

// crossing finds the root between two ends of opposite sign to a millisecond:
// false position in the Illinois variant (Dowell & Jarratt 1971, BIT 11: 168).
func (tr *track) crossing(threshold, a, fa, b, fb float64) float64 {
	for range 60 {
		c := b - fb*(b-a)/(fb-fa)
		fc := tr.cosZenith(c) - threshold
		if fc*fb < 0 {
			a, fa = b, fb
		} else {
			fa /= 2
		}
		step := math.Abs(c - b)
		b, fb = c, fc
		if step < 1e-3 || fb == 0 {
			break
		}
	}
	return b
}

// sample is one quadrature point of a step in which the sun is up.
type sample struct {
	weight      float64 // share of the step; the weights sum to the sunlit share
	dtS         float64 // seconds from the track's instant
	cosZ, sinZ  float64 // of the apparent zenith angle
	zenithDeg   float64 // apparent
	east, north float64 // horizontal unit vector towards the sun
}

const (
	nodesShort = 3 // Gauss-Legendre nodes for up to shortSpanS
	nodesLong  = 6
	shortSpanS = 20 * 60
	maxSamples = 2 * nodesLong
)

type gaussRule struct{ x, w [nodesLong]float64 }

// Nodes on -1..1; their weights sum to 2.
var gaussShort, gaussLong = newGaussRule(nodesShort), newGaussRule(nodesLong)

func newGaussRule(n int) (g gaussRule) {
	quad.Legendre{}.FixedLocations(g.x[:n], g.w[:n], -1, 1)
	return g
}

// horizon is the air above a place, as refraction needs it.
type horizon struct {
	refraction float64 // scale of the refraction for pressure and temperature
	minCosZ    float64 // geocentric cosine of zenith when the sun's centre seems to touch the horizon
}

func newHorizon(p Place, distanceAU float64) horizon {
	h := horizon{refraction: refractionScale(PressurePa(p.ElevationM)/100, standardAirC)}
	e := -0.5 * h.refraction
	for range 5 { // contracts by about 0.2 each time
		e = max(-h.refraction*unitRefractionDeg(e), sunriseElevationDeg)
	}
	h.minCosZ = math.Sin((e + 8.794/3600/distanceAU) * deg)
	return h
}

// samples fills buf with the quadrature points of from..to seconds (at most an
// hour or so), only where the sun's centre is above the apparent horizon.
func (tr *track) samples(h *horizon, from, to float64, buf *[maxSamples]sample) []sample {
	spans, n := tr.spansAbove(h.minCosZ, from, to)
	count := 0
	for _, s := range spans[:n] {
		rule, nodes := &gaussShort, nodesShort
		if s.to-s.from > shortSpanS {
			rule, nodes = &gaussLong, nodesLong
		}
		half, mid := (s.to-s.from)/2, (s.from+s.to)/2
		for i := range nodes {
			buf[count] = tr.sampleAt(h, mid+half*rule.x[i])
			buf[count].weight = rule.w[i] * half / (to - from)
			count++
		}
	}
	return buf[:count]
}

func (tr *track) sampleAt(h *horizon, dtS float64) sample {
	sinDec, cosDec := tr.declination(dtS)
	sinH, cosH := math.Sincos(tr.hourAngleRad + tr.hourRateRadPerS*dtS)
	cosZ := clamp(tr.sinLat*sinDec+tr.cosLat*cosDec*cosH, -1, 1)
	elevation := elevationDeg(cosZ, tr.distanceAU)
	apparent := elevation
	if elevation >= sunriseElevationDeg {
		apparent += h.refraction * unitRefractionDeg(elevation)
	}
	s := sample{dtS: dtS, zenithDeg: 90 - apparent}
	s.cosZ, s.sinZ = math.Sincos(apparent * deg)
	s.east, s.north = -cosDec*sinH, tr.cosLat*sinDec-tr.sinLat*cosDec*cosH
	if length := math.Hypot(s.east, s.north); length > 1e-12 {
		s.east, s.north = s.east/length, s.north/length
	}
	return s
}
