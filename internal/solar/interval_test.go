package solar

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// minuteDay is one UTC day by plain one-minute integration: position, clear
// sky and transposition at the middle of each minute, from the exported
// functions that the reference tables check. kWh/m2.
type minuteDay struct {
	cosZ, i0, ghi, dhi float64
	poa                []float64
}

const testLinke = 3.0

func sumMinutes(day time.Time, p Place, planes []Plane, albedo float64) minuteDay {
	d := minuteDay{poa: make([]float64, len(planes))}
	for minute := range 1440 {
		at := day.Add(time.Duration(minute)*time.Minute + 30*time.Second)
		pos := PositionAt(at, p)
		z := pos.ApparentZenithDeg
		if z >= 90 {
			continue
		}
		cosZ, i0 := math.Cos(z*deg), SolarConstantWm2/(pos.DistanceAU*pos.DistanceAU)
		ghi, dni, dhi := IneichenPerez(z, AbsoluteAirmass(z, p.ElevationM), testLinke, p.ElevationM, i0)
		d.cosZ += cosZ / 1440
		d.i0 += i0 * cosZ / 60000
		d.ghi += ghi / 60000
		d.dhi += dhi / 60000
		for i, pl := range planes {
			d.poa[i] += minutePOA(at, p, pl, pos, ghi, dni, dhi, i0, albedo) / 60000
		}
	}
	return d
}

// minutePOA is Hay & Davies with the Martin & Ruiz losses at one instant.
func minutePOA(at time.Time, p Place, pl Plane, pos Position, ghi, dni, dhi, i0, albedo float64) float64 {
	z := pos.ApparentZenithDeg
	azimuths := []float64{pl.AzimuthDeg}
	switch pl.Mount {
	case HeadingAveraged:
		azimuths = nil
		for a := 0.0; a < 360; a += 10 {
			azimuths = append(azimuths, a)
		}
	case Turned:
		ev := EventsAround(at, p)
		rise, length := ev.Transit.Add(-12*time.Hour), 24*time.Hour
		if !ev.PolarDay {
			rise, length = ev.Sunrise, ev.Sunset.Sub(ev.Sunrise)
		}
		span := length / time.Duration(pl.TurnsPerDay)
		k := min(max(int(at.Sub(rise)/span), 0), pl.TurnsPerDay-1)
		azimuths[0] = PositionAt(rise.Add(span*time.Duration(k)+span/2), p).AzimuthDeg
	}
	iamSky, iamGround := IAMMartinRuizDiffuse(pl.TiltDeg, GlassMartinRuiz)
	cosT := math.Cos(pl.TiltDeg * deg)
	sum := 0.0
	for _, azimuth := range azimuths {
		c := CosIncidence(z, pos.AzimuthDeg, pl.TiltDeg, azimuth)
		beam := math.Max(0, c) * IAMMartinRuiz(rad*math.Acos(c), GlassMartinRuiz)
		a := dni / i0
		sum += dni*beam + dhi*a*beam/math.Max(math.Cos(z*deg), 0.01745)
	}
	a := dni / i0
	return sum/float64(len(azimuths)) + dhi*(1-a)*(1+cosT)/2*iamSky + ghi*albedo*(1-cosT)/2*iamGround
}

func sumSteps(day time.Time, step time.Duration, p Place, planes []Plane, albedo float64) minuteDay {
	d := minuteDay{poa: make([]float64, len(planes))}
	hours := step.Hours() / 1000
	for at := day; at.Before(day.AddDate(0, 0, 1)); at = at.Add(step) {
		iv := IntervalAt(at, step, p, testLinke)
		d.cosZ += iv.CosZ * step.Hours() / 24
		d.i0 += iv.I0HorizWm2 * hours
		d.ghi += iv.ClearGHIWm2 * hours
		d.dhi += iv.ClearDHIWm2 * hours
		for i, pl := range planes {
			f := PlaneFactorsAt(at, step, p, pl, testLinke)
			d.poa[i] += PlaneOfArrayWm2(iv.ClearGHIWm2, iv.ClearDHIWm2, iv.I0HorizWm2, f, albedo) * hours
		}
	}
	return d
}

