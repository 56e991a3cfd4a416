package solar

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Values of a general-purpose solar library; source in each table's header.
func TestCellTemperatureAgreesWithReferenceTable(t *testing.T) {
	n45, n50 := deviations{name: "NOCT 45, C"}, deviations{name: "NOCT 50, C"}
	f := deviations{name: "Faiman, C"}
	for _, r := range table(t, "cell_temp.csv") {
		g, ta := r.f("poa"), r.f("temp_air")
		n45.add(CellTempNOCT(ta, g, 45), r.f("ross_noct45"))
		n50.add(CellTempNOCT(ta, g, 50), r.f("ross_noct50"))
		f.add(CellTempFaiman(ta, g, r.f("wind"), 25, 6.84), r.f("faiman"))
	}
	n45.within(t, 1e-6)
	n50.within(t, 1e-6)
	f.within(t, 1e-6)
	// Ross 1976, by hand.
	assert.InDelta(t, 45.0, CellTempNOCT(20, 800, 45), 1e-9)
	assert.InDelta(t, 66.25, CellTempNOCT(35, 1000, 45), 1e-9)
}

func TestDCPowerAgreesWithReferenceTable(t *testing.T) {
	d := deviations{name: "DC power, rel"}
	for _, r := range table(t, "dc_power.csv") {
		d.relative(DCPowerW(r.f("pdc0"), r.f("effective_irradiance"), r.f("temp_cell"), r.f("gamma_pdc")), r.f("pdc"))
	}
	d.within(t, 1e-6)
	// 100 W at 800 W/m2 and 45 C with -0.35 %/K, by hand.
	assert.InDelta(t, 74.4, DCPowerW(100, 800, 45, -0.0035), 1e-9)
}

// Dobos 2014, NREL/TP-6A20-62641: below 125 W/m2 the power is 0.008 G^2/1000
// of the rating, and joins the linear branch there (from memory).
func TestLowLightFollowsTheManual(t *testing.T) {
	assert.InDelta(t, 0.008*60*60/1000*100, DCPowerW(100, 60, 25, -0.0035)*LowLightShare(60), 1e-9)
	assert.Equal(t, 1.0, LowLightShare(125))
	assert.Equal(t, 1.0, LowLightShare(900))
	assert.Zero(t, LowLightShare(-3))
}

func TestPanelWIsTheChainOfItsParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		poa, air := rapid.Float64Range(0, 1400).Draw(t, "poa"), rapid.Float64Range(-40, 50).Draw(t, "air")
		pp := PanelParams{
			TempCoeffPerK:  rapid.Float64Range(-0.005, 0).Draw(t, "coeff"),
			NOCTC:          rapid.Float64Range(40, 60).Draw(t, "noct"),
			Soiling:        rapid.Float64Range(0, 0.5).Draw(t, "soiling"),
			LinearLowLight: rapid.Bool().Draw(t, "linear"),
		}
		g := poa * (1 - pp.Soiling)
		want := DCPowerW(200, g, CellTempNOCT(air, g, pp.NOCTC), pp.TempCoeffPerK)
		if !pp.LinearLowLight {
			want *= LowLightShare(g)
		}
		assert.InDelta(t, want, PanelW(200, poa, air, pp), 1e-9)
	})
	assert.Zero(t, PanelW(200, 0, 20, DefaultPanel))
	assert.Zero(t, PanelW(200, -5, 20, DefaultPanel))
	assert.Zero(t, PanelW(200, 1000, 20, PanelParams{TempCoeffPerK: -0.0035, NOCTC: 45, Soiling: 1}))
}

func TestRegulatorAccountsForEveryWatt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.Float64Range(0, 2000).Draw(t, "in")
		eff := rapid.Float64Range(0, 1).Draw(t, "efficiency")
		limit := rapid.Float64Range(-10, 1500).Draw(t, "limit")
		out, lost, spilled := RegulatorOut(in, eff, limit)
		assert.InDelta(t, in, out+lost+spilled, 1e-9)
		assert.GreaterOrEqual(t, min(out, lost, spilled), -1e-12)
		assert.LessOrEqual(t, out, max(0, limit)+1e-9)
	})
	out, lost, spilled := RegulatorOut(300, 0.95, 190)
	assert.InDelta(t, 190, out, 1e-9)
	assert.InDelta(t, 10, lost, 1e-9)
	assert.InDelta(t, 100, spilled, 1e-9)
}

func TestIncidenceLossAgreesWithReferenceTables(t *testing.T) {
	a5, a10 := deviations{name: "ASHRAE 0.05"}, deviations{name: "ASHRAE 0.10"}
	m16, m20 := deviations{name: "Martin & Ruiz 0.16"}, deviations{name: "Martin & Ruiz 0.20"}
	for _, r := range table(t, "iam.csv") {
		aoi := r.f("aoi")
		a5.add(IAMASHRAE(aoi, 0.05), r.f("ashrae_b005"))
		a10.add(IAMASHRAE(aoi, 0.10), r.f("ashrae_b01"))
		m16.add(IAMMartinRuiz(aoi, 0.16), r.f("martin_ruiz_ar016"))
		m20.add(IAMMartinRuiz(aoi, 0.20), r.f("martin_ruiz_ar020"))
	}
	a5.within(t, 1e-6)
	a10.within(t, 1e-6)
	m16.within(t, 1e-6)
	m20.within(t, 1e-6)
	sky, ground := deviations{name: "Martin & Ruiz, sky"}, deviations{name: "Martin & Ruiz, ground"}
	for _, r := range table(t, "iam_diffuse.csv") {
		s, g := IAMMartinRuizDiffuse(r.f("tilt"), r.f("a_r"))
		sky.add(s, r.f("iam_sky"))
		ground.add(g, r.f("iam_ground"))
	}
	// The table took 4/(3 pi) as 0.4244.
	sky.within(t, 2e-5)
	ground.within(t, 2e-5)
}
