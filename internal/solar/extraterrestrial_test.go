package solar

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestExtraterrestrialAgreesWithReferenceTable(t *testing.T) {
	normal := deviations{name: "extraterrestrial normal, rel"}
	normalDuffie := deviations{name: "same, 1367, one term, rel"}
	h0 := deviations{name: "H0 Spencer 1361, MJ/m2"}
	h0Duffie := deviations{name: "H0 Cooper 1367, MJ/m2"}
	decl := deviations{name: "declination, deg"}
	ws := deviations{name: "sunset hour angle, deg"}
	for _, r := range table(t, "extraterrestrial.csv") {
		n := r.f("n")
		normal.relative(ExtraterrestrialNormalWm2(n), r.f("ext_normal_1361_spencer"))
		normalDuffie.relative(ExtraterrestrialNormalDuffieWm2(n), r.f("ext_normal_1367_duffie"))
		decl.add(DeclinationCooperDeg(n), r.f("decl_cooper"))
		decl.add(DeclinationSpencerDeg(n), r.f("decl_spencer"))
		if r.text("kind") == "H0" {
			lat := r.f("lat")
			h0.add(3.6*DailyExtraterrestrialKWhM2(n, lat), r.f("H0_spencer1361_MJ_m2"), r.text("lat"), r.text("n"))
			cooper := DeclinationCooperDeg(n)
			h0Duffie.add(3.6*HorizontalDayKWhM2(ExtraterrestrialNormalDuffieWm2(n), cooper, lat), r.f("H0_MJ_m2"))
			ws.add(SunsetHourAngleDeg(lat, cooper), r.f("ws_cooper"))
		}
	}
	normal.within(t, 1e-6)
	normalDuffie.within(t, 1e-6)
	h0.within(t, 2e-6)
	h0Duffie.within(t, 2e-6)
	decl.within(t, 1e-6)
	ws.within(t, 1e-6)
}

func TestSpencerEquationOfTimeAgreesWithReferenceTable(t *testing.T) {
	d := deviations{name: "equation of time, Spencer, min"}
	for _, r := range table(t, "solar_position.csv") {
		d.add(EquationOfTimeSpencerMin(float64(r.time("utc").YearDay())), r.f("eot_spencer_min"))
	}
	d.within(t, 1e-6)
}

// Klein 1977, Solar Energy 19: 325, as printed in Duffie & Beckman Table 1.6.1
// (days checked against a public copy, declinations from memory).
func TestKlein1977MeanDays(t *testing.T) {
	for i, m := range MeanDays {
		date := time.Date(2023, time.Month(i+1), m.Day, 0, 0, 0, 0, time.UTC)
		assert.Equal(t, date.YearDay(), m.DayOfYear)
		assert.InDelta(t, m.DeclinationDeg, DeclinationCooperDeg(float64(m.DayOfYear)), 0.06)
		// What makes them mean days: H0 near the month's mean, here at 35 N and S.
		for _, lat := range []float64{35, -35} {
			sum, days := 0.0, 0.0
			for d := date.AddDate(0, 0, 1-m.Day); d.Month() == date.Month(); d = d.AddDate(0, 0, 1) {
				sum, days = sum+DailyExtraterrestrialKWhM2(float64(d.YearDay()), lat), days+1
			}
			assert.InEpsilon(t, sum/days, DailyExtraterrestrialKWhM2(float64(m.DayOfYear), lat), 0.015, "%d at %v", i+1, lat)
		}
	}
}