var testPlanes = []Plane{
	{Mount: Fixed},
	{Mount: Fixed, TiltDeg: 35, AzimuthDeg: 180},
	{Mount: Fixed, TiltDeg: 90, AzimuthDeg: 90},
	{Mount: HeadingAveraged, TiltDeg: 10},
	{Mount: HeadingAveraged, TiltDeg: 60},
	{Mount: Turned, TiltDeg: 40, TurnsPerDay: 1},
	{Mount: Turned, TiltDeg: 60, TurnsPerDay: 4},
}

// The energy of a day in steps against one-minute integration, clear sky, at
// latitudes from pole to pole in all seasons: < 0.5 % at 15 minutes, < 2 % at 60.
func TestStepsHoldSunriseAndSunset(t *testing.T) {
	const albedo = 0.2
	for _, step := range []struct {
		length    time.Duration
		tolerance float64
	}{{15 * time.Minute, 0.005}, {time.Hour, 0.02}} {
		horizontal := deviations{name: fmt.Sprintf("horizontal, %v steps, rel", step.length)}
		tilted := deviations{name: fmt.Sprintf("plane of array, %v steps, rel", step.length)}
		for _, lat := range []float64{-90, -77.85, -54.8, -23.4, 0, 31, 52.5, 66.6, 69.65, 78.2, 90} {
			for _, date := range []string{"2024-01-25", "2024-03-20", "2024-05-16", "2024-06-21", "2024-08-25", "2024-11-10", "2024-12-21"} {
				day := utc(date + " 00:00:00")
				p := Place{LatDeg: lat, LonDeg: 18.3, ElevationM: 300}
				want, got := sumMinutes(day, p, testPlanes, albedo), sumSteps(day, step.length, p, testPlanes, albedo)
				if want.ghi < 0.01 { // a day of less than 10 Wh/m2
					assert.InDelta(t, want.ghi, got.ghi, 1e-4)
					continue
				}
				what := fmt.Sprint(lat, " ", date)
				horizontal.add(got.cosZ/want.cosZ, 1, what, "cos z")
				horizontal.add(got.i0/want.i0, 1, what, "I0")
				horizontal.add(got.ghi/want.ghi, 1, what, "GHI")
				horizontal.add(got.dhi/want.dhi, 1, what, "DHI")
				for i := range testPlanes {
					tilted.add(got.poa[i]/want.poa[i], 1, what, fmt.Sprintf("%+v", testPlanes[i]))
				}
			}
		}
		horizontal.within(t, step.tolerance)
		tilted.within(t, step.tolerance)
	}
}

func TestIntervalMeansAddUpOverAnyCut(t *testing.T) {
	p := Place{52, 13, 40}
	start := utc("2024-04-03 03:10:00")
	whole := IntervalAt(start, 7*time.Hour, p, 3.2)
	var sum Interval
	for i := range 28 {
		iv := IntervalAt(start.Add(time.Duration(i)*15*time.Minute), 15*time.Minute, p, 3.2)
		sum.CosZ += iv.CosZ / 28
		sum.Up += iv.Up / 28
		sum.ClearGHIWm2 += iv.ClearGHIWm2 / 28
		sum.ClearDHIWm2 += iv.ClearDHIWm2 / 28
	}
	assert.InEpsilon(t, whole.CosZ, sum.CosZ, 1e-5)
	assert.InDelta(t, whole.Up, sum.Up, 1e-6)
	assert.InEpsilon(t, whole.ClearGHIWm2, sum.ClearGHIWm2, 1e-3)
	assert.InEpsilon(t, whole.ClearDHIWm2, sum.ClearDHIWm2, 1e-3)
}

