package solar

import (
	"math"
	"time"
)

// Mount says how a panel stands.
type Mount int

const (
	// Fixed keeps tilt and azimuth.
	Fixed Mount = iota
	// HeadingAveraged keeps its tilt while the azimuth is unknown, every
	// heading being equally likely: flat or tilted panels on a roof.
	HeadingAveraged
	// Turned keeps its tilt and is turned by hand: the time from sunrise to
	// sunset is cut into TurnsPerDay equal spans, and throughout each span the
	// panel faces the azimuth of the sun at the span's middle. With one turn it
	// faces the noon sun all day.
	Turned
)

// Plane is a panel's orientation.
type Plane struct {
	Mount       Mount
	TiltDeg     float64 // from the horizontal, 0..90
	AzimuthDeg  float64 // from north clockwise, for Fixed
	TurnsPerDay int     // for Turned, 1 or more
	// AngularLossAr is the coefficient of [IAMMartinRuiz]: 0 means
	// [GlassMartinRuiz], negative means no angular loss.
	AngularLossAr float64
}

// PlaneFactors turn horizontal irradiance into irradiance on a plane during
// one step, angular losses included. They are multipliers, so that shade or
// dirt may scale them.
type PlaneFactors struct {
	BeamRatio   float64 // of the horizontal beam (GHI - DHI)
	CircumRatio float64 // of the circumsolar diffuse part
	SkyView     float64 // of the isotropic diffuse part, (1+cos tilt)/2 times its angular loss
	GroundView  float64 // of GHI times albedo, (1-cos tilt)/2 times its angular loss
	HorizonView float64 // of a bright band at the horizon, sin tilt times the sky's angular loss (Perez only)
}

// Shaded takes away a share (0..1) of the beam with its circumsolar part, and
// a share of the light from sky and ground: trees or walls during the step.
func (f PlaneFactors) Shaded(beamShare, skyShare float64) PlaneFactors {
	beam, sky := 1-clamp(beamShare, 0, 1), 1-clamp(skyShare, 0, 1)
	return PlaneFactors{f.BeamRatio * beam, f.CircumRatio * beam, f.SkyView * sky, f.GroundView * sky, f.HorizonView * sky}
}

// PlaneFactorsAt integrates the factors of a plane over [start, start+dur) at
// the points of [IntervalAt]. The ratios are means weighted with the clear
// sky's beam (Ineichen & Perez 2002 at the Linke turbidity; 0 takes the rule),
// which makes a clear step exact. As that beam grows with the sun's height,
// the weighting also bounds the ratio at low sun: a horizontal beam below the
// extraterrestrial never gives more than the extraterrestrial normal beam on
// the plane. For the circumsolar part the cosine of zenith is held at 0.01745
// (89 degrees), as is usual with Hay & Davies' model. Zero when the sun is down.
func PlaneFactorsAt(start time.Time, dur time.Duration, p Place, pl Plane, linke float64) PlaneFactors {
	sky := stepClearSky(linkeOrRule(linke, start, p), p)
	a := newAim(pl)
	count, length := parts(dur)
	var beam, beamHoriz, circum, circumWeight float64
	for i := range count {
		tr, half := partTrack(start.Add(time.Duration(i)*length), length, p)
		h := newHorizon(p, tr.distanceAU)
		var buf [maxSamples]sample
		samples := tr.samples(&h, -half, half, &buf)
		if len(samples) > 0 && pl.Mount == Turned {
			a.followDay(&tr, p)
		}
		for k := range samples {
			s := &samples[k]
			_, dni, dhi := sky.at(s.cosZ, relativeAirmass(s.cosZ, s.zenithDeg)*sky.pressureRatio, SolarConstantWm2)
			effective := a.effectiveCosine(s)
			beam += s.weight * dni * effective
			beamHoriz += s.weight * dni * s.cosZ
			circum += s.weight * dni * dhi * effective / max(s.cosZ, minCosZ)
			circumWeight += s.weight * dni * dhi
		}
	}
	f := a.views
	if beamHoriz > 0 {
		f.BeamRatio = beam / beamHoriz
	}
	if circumWeight > 0 {
		f.CircumRatio = circum / circumWeight
	}
	return f
}

// PlaneOfArrayWm2 is the effective irradiance on a plane by the model of Hay &
// Davies 1980 (see [HayDaviesSkyWm2]) from the means over a step: ghi, its
// diffuse part dhi and the extraterrestrial i0h, all on the horizontal, with
// 0 <= dhi <= ghi. Beam beyond the extraterrestrial counts as diffuse; and
// where ghi itself exceeds it (a reading out of step with the sun) the
// circumsolar share shrinks, so that a low sun cannot blow it up. Never
// negative; allocates nothing.
func PlaneOfArrayWm2(ghiWm2, dhiWm2, i0hWm2 float64, f PlaneFactors, albedo float64) float64 {
	beam := ghiWm2 - dhiWm2
	ground := ghiWm2 * albedo * f.GroundView
	if beam <= 0 || i0hWm2 <= 0 {
		return ghiWm2*f.SkyView + ground
	}
	if beam > i0hWm2 {
		beam, dhiWm2 = i0hWm2, ghiWm2-i0hWm2
	}
	circumsolar := dhiWm2 * (beam / max(i0hWm2, ghiWm2))
	return beam*f.BeamRatio + circumsolar*f.CircumRatio + (dhiWm2-circumsolar)*f.SkyView + ground
}

