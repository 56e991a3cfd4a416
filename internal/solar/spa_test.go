package solar

import (
	"math"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The full Solar Position Algorithm of Reda & Andreas 2004 (NREL/TP-560-34302,
// revised 2008), written from the report's equations, as the reference for the
// short one over all years. Its own check is the report's sample run.

type spaTables struct {
	series   map[string][]periodicTerm
	nutation [][9]float64
}

var loadSPA = sync.OnceValue(func() *spaTables { return &spaTables{series: map[string][]periodicTerm{}} })

func spa(t *testing.T) *spaTables {
	s := loadSPA()
	if len(s.nutation) > 0 {
		return s
	}
	for _, r := range table(t, "spa_terms.csv") {
		name := r.text("series")
		s.series[name] = append(s.series[name], periodicTerm{r.f("a"), r.f("b"), r.f("c")})
	}
	columns := []string{"y0", "y1", "y2", "y3", "y4", "a", "b", "c", "d"}
	for _, r := range table(t, "spa_nutation.csv") {
		var n [9]float64
		for i, c := range columns {
			n[i] = r.f(c)
		}
		s.nutation = append(s.nutation, n)
	}
	return s
}

type spaResult struct {
	lonDeg, latDeg, radiusAU     float64 // heliocentric L, B, R
	decDeg, hourAngleDeg         float64 // geocentric declination, observer's hour angle
	zenithDeg, apparentZenithDeg float64
	azimuthDeg, equationMin      float64
}

func polynomial(x float64, c ...float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

func positiveDeg(x float64) float64 { return x - 360*math.Floor(x/360) }

func (s *spaTables) sum(letter string, jme float64) float64 {
	total, power := 0.0, 1.0
	for _, digit := range "012345" {
		total += power * seriesSum(s.series[letter+string(digit)], jme)
		power *= jme
	}
	return total / 1e8
}

// at is the report's section 3, step by step. deltaT in s, pressure in hPa.
func (s *spaTables) at(t time.Time, p Place, deltaT, pressureHPa, tempC float64) spaResult {
	days := daysSinceJ2000(t)
	jc := days / 36525
	jce := (days + deltaT/86400) / 36525
	jme := jce / 10
	l := positiveDeg(s.sum("L", jme) * rad)
	b, r := s.sum("B", jme)*rad, s.sum("R", jme)

	x := [5]float64{
		polynomial(jce, 297.85036, 445267.111480, -0.0019142, 1.0/189474),
		polynomial(jce, 357.52772, 35999.050340, -0.0001603, -1.0/300000),
		polynomial(jce, 134.96298, 477198.867398, 0.0086972, 1.0/56250),
		polynomial(jce, 93.27191, 483202.017538, -0.0036825, 1.0/327270),
		polynomial(jce, 125.04452, -1934.136261, 0.0020708, 1.0/450000),
	}
	var dPsi, dEps float64
	for _, n := range s.nutation {
		arg := 0.0
		for i := range x {
			arg += x[i] * n[i]
		}
		dPsi += (n[5] + n[6]*jce) * math.Sin(arg*deg) / 36000000
		dEps += (n[7] + n[8]*jce) * math.Cos(arg*deg) / 36000000
	}
	eps := polynomial(jme/10, 84381.448, -4680.93, -1.55, 1999.25, -51.38, -249.67, -39.05, 7.12, 27.87, 5.79, 2.45)/3600 + dEps
	lambda := (l + 180 + dPsi - 20.4898/(3600*r)) * deg
	beta := -b * deg
	e := eps * deg
	alpha := positiveDeg(rad * math.Atan2(math.Sin(lambda)*math.Cos(e)-math.Tan(beta)*math.Sin(e), math.Cos(lambda)))
	delta := math.Asin(math.Sin(beta)*math.Cos(e) + math.Cos(beta)*math.Sin(e)*math.Sin(lambda))
	nu := 280.46061837 + 360.98564736629*days + jc*jc*(0.000387933-jc/38710000) + dPsi*math.Cos(e)
	h := positiveDeg(nu + p.LonDeg - alpha)

	phi := p.LatDeg * deg
	xi := 8.794 / (3600 * r) * deg
	u := math.Atan(0.99664719 * math.Tan(phi))
	px := math.Cos(u) + p.ElevationM/6378140*math.Cos(phi)
	py := 0.99664719*math.Sin(u) + p.ElevationM/6378140*math.Sin(phi)
	below := math.Cos(delta) - px*math.Sin(xi)*math.Cos(h*deg)
	dAlpha := math.Atan2(-px*math.Sin(xi)*math.Sin(h*deg), below)
	deltaTopo := math.Atan2((math.Sin(delta)-py*math.Sin(xi))*math.Cos(dAlpha), below)
	hTopo := h*deg - dAlpha
	e0 := rad * math.Asin(math.Sin(phi)*math.Sin(deltaTopo)+math.Cos(phi)*math.Cos(deltaTopo)*math.Cos(hTopo))
	lift := 0.0
	if e0 >= -(0.26667 + 0.5667) {
		lift = pressureHPa / 1010 * 283 / (273 + tempC) * 1.02 / (60 * math.Tan((e0+10.3/(e0+5.11))*deg))
	}
	azimuth := 180 + rad*math.Atan2(math.Sin(hTopo), math.Cos(hTopo)*math.Sin(phi)-math.Tan(deltaTopo)*math.Cos(phi))
	m := polynomial(jme, 280.4664567, 360007.6982779, 0.03032028, 1.0/49931, -1.0/15300, -1.0/2000000)
	return spaResult{
		lonDeg: l, latDeg: b, radiusAU: r, decDeg: delta * rad, hourAngleDeg: h,
		zenithDeg: 90 - e0, apparentZenithDeg: 90 - e0 - lift, azimuthDeg: positiveDeg(azimuth),
		equationMin: 4 * math.Remainder(m-0.0057183-alpha+dPsi*math.Cos(e), 360),
	}
}

// The sample run: Reda & Andreas 2004, Table A5.1.
var (
	sampleTime  = utc("2003-10-17 19:30:30")
	samplePlace = Place{39.742476, -105.1786, 1830.14}
)

func TestFullSPAReproducesItsSampleRun(t *testing.T) {
	got := spa(t).at(sampleTime, samplePlace, 67, 820, 11)
	assert.InDelta(t, 24.0182616917, got.lonDeg, 1e-9) // L, B, R, H, delta: Table A5.1
	assert.InDelta(t, -0.0001011219, got.latDeg, 1e-10)
	assert.InDelta(t, 0.9965422974, got.radiusAU, 1e-10)
	assert.InDelta(t, -9.31434, got.decDeg, 1e-5)
	assert.InDelta(t, 11.105900, got.hourAngleDeg, 1e-5)
	assert.InDelta(t, 50.11162, got.apparentZenithDeg, 1e-5)
	assert.InDelta(t, 194.34024, got.azimuthDeg, 1e-5)
	assert.InDelta(t, 14.641503, got.equationMin, 1e-4)
}

func TestPositionAgreesWithSPASampleRun(t *testing.T) {
	got := positionAt(sampleTime, samplePlace, 820, 11)
	assert.InDelta(t, 50.11162, got.ApparentZenithDeg, 0.002)
	assert.InDelta(t, 194.34024, got.AzimuthDeg, 0.002)
	assert.InDelta(t, -9.31434, got.DeclinationDeg, 0.002)
	assert.InDelta(t, 0.9965422974, got.DistanceAU, 2e-5)
	assert.InDelta(t, 14.641503, got.EquationOfTimeMin, 0.01)
	// Slope 30, surface azimuth rotation -10 from south (compass 170): same table.
	incidence := rad * math.Acos(CosIncidence(got.ApparentZenithDeg, got.AzimuthDeg, 30, 170))
	assert.InDelta(t, 25.18700, incidence, 0.002)
	other := rad * math.Acos(CosIncidence(50.11162, 194.34024, 30, 190))
	assert.InDelta(t, 20.294, other, 0.001, "compass 190 is the other side of south")
}

func TestSunriseAndTransitOfSPASampleRun(t *testing.T) {
	// Table A5.1. The report's sunset is the one on the UTC date, which ends
	// the solar day before.
	ev := EventsOn(sampleTime, samplePlace)
	assertWithin(t, utc("2003-10-17 18:46:04").Add(970*time.Millisecond), ev.Transit, 2*time.Second)
	assertWithin(t, utc("2003-10-17 13:12:43").Add(460*time.Millisecond), ev.Sunrise, 2*time.Second)
	before := EventsOn(sampleTime.AddDate(0, 0, -1), samplePlace)
	assertWithin(t, utc("2003-10-17 00:20:19").Add(190*time.Millisecond), before.Sunset, 2*time.Second)
}

// Reda & Andreas 2004, section A.2 (after Meeus).
func TestSunriseOfSPAReportOtherPlaces(t *testing.T) {
	ev := EventsOn(utc("1994-01-02 00:00:00"), Place{LatDeg: 35})
	assertWithin(t, utc("1994-01-02 07:08:12"), ev.Sunrise, 2*time.Second)
	assertWithin(t, utc("1994-01-02 16:59:55"), ev.Sunset, 2*time.Second)
	ev = EventsOn(utc("1996-07-05 00:00:00"), Place{LatDeg: -35})
	assertWithin(t, utc("1996-07-05 07:08:15"), ev.Sunrise, 2*time.Second)
	assertWithin(t, utc("1996-07-05 17:01:04"), ev.Sunset, 2*time.Second)
}

func assertWithin(t *testing.T, want, got time.Time, tolerance time.Duration) {
	t.Helper()
	assert.LessOrEqual(t, got.Sub(want).Abs(), tolerance, "want %s, got %s", want, got)
}

// apartDeg is the angle between two directions.
func apartDeg(z1, a1, z2, a2 float64) float64 {
	x1, y1, h1 := math.Sin(z1*deg)*math.Sin(a1*deg), math.Sin(z1*deg)*math.Cos(a1*deg), math.Cos(z1*deg)
	x2, y2, h2 := math.Sin(z2*deg)*math.Sin(a2*deg), math.Sin(z2*deg)*math.Cos(a2*deg), math.Cos(z2*deg)
	return 2 * rad * math.Asin(math.Min(1, math.Sqrt((x1-x2)*(x1-x2)+(y1-y2)*(y1-y2)+(h1-h2)*(h1-h2))/2))
}

// The table holds 380 positions computed with the full algorithm; source in its header.
func TestPositionAgreesWithSPATable(t *testing.T) {
	direction := deviations{name: "direction, deg"}
	zenith := deviations{name: "zenith, deg"}
	apparent := deviations{name: "apparent zenith, deg"}
	azimuth := deviations{name: "azimuth (zenith > 5), deg"}
	declination := deviations{name: "declination, deg"}
	distance := deviations{name: "distance, AU"}
	equation := deviations{name: "equation of time, min"}
	full := deviations{name: "full algorithm, zenith, deg"}
	for _, r := range table(t, "solar_position.csv") {
		p := Place{r.f("lat"), r.f("lon"), r.f("elev_m")}
		got := PositionAt(r.time("utc"), p)
		direction.add(apartDeg(got.ZenithDeg, got.AzimuthDeg, r.f("zenith"), r.f("azimuth")), 0, r.text("utc"))
		zenith.add(got.ZenithDeg, r.f("zenith"), r.text("utc"))
		apparent.add(got.ApparentZenithDeg, r.f("apparent_zenith"), r.text("utc"), r.text("lat"))
		if r.f("zenith") > 5 && r.f("zenith") < 175 {
			azimuth.add(math.Remainder(got.AzimuthDeg-r.f("azimuth"), 360), 0, r.text("utc"))
		}
		declination.add(got.DeclinationDeg, r.f("declination"))
		distance.add(got.DistanceAU, r.f("earth_sun_au"))
		equation.add(got.EquationOfTimeMin, r.f("eot_min"))
		s := spa(t).at(r.time("utc"), p, r.f("delta_t_s"), r.f("pressure_pa")/100, r.f("temp_c"))
		full.add(s.zenithDeg, r.f("zenith"))
	}
	direction.within(t, 0.01)
	zenith.within(t, 0.01)
	apparent.within(t, 0.01)
	azimuth.within(t, 0.01)
	declination.within(t, 0.005)
	distance.within(t, 5e-5)
	equation.within(t, 0.02)
	full.within(t, 2e-5)
}

func TestPositionStaysNearFullSPAFrom1950To2100(t *testing.T) {
	direction := deviations{name: "direction 1950-2100, deg"}
	apparent := deviations{name: "apparent zenith 1950-2100, deg"}
	distance := deviations{name: "distance 1950-2100, AU"}
	full := spa(t)
	start := time.Date(1950, 1, 1, 0, 0, 0, 0, time.UTC)
	const n = 20000
	for i := range n {
		// Steps that share no period with day or year.
		at := start.Add(time.Duration(i) * 65 * time.Hour).Add(time.Duration(i) * 2741 * time.Second)
		p := Place{float64(i%181) - 90, float64(i*7%361) - 180, float64(i % 4000)}
		got := PositionAt(at, p)
		dt := deltaTSeconds(2000 + daysSinceJ2000(at)/365.25)
		want := full.at(at, p, dt, PressurePa(p.ElevationM)/100, standardAirC)
		direction.add(apartDeg(got.ZenithDeg, got.AzimuthDeg, want.zenithDeg, want.azimuthDeg), 0, at.String())
		if math.Abs(want.zenithDeg-90.8333) > 0.01 { // refraction ends there with a jump
			apparent.add(got.ApparentZenithDeg, want.apparentZenithDeg, at.String())
		}
		distance.add(got.DistanceAU, want.radiusAU)
	}
	require.Equal(t, 2100, start.Add(n*65*time.Hour).Add(n*2741*time.Second).Year(), "covers the years")
	direction.within(t, 0.005)
	apparent.within(t, 0.005)
	distance.within(t, 5e-5)
}

// Delta T of the reference positions (Espenak & Meeus polynomials).
func TestDeltaTAgreesWithReferenceYears(t *testing.T) {
	d := deviations{name: "delta T, s"}
	for _, r := range table(t, "solar_position.csv") {
		d.add(deltaTSeconds(2000+daysSinceJ2000(r.time("utc"))/365.25), r.f("delta_t_s"), r.text("utc"))
	}
	d.within(t, 0.1)
}
