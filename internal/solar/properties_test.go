package solar

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var (
	anyTime = rapid.Custom(func(t *rapid.T) time.Time {
		from := time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
		to := time.Date(2101, 1, 1, 0, 0, 0, 0, time.UTC).Unix()
		return time.Unix(rapid.Int64Range(from, to-1).Draw(t, "unix"), rapid.Int64Range(0, 999999999).Draw(t, "ns"))
	})
	anyPlace = rapid.Custom(func(t *rapid.T) Place {
		edge := func(limit float64) *rapid.Generator[float64] {
			return rapid.OneOf(rapid.SampledFrom([]float64{-limit, 0, limit}), rapid.Float64Range(-limit, limit))
		}
		return Place{edge(90).Draw(t, "lat"), edge(180).Draw(t, "lon"), rapid.Float64Range(-400, 6000).Draw(t, "elevation")}
	})
	anyPlane = rapid.Custom(func(t *rapid.T) Plane {
		return Plane{
			Mount:         rapid.SampledFrom([]Mount{Fixed, HeadingAveraged, Turned}).Draw(t, "mount"),
			TiltDeg:       rapid.Float64Range(0, 90).Draw(t, "tilt"),
			AzimuthDeg:    rapid.Float64Range(0, 360).Draw(t, "azimuth"),
			TurnsPerDay:   rapid.IntRange(0, 12).Draw(t, "turns"),
			AngularLossAr: rapid.SampledFrom([]float64{-1, 0, 0.16, 0.2}).Draw(t, "ar"),
		}
	})
	anyStep = rapid.Custom(func(t *rapid.T) time.Duration {
		return time.Duration(rapid.Int64Range(1, 24*3600).Draw(t, "step s")) * time.Second
	})
)

func finite(t assert.TestingT, values ...float64) {
	for _, v := range values {
		assert.False(t, math.IsNaN(v) || math.IsInf(v, 0), "not finite: %v", values)
	}
}

func TestPositionIsFiniteAndInRangeEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pos := PositionAt(anyTime.Draw(t, "t"), anyPlace.Draw(t, "place"))
		finite(t, pos.ZenithDeg, pos.ApparentZenithDeg, pos.AzimuthDeg, pos.DeclinationDeg, pos.DistanceAU, pos.EquationOfTimeMin)
		require.True(t, pos.ZenithDeg >= 0 && pos.ZenithDeg <= 180.01, pos)
		require.True(t, pos.AzimuthDeg >= 0 && pos.AzimuthDeg <= 360, pos)
		require.True(t, math.Abs(pos.DeclinationDeg) < 23.46, pos)
		require.True(t, math.Abs(pos.EquationOfTimeMin) < 17, pos)
		require.InDelta(t, 1, pos.DistanceAU, 0.0172)
		require.LessOrEqual(t, pos.ApparentZenithDeg, pos.ZenithDeg+1e-3, "air lifts the sun")
		require.Less(t, pos.ZenithDeg-pos.ApparentZenithDeg, 0.8)
	})
}

func TestEventsAreOrderedEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := anyPlace.Draw(t, "place")
		ev := EventsOn(anyTime.Draw(t, "t"), p)
		finite(t, ev.DaylightH)
		require.True(t, ev.DaylightH >= 0 && ev.DaylightH <= 24, ev)
		require.False(t, ev.PolarDay && ev.PolarNight)
		if !ev.Sunrise.IsZero() && !ev.Sunset.IsZero() {
			require.True(t, !ev.Sunrise.After(ev.Transit) && !ev.Sunset.Before(ev.Transit), ev)
			require.InDelta(t, ev.Sunset.Sub(ev.Sunrise).Hours(), ev.DaylightH, 1e-6)
		}
	})
}

func TestClearSkyStaysBelowTheExtraterrestrial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z := rapid.Float64Range(0, 180).Draw(t, "zenith")
		alt := rapid.Float64Range(-400, 6000).Draw(t, "altitude")
		linke := rapid.Float64Range(1, 12).Draw(t, "linke")
		ghi, dni, dhi := IneichenPerez(z, AbsoluteAirmass(z, alt), linke, alt, 1400)
		finite(t, ghi, dni, dhi)
		require.True(t, min(ghi, dni, dhi) >= 0, "%v %v %v", ghi, dni, dhi)
		require.LessOrEqual(t, dni, 1400.0)
		require.InDelta(t, ghi, dni*max(0, math.Cos(z*deg))+dhi, 1e-9)
	})
}