// PlaneOfArrayPerezWm2 is the same by the model of Perez et al. 1990 (see
// [Perez1990]), for the step's sun iv: the zenith is that of the centre of the
// light. Dearer than [PlaneOfArrayWm2].
func PlaneOfArrayPerezWm2(ghiWm2, dhiWm2 float64, iv Interval, f PlaneFactors, albedo float64) float64 {
	beam := ghiWm2 - dhiWm2
	ground := ghiWm2 * albedo * f.GroundView
	if iv.I0HorizWm2 <= 0 || dhiWm2 <= 0 || ghiWm2 > iv.I0HorizWm2 || iv.ZenithDeg >= 90 {
		return PlaneOfArrayWm2(ghiWm2, dhiWm2, iv.I0HorizWm2, f, albedo)
	}
	beam = max(beam, 0)
	cosZ := math.Cos(iv.ZenithDeg * deg)
	// While the sun is up: means over the step divided by the mean cosine, times
	// the cosine at the centre.
	diffuse := dhiWm2 / iv.CosZ * cosZ
	brightness := diffuse * relativeAirmass(cosZ, iv.ZenithDeg) / (iv.I0HorizWm2 / iv.CosZ)
	f1, f2 := perezBrightness(iv.ZenithDeg*deg, beam/(dhiWm2*cosZ), brightness)
	circumsolar := f1 * f.CircumRatio * max(cosZ, minCosZ) / max(cosZ, perezMinCosZ)
	sky := dhiWm2 * ((1-f1)*f.SkyView + circumsolar + f2*f.HorizonView)
	return beam*f.BeamRatio + max(0, sky) + ground
}

// headings is the number of azimuths, relative to the sun and on one side of
// it, that stand for every heading of a HeadingAveraged plane.
const headings = 12

var headingCosines = func() (c [headings]float64) {
	for i := range c {
		c[i] = math.Cos(math.Pi * (float64(i) + 0.5) / headings)
	}
	return c
}()

// aim is a plane made ready for the sum over samples.
type aim struct {
	mount         Mount
	sinT, cosT    float64
	east, north   float64 // horizontal unit vector of the azimuth
	ar, fullScale float64 // Martin & Ruiz: coefficient and 1/(1-exp(-1/ar)); ar 0: none
	views         PlaneFactors

	// Turned: the day's track at transit, the transit and the sunrise in
	// seconds relative to the samples, and the length of one span.
	day                       track
	transitS, sunriseS, spanS float64
	turns, aimedSpan          int
	aimed                     bool
}

func newAim(pl Plane) aim {
	a := aim{mount: pl.Mount, turns: max(1, pl.TurnsPerDay)}
	a.sinT, a.cosT = math.Sincos(pl.TiltDeg * deg)
	a.east, a.north = math.Sincos(pl.AzimuthDeg * deg)
	skyLoss, groundLoss := 1.0, 1.0
	if pl.AngularLossAr >= 0 {
		a.ar = pl.AngularLossAr
		if a.ar == 0 {
			a.ar = GlassMartinRuiz
		}
		a.fullScale = 1 / (1 - math.Exp(-1/a.ar))
		skyLoss, groundLoss = IAMMartinRuizDiffuse(pl.TiltDeg, a.ar)
	}
	a.views.SkyView = (1 + a.cosT) / 2 * skyLoss
	a.views.GroundView = (1 - a.cosT) / 2 * groundLoss
	a.views.HorizonView = a.sinT * skyLoss
	return a
}

// effectiveCosine is max(0, cos incidence) times the beam's angular loss.
func (a *aim) effectiveCosine(s *sample) float64 {
	up, side := a.cosT*s.cosZ, a.sinT*s.sinZ
	if a.mount == HeadingAveraged && a.sinT > 0 {
		sum := 0.0
		for _, c := range headingCosines {
			sum += a.lossy(up + side*c)
		}
		return sum / headings
	}
	if a.mount == Turned {
		a.turnTo(s.dtS)
	}
	return a.lossy(up + side*(a.east*s.east+a.north*s.north))
}

func (a *aim) lossy(cosAOI float64) float64 {
	if cosAOI <= 0 {
		return 0
	}
	if a.ar == 0 {
		return cosAOI
	}
	return cosAOI * (1 - math.Exp(-cosAOI/a.ar)) * a.fullScale
}

// followDay prepares the turns of the solar day around the middle of a part.
func (a *aim) followDay(tr *track, p Place) {
	a.transitS = -tr.hourAngleRad / tr.hourRateRadPerS
	a.day = trackAt(tr.days+a.transitS/86400, p)
	cosWs := (sinSunrise - a.day.sinLat*a.day.sinDec) / max(a.day.cosLat*a.day.cosDec, 1e-9)
	halfDay := math.Acos(clamp(cosWs, -1, 1)) / a.day.hourRateRadPerS
	a.sunriseS = a.transitS - halfDay
	a.spanS = max(2*halfDay/float64(a.turns), 1)
	a.aimed = false
}

// turnTo faces the sun as it stands in the middle of the span that holds dtS.
func (a *aim) turnTo(dtS float64) {
	k := int(clamp(math.Floor((dtS-a.sunriseS)/a.spanS), 0, float64(a.turns-1)))
	if a.aimed && k == a.aimedSpan {
		return
	}
	a.aimedSpan, a.aimed = k, true
	middle := a.sunriseS + (float64(k)+0.5)*a.spanS
	h := a.day.hourRateRadPerS * (middle - a.transitS)
	sinH, cosH := math.Sincos(h)
	east, north := -a.day.cosDec*sinH, a.day.cosLat*a.day.sinDec-a.day.sinLat*a.day.cosDec*cosH
	if length := math.Hypot(east, north); length > 1e-9 {
		a.east, a.north = east/length, north/length
	}
}
