package sim

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func coffee(standby float64) Load {
	return Load{Name: "coffee", Kind: Uses, Supply: AC, Watts: 1400, StandbyW: standby, Duty: 1, TimesH: []float64{7}, Minutes: 6, Essential: true}
}

func TestStandbyDoesNotKeepANeededInverterOn(t *testing.T) {
	sys := bareSystem(t, 200)
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	loss := func(standby float64) float64 {
		return typical(t, mild(t, 1), []Load{coffee(standby)}, sys).Total.InverterLossWh
	}
	assert.InDelta(t, loss(0), loss(0.5), 1)
	sys.InverterMode = InverterAlways
	r := typical(t, mild(t, 1), []Load{coffee(0.5)}, sys)
	assert.InDelta(t, 140+0.5*23.9, r.Loads[0].AskedWh, 1e-6, "with the inverter on, standby is drawn")
}

func TestADutyCycleHasItsFullPowerAtThePeak(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Battery.MaxDischargeA = 100
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	hob := Load{Name: "hob", Kind: Uses, Supply: AC, Watts: 1800, Duty: .55, TimesH: []float64{12}, Minutes: 20, Essential: true}
	r := typical(t, mild(t, 1), []Load{hob}, sys)
	require.Equal(t, []EventKind{OverCurrent}, kinds(r))
	sys.Battery.MaxDischargeA = 300
	r = typical(t, mild(t, 1), []Load{hob}, sys)
	assert.Empty(t, r.Events)
	assert.InDelta(t, 1800*.55/3, r.Total.ACLoadWh, 1e-6)
	sys.Battery.CapacityAh = 400
	lamp := Load{Name: "lamp", Kind: Window, Supply: AC, Watts: 900, Duty: 1, Window: Span{11, 3}, Essential: true}
	r = typical(t, mild(t, 1), []Load{hob, lamp}, sys)
	assert.Contains(t, kinds(r), Overload)
	assert.InDelta(t, 700*.55/3, r.Total.UnservedWh, 1e-6, "the 700 W beyond the rating, for as long as the hob draws")
}

func TestUsesOneAfterTheOtherAreNotAtOnce(t *testing.T) {
	for _, step := range []time.Duration{5 * time.Minute, 15 * time.Minute, time.Hour} {
		sys := bareSystem(t, 200)
		sys.Battery.MaxDischargeA = 400
		sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
		two := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 1500, Duty: 1, TimesH: []float64{7, 7.1}, Minutes: 5, Essential: true}
		opt := DefaultOptions()
		opt.Step = step
		s, err := NewStudy(&Trip{Stops: []Stop{mild(t, 1)}}, []Load{two}, opt)
		require.NoError(t, err)
		r, err := s.Typical(sys)
		require.NoError(t, err)
		assert.Empty(t, r.Events, "%v", step)
		assert.InDelta(t, 250, r.Total.ACLoadWh, 1e-6, "%v", step)
	}
}

func TestThePowerFactorCountsAgainstTheRating(t *testing.T) {
	sys := bareSystem(t, 200)
	sys.Inverter, sys.InverterMode = inverter(t, 1000), InverterNeeded
	motor := Load{Name: "motor", Kind: Uses, Supply: AC, Watts: 700, PowerFactor: .6, Duty: 1, TimesH: []float64{9}, Minutes: 30, Essential: true}
	r := typical(t, mild(t, 1), []Load{motor}, sys)
	assert.Equal(t, []EventKind{NoOutlet}, kinds(r), "1,167 VA on 1,000 W")
	motor.PowerFactor = 1
	assert.Empty(t, typical(t, mild(t, 1), []Load{motor}, sys).Events)
}

func TestTheMorningsShadeIsLastNightsPlace(t *testing.T) {
	z := zone(t, "UTC")
	yield := func(night, after float64) float64 {
		a, b := stopAt(45, 0, z, day(2026, 6, 1), 1), stopAt(45, 1, z, day(2026, 6, 2), 1)
		a.Shade, b.Shade, b.Drive = night, after, Span{13, 1}
		sys := bareSystem(t, 400)
		sys.StartSoC = .2
		sys.Chargers = []Charger{{Name: "regulator", SolarA: 30, Efficiency: 1}}
		sys.Panels = []Panel{{Name: "roof", RatedW: 100, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45}}
		r, err := mustStudy(t, &Trip{Stops: []Stop{a, b}}, nil).Typical(sys)
		require.NoError(t, err)
		morning := 0.0
		for i := range r.Rows[r.Days[1].FirstRow:] {
			if r.Slots[r.Days[1].FirstRow+i].LocalH < 13 {
				morning += r.Rows[r.Days[1].FirstRow+i].SolarWh
			}
		}
		return morning
	}
	assert.Zero(t, yield(1, 0))
	assert.Greater(t, yield(0, 1), 200.0)
}

