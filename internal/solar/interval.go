package solar

import "time"

// Interval is the sun over one step at a place; every value but the direction
// is a mean over the whole step, night share included.
type Interval struct {
	CosZ        float64 // mean of max(0, cos apparent zenith)
	I0HorizWm2  float64 // extraterrestrial irradiance on the horizontal, with the same cosine
	ClearGHIWm2 float64 // clear sky, Ineichen & Perez 2002
	ClearDHIWm2 float64
	Up          float64 // share of the step with the sun's upper limb above the horizon, 0..1
	// Direction at the centre of the clear-sky irradiance (at the middle of the
	// step when the sun is down), for information.
	ZenithDeg, AzimuthDeg float64
}

// maxPart is the longest stretch that is integrated in one go.
const maxPart = time.Hour

// parts cuts a step into equal stretches of at most maxPart.
func parts(dur time.Duration) (count int, length time.Duration) {
	dur = max(dur, time.Millisecond)
	count = int((dur + maxPart - 1) / maxPart)
	return count, dur / time.Duration(count)
}

// IntervalAt integrates sun and clear sky over [start, start+dur), with dur
// above zero: Gauss-Legendre points between the crossings of the horizon, so
// that a step that holds a sunrise or a sunset is right. Linke is the Linke
// turbidity; 0 takes [LinkeTurbidity] for the month. Refraction as in
// [PositionAt]; a day of I0HorizWm2 is therefore a little more than the
// geometric [DailyExtraterrestrialKWhM2] to which climate tables refer: 0.3 %
// as a rule, 3 % where the noon sun stays below 12 degrees.
func IntervalAt(start time.Time, dur time.Duration, p Place, linke float64) Interval {
	sky := stepClearSky(linkeOrRule(linke, start, p), p)
	count, length := parts(dur)
	share := 1 / float64(count)
	var iv Interval
	var centreS, totalWeight float64
	for i := range count {
		offset := time.Duration(i) * length
		tr, half := partTrack(start.Add(offset), length, p)
		h := newHorizon(p, tr.distanceAU)
		iv.Up += share * tr.upShare(half)
		i0 := SolarConstantWm2 / (tr.distanceAU * tr.distanceAU)
		var buf [maxSamples]sample
		for _, s := range tr.samples(&h, -half, half, &buf) {
			ghi, _, dhi := sky.at(s.cosZ, relativeAirmass(s.cosZ, s.zenithDeg)*sky.pressureRatio, i0)
			w := s.weight * share
			iv.CosZ += w * s.cosZ
			iv.I0HorizWm2 += w * s.cosZ * i0
			iv.ClearGHIWm2 += w * ghi
			iv.ClearDHIWm2 += w * dhi
			centreS += w * ghi * (offset.Seconds() + half + s.dtS)
			totalWeight += w * ghi
		}
	}
	iv.Up = min(iv.Up, 1) // the shares of the parts add up with rounding
	centre := dur / 2
	if totalWeight > 0 {
		centre = seconds(centreS / totalWeight)
	}
	pos := PositionAt(start.Add(centre), p)
	iv.ZenithDeg, iv.AzimuthDeg = pos.ApparentZenithDeg, pos.AzimuthDeg
	return iv
}

// partTrack is the track at the middle of a part, and half the part's seconds.
func partTrack(start time.Time, length time.Duration, p Place) (track, float64) {
	half := length.Seconds() / 2
	return trackAt(daysSinceJ2000(start)+half/86400, p), half
}

func (tr *track) upShare(half float64) float64 {
	spans, n := tr.spansAbove(sinSunrise, -half, half)
	up := 0.0
	for _, s := range spans[:n] {
		up += s.to - s.from
	}
	return min(1, up/(2*half))
}

func linkeOrRule(linke float64, t time.Time, p Place) float64 {
	if linke > 0 {
		return linke
	}
	u := t.UTC()
	return LinkeTurbidity(p, float64(u.Month())+(float64(u.Day())-15.5)/30.5)
}
