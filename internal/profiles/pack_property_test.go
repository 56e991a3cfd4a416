package profiles

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func drawSpec(r *rapid.T) BatterySpec {
	c := rapid.SampledFrom(Chemistries()).Draw(r, "chemistry")
	s := NewBatterySpec(c, rapid.Float64Range(5, 2000).Draw(r, "ah"), rapid.IntRange(1, 4).Draw(r, "count"),
		rapid.SampledFrom([]float64{12, 24, 48}).Draw(r, "volt"))
	s.Health = rapid.Float64Range(.3, 1).Draw(r, "health")
	s.MinSoC = rapid.Float64Range(0, .8).Draw(r, "min soc")
	s.MaxChargeA = rapid.Float64Range(0, 3).Draw(r, "charge C") * s.CapacityAh
	s.MaxDischargeA = rapid.Float64Range(0, 5).Draw(r, "discharge C") * s.CapacityAh
	return s
}

func drawAir(r *rapid.T) PackAir {
	return PackAir{
		TempC:               25,
		RFactor:             rapid.Float64Range(.3, 8).Draw(r, "r"),
		CapacityFactor:      rapid.Float64Range(0, 1).Draw(r, "capacity"),
		ChargeFactor:        rapid.Float64Range(0, 1).Draw(r, "charge"),
		SelfDischargeFactor: rapid.Float64Range(.01, 10).Draw(r, "self"),
		ChargeShiftV:        rapid.Float64Range(-.5, 1).Draw(r, "shift"),
	}
}

// Whatever is asked within the limits: charge is conserved to 1e-12, the state
// of charge stays within 0..1, the wells within their sizes.
func TestAnyUseConservesCharge(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		spec := drawSpec(r)
		stepH := rapid.SampledFrom([]float64{1.0 / 60, 1.0 / 12, .25, .5, 1}).Draw(r, "step")
		p, err := NewPack(spec, stepH)
		if err != nil {
			r.Fatal(err)
		}
		st := p.Start(rapid.Float64Range(0, 1).Draw(r, "start"))
		start, inAh := st.AvailableAh+st.BoundAh, 0.0
		for range rapid.IntRange(1, 60).Draw(r, "steps") {
			air := drawAir(r)
			v := p.InternalV(st)
			chargeA, dischargeA := p.ChargeLimitA(st, v, &air), p.DischargeLimitA(st, &air)
			assert.GreaterOrEqual(r, chargeA, 0.0)
			assert.GreaterOrEqual(r, dischargeA, 0.0)
			assert.LessOrEqual(r, chargeA, p.MaxChargeA*air.ChargeFactor*(1+1e-12))
			assert.LessOrEqual(r, dischargeA, p.TripA*(1+1e-12))
			wish := rapid.Float64Range(-1.2, 1.2).Draw(r, "wish")
			amps := max(min(wish, 1), -1)
			if amps > 0 {
				amps *= chargeA
			} else {
				amps *= dischargeA
			}
			before := st
			lossAh, selfAh := p.Advance(&st, amps, &air)
			assert.GreaterOrEqual(r, lossAh, 0.0)
			assert.GreaterOrEqual(r, selfAh, -1e-9*p.CapacityAh)
			change := st.AvailableAh + st.BoundAh - before.AvailableAh - before.BoundAh
			assert.InDelta(r, amps*stepH-lossAh-selfAh, change, 1e-12*p.CapacityAh)
			inAh += amps*stepH - lossAh - selfAh

			soc := p.SoC(st)
			assert.GreaterOrEqual(r, soc, -1e-12)
			assert.LessOrEqual(r, soc, 1+1e-12)
			assert.GreaterOrEqual(r, st.AvailableAh, -1e-10*p.CapacityAh)
			assert.LessOrEqual(r, st.AvailableAh, p.bothAh*p.availableShare*(1+1e-12))
			v = p.InternalV(st)
			assert.False(r, math.IsNaN(v))
			assert.Positive(r, p.ChargeROhm(st, &air))
		}
		assert.InDelta(r, start+inAh, st.AvailableAh+st.BoundAh, 1e-10*p.CapacityAh)
	})
}

// Discharging at the limit lands on the floor, or on the empty available well,
// exactly; then nothing is left.
func TestDischargeLimitLandsOnTheFloor(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		spec := drawSpec(r)
		spec.MaxDischargeA = 1e9
		p, err := NewPack(spec, rapid.Float64Range(.01, 1).Draw(r, "step"))
		if err != nil {
			r.Fatal(err)
		}
		air := drawAir(r)
		st := p.Start(rapid.Float64Range(0, 1).Draw(r, "start"))
		limit := p.DischargeLimitA(st, &air)
		floor := max(p.MinSoC, 1-air.CapacityFactor)
		if limit == 0 {
			left := p.SoC(st) * (1 - p.selfDischargeStep*air.SelfDischargeFactor)
			rested := st // self-discharge alone empties the available well
			p.Advance(&rested, 0, &air)
			wellEmpty := p.kinetic && rested.AvailableAh <= p.availableMaxAh*(1-air.CapacityFactor)+1e-12*p.CapacityAh
			assert.True(r, left <= floor+1e-12 || wellEmpty)
			return
		}
		p.Advance(&st, -limit, &air)
		onFloor := math.Abs(p.SoC(st)-floor) < 1e-11
		wellEmpty := p.kinetic && math.Abs(st.AvailableAh-p.availableMaxAh*(1-air.CapacityFactor)) < 1e-10*p.CapacityAh
		assert.True(r, onFloor || wellEmpty, "soc %g, floor %g", p.SoC(st), floor)
		assert.GreaterOrEqual(r, p.SoC(st), floor-1e-11)
		if onFloor {
			assert.InDelta(r, 0, p.DischargeLimitA(st, &air), 1e-9*p.CapacityAh)
		}
	})
}

