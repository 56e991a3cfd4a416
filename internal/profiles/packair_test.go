package profiles

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func airs(spec BatterySpec, airC []float64, source []bool, stepH float64) ([]PackAir, []float64) {
	dst, heaterW := make([]PackAir, len(airC)), make([]float64, len(airC))
	PackAirs(spec, airC, source, stepH, dst, heaterW)
	return dst, heaterW
}

func constant(v float64, n int) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = v
	}
	return s
}

func TestBatteryTemperatureLagsTheAir(t *testing.T) {
	c := chemistry(t, "lifepo4")
	spec := NewBatterySpec(c, 1000/12.0, 1, 12) // 1 kWh
	const stepH = 0.1
	air := append(constant(10, 240), constant(30, 240)...)
	dst, _ := airs(spec, air, nil, stepH)
	assert.InDelta(t, 10, dst[239].TempC, 1e-9)
	after := 240 + int(math.Round(c.LagH/stepH))
	// Mean over the step ends half a step after.
	assert.InDelta(t, 10+20*(1-math.Exp(-1)), (dst[after-1].TempC+dst[after].TempC)/2, .02, "63 % after one time constant")
	assert.InDelta(t, 30, dst[479].TempC, .3)

	// The step's length does not matter.
	coarse, _ := airs(spec, append(constant(10, 24), constant(30, 24)...), nil, 1)
	fine := 0.0
	for _, a := range dst[300:310] {
		fine += a.TempC / 10
	}
	assert.InDelta(t, fine, coarse[30].TempC, .1)

	// A day of sun swings the battery less and later than the air.
	day := make([]float64, 240)
	for i := range day {
		day[i] = 20 + 10*math.Sin(2*math.Pi*float64(i)/240)
	}
	dst, _ = airs(spec, day, nil, stepH)
	hot, at := 0.0, 0
	for i, a := range dst {
		if a.TempC > hot {
			hot, at = a.TempC, i
		}
	}
	assert.Greater(t, at, 60+20)
	assert.Less(t, hot, 28.0)
	assert.Greater(t, hot, 24.0)
	// Amplitude of a first-order lag: 1/sqrt(1+(w tau)^2).
	assert.InDelta(t, 20+10/math.Hypot(1, 2*math.Pi/24*c.LagH), hot, .5)
}

// No charging of LiFePO4 below 0 C, .1-.2 C up to 10 C: cell data sheets (from
// memory); the hysteresis is common practice.
func TestLithiumRefusesChargeInTheCold(t *testing.T) {
	spec := NewBatterySpec(chemistry(t, "lifepo4"), 100, 1, 12)
	const stepH = 0.25
	n := 96 * 4
	air := make([]float64, n)
	for i := range air {
		air[i] = 4 - 12*math.Cos(2*math.Pi*float64(i)/96) // -8..16 C
	}
	dst, heaterW := airs(spec, air, make([]bool, n), stepH)
	refused, allowedBelow, changes := 0, 0, 0
	for i, a := range dst {
		if a.ChargeFactor == 0 {
			refused++
			assert.Less(t, a.TempC, 2.0)
		} else {
			assert.GreaterOrEqual(t, a.TempC, 0.0)
			if a.TempC < 2 {
				allowedBelow++
			}
			if a.TempC < 10 {
				amps := a.ChargeFactor * 50
				assert.GreaterOrEqual(t, amps, 10-1e-9)
				assert.LessOrEqual(t, amps, 20+1e-9)
			} else {
				assert.Equal(t, 1.0, a.ChargeFactor)
			}
		}
		if i > 0 && (a.ChargeFactor == 0) != (dst[i-1].ChargeFactor == 0) {
			changes++
		}
		assert.Zero(t, heaterW[i])
	}
	assert.Positive(t, refused)
	assert.Positive(t, allowedBelow, "cooling from 2 to 0 C it still charges")
	assert.LessOrEqual(t, changes, 8, "once off and once on a day")

	p := pack(t, spec, stepH)
	st := p.Start(.5)
	for i := range dst {
		if dst[i].ChargeFactor == 0 {
			assert.Zero(t, p.ChargeLimitA(st, p.InternalV(st), &dst[i]))
		}
	}
}

func TestHeaterRunsOnlyBesideASource(t *testing.T) {
	spec := NewBatterySpec(chemistry(t, "lifepo4"), 100, 1, 12)
	spec.HeaterW = 60
	for _, stepH := range []float64{1.0 / 12, .5} {
		n := int(96 / stepH)
		source := make([]bool, n)
		for i := range source {
			source[i] = i >= n/2
		}
		dst, heaterW := airs(spec, constant(-10, n), source, stepH)
		for i := range n / 2 {
			assert.Zero(t, heaterW[i])
			assert.Zero(t, dst[i].ChargeFactor)
		}
		assert.InDelta(t, 60, heaterW[n/2], 1e-9, "at full power first")
		assert.InDelta(t, heaterTargetC, dst[n-1].TempC, .1, "then it holds the battery warm")
		assert.Positive(t, dst[n-1].ChargeFactor)
		assert.Less(t, heaterW[n-1], 60.0)
		// What it takes to hold: heat capacity / time constant x difference.
		kWh := 1.2
		wattPerK := kWh * 1000 / 100 * 1000 / 3600 / (5 * math.Cbrt(kWh))
		assert.InEpsilon(t, wattPerK*15, heaterW[n-1], .02)
	}
}