// Duffie & Beckman, 4th ed.: examples 1.5.1 to 1.6.3 (inputs of 1.6.1 and
// 1.6.3 checked against public copies, the others from memory).
func TestDuffieBeckmanSunAngles(t *testing.T) {
	// 1.5.1: Madison (89.4 W, standard meridian 90 W), February 3, 10:30 -> 10:19 solar.
	e := EquationOfTimeSpencerMin(34)
	assert.InDelta(t, -13.5, e, 0.6)
	assert.InDelta(t, 10*60+19, 10*60+30+4*(90-89.4)+e, 0.6)
	// The same from the exact position.
	pos := PositionAt(time.Date(2023, 2, 3, 16, 30, 0, 0, time.UTC), Place{43.1, -89.4, 0})
	assert.InDelta(t, -13.5, pos.EquationOfTimeMin, 0.6)

	// 1.6.1: 43 N, February 13, 10:30 solar, slope 45, 15 degrees west of south.
	assert.InDelta(t, -14, DeclinationCooperDeg(44), 0.1)
	z, az := sunAngles(43, DeclinationCooperDeg(44), -22.5)
	assert.InDelta(t, 0.817, CosIncidence(z, az, 45, 195), 0.001)
	assert.InDelta(t, 35, rad*math.Acos(CosIncidence(z, az, 45, 195)), 0.3)

	// 1.6.2: 43 N, (a) February 13, 9:30, (b) July 1, 18:30.
	z, az = sunAngles(43, DeclinationCooperDeg(44), -37.5)
	assert.InDelta(t, 66.5, z, 0.2)
	assert.InDelta(t, 180-40.0, az, 0.2)
	z, az = sunAngles(43, DeclinationCooperDeg(182), 97.5)
	assert.InDelta(t, 79.6, z, 0.2)
	assert.InDelta(t, 180+112.0, az, 0.2)

	// 1.6.3: 43 N, March 16, 16:00 solar; slope 60, 25 degrees west of south.
	d := DeclinationCooperDeg(75)
	assert.InDelta(t, -2.4, d, 0.2)
	assert.InDelta(t, 87.8, SunsetHourAngleDeg(43, d), 0.2)
	z, az = sunAngles(43, d, 60)
	assert.InDelta(t, 70.3, z, 0.2)
	assert.InDelta(t, 180+66.8, az, 0.2)
	profile := rad * math.Atan(math.Tan((90-z)*deg)/math.Cos((az-205)*deg))
	assert.InDelta(t, 25.7, profile, 0.2)
}

// sunAngles is the closed form for a declination and hour angle (Duffie &
// Beckman eqs. 1.6.5 and 1.6.6), azimuth from north.
func sunAngles(latDeg, decDeg, hourDeg float64) (zenithDeg, azimuthDeg float64) {
	sl, cl := math.Sincos(latDeg * deg)
	sd, cd := math.Sincos(decDeg * deg)
	sh, ch := math.Sincos(hourDeg * deg)
	return rad * math.Acos(sl*sd+cl*cd*ch), positiveDeg(rad * math.Atan2(-cd*sh, cl*sd-sl*cd*ch))
}

// Duffie & Beckman examples 1.8.1 to 1.10.2.
func TestDuffieBeckmanBeamRatioAndH0(t *testing.T) {
	ratio := func(lat, dec, hour, tilt, azimuth float64) float64 {
		z, az := sunAngles(lat, dec, hour)
		return BeamRatio(CosIncidence(z, az, tilt, azimuth), math.Cos(z*deg))
	}
	assert.InDelta(t, 1.66, ratio(43, DeclinationCooperDeg(44), -22.5, 45, 195), 0.01, "1.8.1")
	assert.InDelta(t, 1.61, ratio(40, DeclinationCooperDeg(47), -37.5, 30, 180), 0.02, "1.8.2")
	assert.InDelta(t, 1.79, ratio(40, DeclinationCooperDeg(47), -37.5, 50, 180), 0.02, "1.8.3")

	n, dec := ExtraterrestrialNormalDuffieWm2(105), DeclinationCooperDeg(105)
	assert.InDelta(t, 33.8, 3.6*HorizontalDayKWhM2(n, dec, 43), 0.1, "1.10.1: 43 N, April 15")
	assert.InDelta(t, 3.79, 3.6*HorizontalHoursKWhM2(n, dec, 43, -30, -15), 0.01, "1.10.2: 10 to 11 h")
}