// Charging at the limit for days fills the bank and never passes 100 %.
func TestChargeLimitNeverOverfills(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		spec := drawSpec(r)
		spec.MaxChargeA = rapid.Float64Range(.05, 10).Draw(r, "rate") * spec.CapacityAh * float64(spec.Count)
		stepH := rapid.SampledFrom([]float64{1.0 / 60, 1.0 / 12, .5, 1}).Draw(r, "step")
		p, err := NewPack(spec, stepH)
		if err != nil {
			r.Fatal(err)
		}
		air := NormalAir()
		st := p.Start(rapid.Float64Range(0, 1).Draw(r, "start"))
		for range int(200 / stepH) {
			p.Advance(&st, p.ChargeLimitA(st, p.InternalV(st), &air), &air)
			if soc := p.SoC(st); soc > 1+1e-12 || st.AvailableAh > p.bothAh*p.availableShare*(1+1e-12) {
				r.Fatalf("state of charge %.15f, available %g Ah", soc, st.AvailableAh)
			}
		}
		assert.Greater(r, p.SoC(st), .97)
	})
}

func TestLimitsOfScale(t *testing.T) {
	for _, c := range Chemistries() {
		// 2,000 Ah at 48 V, and a bank of next to nothing.
		for _, ah := range []float64{2000, 1e-3} {
			p := pack(t, NewBatterySpec(c, ah, 1, 48), .25)
			st, air := p.Start(1), NormalAir()
			for range 96 * 4 {
				p.Advance(&st, -p.DischargeLimitA(st, &air), &air)
			}
			assert.InDelta(t, p.MinSoC, p.SoC(st), 6e-3, "on the floor, less a day of self-discharge")
			for range 96 * 8 {
				p.Advance(&st, p.ChargeLimitA(st, p.InternalV(st), &air), &air)
			}
			assert.Greater(t, p.SoC(st), .97)
		}
		// No load for a month loses self-discharge only.
		p := pack(t, NewBatterySpec(c, 100, 1, 12), 1)
		st, air := p.Start(1), NormalAir()
		lost := 0.0
		for range 730 {
			_, self := p.Advance(&st, 0, &air)
			lost += self
		}
		assert.InDelta(t, 100-lost, p.SoC(st)*100, 1e-9)
		assert.Less(t, lost, 8.0)
		assert.Greater(t, lost, 1.0)
	}
}

func TestStepFunctionsMakeNoGarbage(t *testing.T) {
	p := pack(t, NewBatterySpec(chemistry(t, "agm"), 100, 1, 12), .1)
	st, air := p.Start(.7), NormalAir()
	assert.Zero(t, testing.AllocsPerRun(10, func() {
		v := p.InternalV(st)
		p.Advance(&st, min(1, p.ChargeLimitA(st, v, &air), p.DischargeLimitA(st, &air)), &air)
	}))
}

// The same day by steps of a minute and of an hour: the store differs little.
func TestStepLengthMattersLittle(t *testing.T) {
	for _, c := range Chemistries() {
		var w worst
		end := func(stepH, chargeA float64, hours int) (soc, lossAh float64) {
			p := pack(t, NewBatterySpec(c, 100, 1, 12), stepH)
			st, air := p.Start(.55), NormalAir()
			for range int(float64(hours)/stepH + .5) {
				loss, _ := p.Advance(&st, min(chargeA, p.ChargeLimitA(st, p.InternalV(st), &air)), &air)
				lossAh += loss
			}
			return p.SoC(st), lossAh
		}
		for _, hours := range []int{1, 2, 3, 5, 8, 12} {
			for _, amps := range []float64{8, 20} {
				soc, loss := end(1.0/120, amps, hours)
				for stepH, tolerance := range map[float64]float64{1.0 / 60: .001, 1.0 / 12: .004, .25: .01, 1: .035} {
					s, l := end(stepH, amps, hours)
					assert.InDelta(t, soc, s, tolerance, "%s, %g A for %d h by %g h", c.ID, amps, hours, stepH)
					assert.InDelta(t, loss, l, 100*tolerance, "%s, %g A for %d h by %g h: loss", c.ID, amps, hours, stepH)
					if stepH < .1 {
						w.see(s-soc, fmt.Sprintf("%g A %d h", amps, hours))
					}
				}
			}
		}
		w.report(t, c.ID+": steps up to 5 minutes against half a minute, state of charge")
	}
}