func TestAHugeIdleBankCloses(t *testing.T) {
	r := typical(t, mild(t, 366), nil, bareSystem(t, 100_000))
	assert.LessOrEqual(t, r.Residual, 1e-9)
}

func TestOverloadCountsInTheEnsembleToo(t *testing.T) {
	sys := bareSystem(t, 400)
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	use := func(w float64) Load {
		return Load{Name: "x", Kind: Uses, Supply: AC, Watts: w, Duty: 1, TimesH: []float64{12}, Minutes: 15, Essential: true}
	}
	s := mustStudy(t, &Trip{Stops: []Stop{mild(t, 1)}}, []Load{use(1600), use(1200)})
	risk, err := s.Ensemble(context.Background(), []*System{sys}, 4, nil)
	require.NoError(t, err)
	assert.InDelta(t, 200, risk[0].Unserved.Mean, 1e-5)
	assert.Zero(t, risk[0].FlatDraws)
}

func TestUseSpreadLengthensUsesAndCausesNoOverload(t *testing.T) {
	sys := bareSystem(t, 400)
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	opt := DefaultOptions()
	opt.UseSpread = .3
	kettle := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 1800, Duty: 1, TimesH: []float64{12}, Minutes: 30, Essential: true}
	s, err := NewStudy(&Trip{Stops: []Stop{mild(t, 1)}}, []Load{kettle}, opt)
	require.NoError(t, err)
	sum := 0.0
	for k := range uint64(100) {
		r, err := s.RunDraw(sys, k)
		require.NoError(t, err)
		assert.Zero(t, r.Total.UnservedWh)
		assert.Empty(t, r.Events)
		sum += r.Loads[0].AskedWh / 100
	}
	assert.InDelta(t, 900, sum, 90)
}

func TestASharedLimitInAPartOfASlot(t *testing.T) {
	var wh []float64
	for _, step := range []time.Duration{5 * time.Minute, time.Hour} {
		stop := mild(t, 1)
		stop.Drive, stop.SunKWhM2 = Span{11.5, 1}, 6
		sys := bareSystem(t, 400)
		sys.StartSoC = .2
		sys.Chargers = []Charger{{Name: "combined", AlternatorA: 30, SolarA: 30, TotalA: 30, Efficiency: .95}}
		sys.Panels = []Panel{{Name: "roof", RatedW: 300, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45}}
		opt := DefaultOptions()
		opt.Step = step
		s, err := NewStudy(&Trip{Stops: []Stop{stop}}, nil, opt)
		require.NoError(t, err)
		r, err := s.Typical(sys)
		require.NoError(t, err)
		wh = append(wh, r.Total.AlternatorWh)
	}
	assert.InEpsilon(t, wh[0], wh[1], .05)
}

func TestAShortUseBeyondTheSiteIsNamed(t *testing.T) {
	stop := mild(t, 1)
	stop.Mains, stop.MainsA = Span{8, 10}, 6
	sys := bareSystem(t, 100)
	sys.ACTransfer = true
	kettle := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 1800, Duty: 1, TimesH: []float64{9}, Minutes: 4, Essential: true}
	r := typical(t, stop, []Load{kettle}, sys)
	require.Contains(t, kinds(r), SiteLimit)
	assert.Contains(t, r.Events[0].Detail, "1800 W asked of a site that gives 1380 W")
}

func TestAHeaterNeedsASourceThatFeedsIt(t *testing.T) {
	stop := mild(t, 3)
	stop.TempMinC, stop.TempMaxC = -10, -6
	sys := bareSystem(t, 100)
	sys.StartSoC, sys.Battery.HeaterW = .05, 60 // flat from the start
	sys.Chargers = []Charger{{Name: "regulator", SolarA: 10, Efficiency: .95}}
	sys.Panels = []Panel{{Name: "small", RatedW: 20, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45}}
	r := typical(t, stop, []Load{steady("base", 5)}, sys)
	for _, row := range r.Rows {
		assert.Less(t, row.BatteryC, -2.0, "a token of sun does not warm the battery")
	}
	sys.Panels[0].RatedW = 200
	r = typical(t, stop, []Load{steady("base", 5)}, sys)
	assert.Greater(t, r.Total.HeaterWh, 10.0, "a flat battery's heater runs on the sun")
}

func TestReconnectionKeepsItsDistanceInTheCold(t *testing.T) {
	flat := func(tempC float64) float64 {
		stop := mild(t, 3)
		stop.TempMinC, stop.TempMaxC, stop.SunKWhM2 = tempC, tempC, 4
		sys := bareSystem(t, 60)
		sys.StartSoC = .15
		sys.Battery.HeaterW = 30
		sys.Chargers = []Charger{{Name: "regulator", SolarA: 20, Efficiency: .95}}
		sys.Panels = []Panel{{Name: "roof", RatedW: 120, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45}}
		return typical(t, stop, []Load{steady("base", 15)}, sys).FlatH
	}
	assert.Greater(t, flat(-8), flat(25))
}