func TestShareOfSunlitTimeIsDaylight(t *testing.T) {
	for _, lat := range []float64{-66, -35, 0, 48, 65, 69.65} {
		for day := 0; day < 365; day += 13 {
			p := Place{LatDeg: lat, LonDeg: -70}
			ev := EventsOn(utc("2024-01-01 00:00:00").AddDate(0, 0, day), p)
			start := ev.Transit.Add(-12 * time.Hour)
			up := 0.0
			for i := range 96 {
				up += IntervalAt(start.Add(time.Duration(i)*15*time.Minute), 15*time.Minute, p, 3).Up / 4
			}
			assert.InDelta(t, ev.DaylightH, up, 0.02, "%v %v", lat, day)
		}
	}
}

// Outside the air the steps of a day sum to H0 of Spencer's series, a little
// more by refraction: within 1.5 % up to 40 degrees, 3.5 % in the low winter sun of 55.
func TestStepsSumToDailyExtraterrestrial(t *testing.T) {
	low, high := deviations{name: "day of I0 against H0, to 40 deg, rel"}, deviations{name: "same to 55 deg"}
	for lat := -55.0; lat <= 55; lat += 5 {
		for day := 0; day < 365; day += 7 {
			noon := EventsOn(utc("2023-01-01 00:00:00").AddDate(0, 0, day), Place{LatDeg: lat}).Transit
			iv := IntervalAt(noon.Add(-12*time.Hour), 24*time.Hour, Place{LatDeg: lat}, 3)
			h0 := DailyExtraterrestrialKWhM2(float64(noon.YearDay()), lat)
			high.add(iv.I0HorizWm2*24/1000/h0, 1, fmt.Sprint(lat, " ", day))
			if math.Abs(lat) <= 40 {
				low.add(iv.I0HorizWm2*24/1000/h0, 1, fmt.Sprint(lat, " ", day))
			}
		}
	}
	low.within(t, 0.015)
	high.within(t, 0.035)
}

func TestDirectionOfIntervalIsWhereTheLightIs(t *testing.T) {
	p := Place{40, 0, 0}
	noon := EventsOn(utc("2024-06-21 00:00:00"), p).Transit
	iv := IntervalAt(noon.Add(-30*time.Minute), time.Hour, p, 3)
	assert.InDelta(t, 180, iv.AzimuthDeg, 1)
	assert.InDelta(t, 16.6, iv.ZenithDeg, 0.1)
	night := IntervalAt(noon.Add(12*time.Hour), 15*time.Minute, p, 3)
	assert.Greater(t, night.ZenithDeg, 90.0)
	assert.Zero(t, night.CosZ+night.ClearGHIWm2+night.Up+night.I0HorizWm2)
}

// Above 2000 m the clear sky stays as it is there (see maxClearSkyHeightM).
func TestClearSkyOfHighPlacesStaysPlausible(t *testing.T) {
	noon := EventsOn(utc("2024-02-20 00:00:00"), Place{LatDeg: -12}).Transit
	for _, height := range []float64{2000, 3500, 5000, 6000} {
		iv := IntervalAt(noon.Add(-30*time.Minute), time.Hour, Place{-12, 0, height}, 0)
		assert.InDelta(t, 0.88, iv.ClearGHIWm2/iv.I0HorizWm2, 0.03, height)
	}
}

func TestZeroTurbidityTakesTheRule(t *testing.T) {
	p, at := Place{30, 31, 100}, utc("2024-07-15 10:00:00")
	rule := IntervalAt(at, time.Hour, p, 0)
	same := IntervalAt(at, time.Hour, p, LinkeTurbidity(p, 7))
	assert.InEpsilon(t, same.ClearGHIWm2, rule.ClearGHIWm2, 1e-3)
}