func TestIntervalsAndPlanesAreFiniteAndBoundedEverywhere(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at, p, step := anyTime.Draw(t, "t"), anyPlace.Draw(t, "place"), anyStep.Draw(t, "step")
		linke := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1, 10)).Draw(t, "linke")
		iv := IntervalAt(at, step, p, linke)
		finite(t, iv.CosZ, iv.I0HorizWm2, iv.ClearGHIWm2, iv.ClearDHIWm2, iv.Up, iv.ZenithDeg, iv.AzimuthDeg)
		require.True(t, iv.CosZ >= 0 && iv.CosZ <= 1, iv)
		require.True(t, iv.Up >= 0 && iv.Up <= 1, iv)
		require.True(t, iv.I0HorizWm2 >= 0 && iv.I0HorizWm2 <= 1.035*SolarConstantWm2, iv)
		require.True(t, iv.ClearDHIWm2 >= 0 && iv.ClearDHIWm2 <= iv.ClearGHIWm2+1e-9, iv)
		require.LessOrEqual(t, iv.ClearGHIWm2-iv.ClearDHIWm2, iv.I0HorizWm2+1e-9, "beam below extraterrestrial")

		pl := anyPlane.Draw(t, "plane")
		f := PlaneFactorsAt(at, step, p, pl, linke)
		finite(t, f.BeamRatio, f.CircumRatio, f.SkyView, f.GroundView)
		require.True(t, min(f.BeamRatio, f.CircumRatio, f.SkyView, f.GroundView) >= 0, f)
		require.LessOrEqual(t, f.CircumRatio, 1/minCosZ+1e-9)
		require.LessOrEqual(t, iv.I0HorizWm2*f.BeamRatio, 1.035*SolarConstantWm2*iv.Up+1e-6, "beam on the plane too")
		require.True(t, f.SkyView <= 1 && f.GroundView <= 0.5, f)

		// Any weather under this sun, measured or made up.
		ghi := rapid.Float64Range(0, 1500).Draw(t, "ghi")
		dhi := rapid.Float64Range(0, 1).Draw(t, "diffuse") * ghi
		poa := PlaneOfArrayWm2(ghi, dhi, iv.I0HorizWm2, f, rapid.Float64Range(0, 1).Draw(t, "albedo"))
		finite(t, poa)
		require.GreaterOrEqual(t, poa, 0.0)
		perez := PlaneOfArrayPerezWm2(ghi, dhi, iv, f, 0.2)
		finite(t, perez)
		require.GreaterOrEqual(t, perez, 0.0)
		require.LessOrEqual(t, poa, 1.5*ghi+2.5*SolarConstantWm2*iv.Up, "a low sun does not blow it up")
		beam := PlaneOfArrayWm2(ghi, 0, iv.I0HorizWm2, PlaneFactors{BeamRatio: 1}, 0)
		require.LessOrEqual(t, beam, iv.I0HorizWm2+1e-9, "beam never beyond the extraterrestrial")
	})
}

// On a plane that gets at least as much of the beam as of the sky. (A plane
// turned from the sun does lose light when a bright overcast clears.)
func TestPlaneOfArrayGrowsWithClearness(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		i0 := rapid.Float64Range(1, 1400).Draw(t, "i0")
		k := rapid.Float64Range(0, 1.1).Draw(t, "kt")
		f := PlaneFactors{SkyView: rapid.Float64Range(0.45, 0.95).Draw(t, "sky")}
		f.BeamRatio = rapid.Float64Range(f.SkyView, 3).Draw(t, "rb")
		f.CircumRatio = f.BeamRatio
		at := func(kt float64) float64 {
			ghi := kt * i0
			return PlaneOfArrayWm2(ghi, SplitErbsWm2(ghi, i0), i0, f, 0.2)
		}
		// Erbs' fit itself falls by 0.002 where its pieces meet.
		require.GreaterOrEqual(t, at(k+0.02), at(k)*(1-0.005))
	})
}

