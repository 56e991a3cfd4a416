package chart

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
)

func TestResultsThatCannotBeDrawnAreRefused(t *testing.T) {
	draw := func(r *sim.Result) error {
		_, err := StateOfCharge(r, nil)
		_, err2 := EnergyByDay(r)
		_, err3 := TypicalDay(r)
		require.Equal(t, err, err2)
		require.Equal(t, err, err3)
		return err
	}
	spoil := func(change func(r *sim.Result)) *sim.Result {
		r := inventedTrips()["week"].result()
		change(r)
		return r
	}
	assert.ErrorContains(t, draw(nil), "no result")
	assert.ErrorContains(t, draw(&sim.Result{}), "no result")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Rows, r.Slots, r.Days = nil, nil, nil })), "no steps")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Rows[7].SoC = math.NaN() })), "step 8 is NaN")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Rows[7].SoC = 1.2 })), "step 8 is 1.2")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Slots[3].Up = math.Inf(1) })), "step 4")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Days[2].FlatH = math.NaN() })), "day 3")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Days[2].FirstRow++ })), "day 3")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Slots = r.Slots[1:] })), "slots")

	_, err := EnergyByDay(spoil(func(r *sim.Result) { r.Days[1].SolarWh = math.NaN() }))
	assert.ErrorContains(t, err, "day 2")
	_, err = TypicalDay(spoil(func(r *sim.Result) { r.Rows[1].SolarWh = math.NaN() }))
	assert.ErrorContains(t, err, "NaN")
	r := inventedTrips()["week"].result()
	risk := inventedRisk(r)
	risk.Bands[4].Q25 = math.NaN()
	_, err = StateOfCharge(r, risk)
	assert.ErrorContains(t, err, "hour 5")
	risk = inventedRisk(r)
	risk.ByDay = risk.ByDay[1:]
	_, err = StateOfCharge(r, risk)
	assert.ErrorContains(t, err, "6 days")
	_, err = StateOfCharge(r, nil, Width(20))
	assert.ErrorContains(t, err, "out of range")
}

func TestAdviceThatCannotBeDrawnIsRefused(t *testing.T) {
	nan := math.NaN()
	fail := func(want string, p *Picture, err error) {
		t.Helper()
		assert.Nil(t, p)
		assert.ErrorContains(t, err, want)
	}
	c := inventedComparison(3)
	c.Candidates[1].NotCarried.Low = nan
	p, err := Compare(c)
	fail("system 2", p, err)
	p, err = Compare(Comparison{Target: nan})
	fail("no system", p, err)
	c = inventedComparison(3)
	c.Target = 2
	p, err = Compare(c)
	fail("accepted risk", p, err)

	s := inventedSeason(2, 12, 0)
	s.NotCarried[1] = s.NotCarried[1][:5]
	p, err = Season(s)
	fail("line 2", p, err)
	s = inventedSeason(2, 12, 0)
	s.NotCarried[0][3].Share = 1.4
	p, err = Season(s)
	fail("start 4", p, err)

	g := inventedSizes(4, 3)
	g.X.Values[2] = g.X.Values[1]
	p, err = SizeMap(g)
	fail("do not grow", p, err)
	g = inventedSizes(4, 3)
	g.NotCarried[1][1] = nan
	p, err = SizeMap(g)
	fail("line 2", p, err)
	g = inventedSizes(4, 3)
	g.Best.X = 9
	p, err = SizeMap(g)
	fail("not on the", p, err)

	v := inventedVariation(2)
	v.Variations[1].Points[0].Value = nan
	p, err = Vary(v)
	fail("line 2", p, err)
	p, err = Vary(Variation{Target: nan})
	fail("nothing", p, err)

	k := inventedCalibration()
	k.Classes[2].Forecast = nan
	p, err = Reliability(k)
	fail("class 3", p, err)

	sun := inventedSun("x", 0.4)
	sun.GHIWm2[4][12] = nan
	p, err = SunYear(sun)
	fail("May", p, err)
	sun = inventedSun("x", 0.4)
	sun.Sunset = sun.Sunset[1:]
	p, err = SunYear(sun)
	fail("sunsets", p, err)
}