func TestPlaneMountsBehave(t *testing.T) {
	p := Place{45, 10, 0}
	ev := EventsOn(utc("2024-04-20 00:00:00"), p)
	energy := func(pl Plane) float64 {
		return sumSteps(ev.Transit.Add(-12*time.Hour), 15*time.Minute, p, []Plane{pl}, 0.2).poa[0]
	}

	flat := energy(Plane{})
	assert.InDelta(t, flat, energy(Plane{Mount: HeadingAveraged}), 1e-9, "a flat panel has no heading")
	south := energy(Plane{TiltDeg: 40, AzimuthDeg: 180})
	north := energy(Plane{TiltDeg: 40, AzimuthDeg: 0})
	averaged := energy(Plane{Mount: HeadingAveraged, TiltDeg: 40})
	assert.Greater(t, south, flat)
	assert.Less(t, north, averaged)
	assert.Less(t, averaged, south)
	mean := 0.0
	for a := 0.0; a < 360; a += 15 {
		mean += energy(Plane{TiltDeg: 40, AzimuthDeg: a}) / 24
	}
	assert.InEpsilon(t, mean, averaged, 0.002, "the mean over all headings")

	assert.InEpsilon(t, south, energy(Plane{Mount: Turned, TiltDeg: 40, TurnsPerDay: 1}), 0.002, "one turn faces noon")
	last := south
	for turns := 2; turns <= 6; turns++ {
		next := energy(Plane{Mount: Turned, TiltDeg: 40, TurnsPerDay: turns})
		assert.Greater(t, next, last*0.999, "more turns, more light")
		last = next
	}
	assert.Greater(t, last, 1.08*south)
	assert.Equal(t, energy(Plane{Mount: Turned, TiltDeg: 40, TurnsPerDay: 1}), energy(Plane{Mount: Turned, TiltDeg: 40}), "no turns: one")
}

func TestAngularLossCanBeSwitchedOff(t *testing.T) {
	p, at := Place{45, 10, 0}, utc("2024-04-20 11:00:00")
	f := PlaneFactorsAt(at, time.Hour, p, Plane{AngularLossAr: -1}, 3)
	assert.InDelta(t, 1, f.BeamRatio, 1e-12)
	assert.InDelta(t, 1, f.CircumRatio, 1e-12)
	assert.Equal(t, PlaneFactors{f.BeamRatio, f.CircumRatio, 1, 0, 0}, f)
	assert.InDelta(t, 777, PlaneOfArrayWm2(777, 100, 1000, PlaneFactors{1, 1, 1, 0, 0}, 0.2), 1e-9, "flat and lossless: GHI")
	glass := PlaneFactorsAt(at, time.Hour, p, Plane{}, 3)
	assert.Less(t, glass.BeamRatio, 1.0)
	coated := PlaneFactorsAt(at, time.Hour, p, Plane{AngularLossAr: 0.12}, 3)
	assert.Greater(t, coated.BeamRatio, glass.BeamRatio)
}

func TestShadeTakesBeamAndSky(t *testing.T) {
	f := PlaneFactors{1.2, 1.1, 0.9, 0.1, 0.4}
	assert.Equal(t, f, f.Shaded(0, 0))
	assert.Equal(t, PlaneFactors{}, f.Shaded(1, 1))
	half := f.Shaded(0.5, 0.25)
	assert.InDeltaSlice(t, []float64{0.6, 0.55, 0.675, 0.075, 0.3},
		[]float64{half.BeamRatio, half.CircumRatio, half.SkyView, half.GroundView, half.HorizonView}, 1e-12)
	open, shaded := PlaneOfArrayWm2(800, 200, 1000, f, 0.2), PlaneOfArrayWm2(800, 200, 1000, f.Shaded(1, 0), 0.2)
	require.InDelta(t, 600*1.2+200*0.6*1.1, open-shaded, 1e-9, "full beam shade leaves sky and ground")
}

func TestStepLoopAllocatesNothing(t *testing.T) {
	p, at := Place{45, 10, 0}, utc("2024-04-20 05:00:00")
	pl := Plane{Mount: Turned, TiltDeg: 40, TurnsPerDay: 4}
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		iv := IntervalAt(at, 15*time.Minute, p, 3)
		f := PlaneFactorsAt(at, 15*time.Minute, p, pl, 3)
		sink += PanelW(200, PlaneOfArrayWm2(iv.ClearGHIWm2, iv.ClearDHIWm2, iv.I0HorizWm2, f, 0.2), 20, DefaultPanel)
	}))
}

var sink float64