// The southern sun half a year later is the northern sun, but for the orbit's
// eccentricity: 7 % in irradiance and some days in the length of the seasons.
func TestNorthAndSouthMirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.Float64Range(0, 55).Draw(t, "lat")
		n := rapid.Float64Range(1, 365).Draw(t, "day")
		mirrored := math.Mod(n+182.5, 365)
		north, south := DailyExtraterrestrialKWhM2(n, lat), DailyExtraterrestrialKWhM2(mirrored, -lat)
		require.InDelta(t, north, south, 0.08*max(north, south)+0.35)
	})
	// Exactly mirrored geometry, in closed form.
	for lat := 10.0; lat <= 90; lat += 10 {
		for dec := -23.0; dec <= 23; dec += 23 {
			assert.InDelta(t, HorizontalDayKWhM2(1361, dec, lat), HorizontalDayKWhM2(1361, -dec, -lat), 1e-12)
			assert.InDelta(t, DailyBeamRatio(lat, dec, 30), DailyBeamRatio(-lat, -dec, 30), 1e-9)
		}
	}
}

// At the instant of the equinox, planes mirrored at the equator see mirrored
// suns, at every local hour (every longitude).
func TestMirroredPlanesAtEquinox(t *testing.T) {
	equinox := utc("2024-03-20 03:06:00")
	for lon := -180.0; lon <= 180; lon += 15 {
		for _, lat := range []float64{10, 35, 60, 89} {
			n := PlaneFactorsAt(equinox.Add(-5*time.Minute), 10*time.Minute, Place{lat, lon, 0}, Plane{TiltDeg: 40, AzimuthDeg: 180}, 3)
			s := PlaneFactorsAt(equinox.Add(-5*time.Minute), 10*time.Minute, Place{-lat, lon, 0}, Plane{TiltDeg: 40, AzimuthDeg: 0}, 3)
			assert.InDelta(t, n.BeamRatio, s.BeamRatio, 0.001*max(1, n.BeamRatio), "%v %v", lon, lat)
			assert.InDelta(t, n.CircumRatio, s.CircumRatio, 0.001*max(1, n.CircumRatio), "%v %v", lon, lat)
			assert.Equal(t, n.SkyView, s.SkyView)
		}
	}
}

func TestTranspositionModelsNeverGoNegative(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		z, tilt := rapid.Float64Range(0, 89.9).Draw(t, "zenith"), rapid.Float64Range(0, 90).Draw(t, "tilt")
		dni, dhi := rapid.Float64Range(0, 1361).Draw(t, "dni"), rapid.Float64Range(0, 800).Draw(t, "dhi")
		cosZ := math.Cos(z * deg)
		cosAOI := CosIncidence(z, rapid.Float64Range(0, 360).Draw(t, "sun"), tilt, rapid.Float64Range(0, 360).Draw(t, "plane"))
		ghi := dhi + dni*cosZ
		for _, sky := range []float64{
			IsotropicSkyWm2(tilt, dhi),
			HayDaviesSkyWm2(tilt, cosAOI, cosZ, dni, dhi, 1361),
			HDKRSkyWm2(tilt, cosAOI, cosZ, ghi, dni, dhi, 1361),
			Perez1990(tilt, cosAOI, z, dni, dhi, 1361, RelativeAirmass(z)).TotalWm2(),
			GroundReflectedWm2(tilt, ghi, 0.2),
		} {
			finite(t, sky)
			require.GreaterOrEqual(t, sky, 0.0)
		}
	})
}

func TestIncidenceLossesStayWithinZeroAndOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		aoi := rapid.Float64Range(-180, 180).Draw(t, "aoi")
		sky, ground := IAMMartinRuizDiffuse(rapid.Float64Range(-10, 190).Draw(t, "tilt"), rapid.Float64Range(0.1, 0.3).Draw(t, "ar"))
		for _, v := range []float64{IAMASHRAE(aoi, 0.05), IAMMartinRuiz(aoi, 0.16), sky, ground} {
			finite(t, v)
			require.True(t, v >= 0 && v <= 1, v)
		}
	})
}