func TestFactorsFromArcticToDesert(t *testing.T) {
	for _, c := range Chemistries() {
		spec := NewBatterySpec(c, 100, 1, 12)
		cold, _ := airs(spec, constant(-30, 100), nil, 1)
		hot, _ := airs(spec, constant(50, 100), nil, 1)
		normal, _ := airs(spec, constant(25, 100), nil, 1)
		a := normal[99]
		want := NormalAir()
		assert.InDelta(t, want.RFactor, a.RFactor, 1e-9)
		assert.InDelta(t, want.CapacityFactor, a.CapacityFactor, 1e-9)
		assert.InDelta(t, want.ChargeFactor, a.ChargeFactor, 1e-9)
		assert.InDelta(t, want.SelfDischargeFactor, a.SelfDischargeFactor, 1e-9)
		assert.InDelta(t, 0, a.ChargeShiftV, 1e-12)
		assert.Zero(t, cold[99].ChargeFactor, "%s at -30 C", c.ID)
		assert.Greater(t, cold[99].RFactor, 1.5)
		assert.Less(t, hot[99].RFactor, 1.0)
		assert.Equal(t, 1.0, hot[99].CapacityFactor)
		assert.InEpsilon(t, 8, hot[99].SelfDischargeFactor, 1e-6)
		p := pack(t, spec, 1)
		st := p.Start(.9)
		if c.Lithium() {
			assert.Zero(t, cold[99].CapacityFactor, "discharge refused")
			assert.Zero(t, p.DischargeLimitA(st, &cold[99]))
			assert.Zero(t, cold[99].ChargeShiftV)
		} else {
			assert.Positive(t, p.DischargeLimitA(st, &cold[99]))
			assert.InDelta(t, 55*.004*6, cold[99].ChargeShiftV, 1e-9, "higher charge voltage in the cold")
		}
		veryHot, _ := airs(spec, constant(70, 100), nil, 1)
		assert.Zero(t, veryHot[99].ChargeFactor)
		assert.Zero(t, veryHot[99].CapacityFactor)
	}
}

func TestPackAirsMakesNoGarbage(t *testing.T) {
	spec := NewBatterySpec(chemistry(t, "lifepo4"), 100, 1, 12)
	spec.HeaterW = 50
	air, dst, source, heaterW := constant(-5, 288), make([]PackAir, 288), make([]bool, 288), make([]float64, 288)
	assert.Zero(t, testing.AllocsPerRun(10, func() { PackAirs(spec, air, source, 1.0/12, dst, heaterW) }))
	PackAirs(spec, nil, nil, 1, nil, nil) // nothing to do
}

func TestWarmerPlaceIsWarmerAir(t *testing.T) {
	const stepH = 0.25
	air, warmer := make([]float64, 96), make([]float64, 96)
	for i := range air {
		air[i] = -4 + 6*math.Sin(float64(i)*math.Pi/48)
		warmer[i] = air[i] + 8
	}
	lithium, _ := ChemistryByID("lifepo4")
	spec := NewBatterySpec(lithium, 100, 1, 12)
	outside := make([]PackAir, len(air))
	PackAirs(spec, warmer, nil, stepH, outside, nil)
	spec.PlaceOffsetK = 8
	inside := make([]PackAir, len(air))
	PackAirs(spec, air, nil, stepH, inside, nil)
	for i := range inside {
		assert.InDelta(t, outside[i].TempC, inside[i].TempC, 1e-9)
		assert.InDelta(t, outside[i].ChargeFactor, inside[i].ChargeFactor, 1e-9)
	}
}

func TestBatteryInAHeatedRoom(t *testing.T) {
	spec := NewBatterySpec(chemistry(t, "lifepo4"), 100, 1, 12)
	spec.PlaceOffsetK, spec.PlaceMinC = 4, 8
	dst, _ := airs(spec, append(constant(-15, 48), constant(20, 240)...), nil, 1)
	for _, a := range dst[:48] {
		assert.InDelta(t, 8, a.TempC, 1e-9, "as warm as the room from the start")
	}
	assert.InDelta(t, 24, dst[287].TempC, 1e-6, "in the warm it follows the air")

	spec.PlaceMinC = 90
	assert.ErrorContains(t, errors.Join(spec.Validate()...), "never colder than 90 C")
}
