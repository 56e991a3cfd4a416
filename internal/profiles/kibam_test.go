package profiles

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Lifetimes of two cells under eight loads: Jongerden, Haverkort, Bohnenkamp &
// Katoen, "Maximizing system lifetime by battery scheduling", DSN 2009, KiBaM
// column; published values from memory (testdata/kibam.csv).
func TestKineticLifetimesOfJongerden2009(t *testing.T) {
	const stepMin = 0.005
	loads := map[string]func(minute float64) float64{
		"CL250":   func(float64) float64 { return .25 },
		"CL500":   func(float64) float64 { return .5 },
		"CLalt":   func(m float64) float64 { return []float64{.5, .25}[int(m)%2] },
		"ILs250":  func(m float64) float64 { return []float64{.25, 0}[int(m)%2] },
		"ILs500":  func(m float64) float64 { return []float64{.5, 0}[int(m)%2] },
		"ILalt_s": func(m float64) float64 { return []float64{.5, 0, .25, 0}[int(m)%4] },
		"ILl250":  func(m float64) float64 { return []float64{.25, 0, 0}[int(m)%3] },
		"ILl500":  func(m float64) float64 { return []float64{.5, 0, 0}[int(m)%3] },
	}
	var published, exact worst
	for _, row := range readTestdata(t, "kibam.csv") {
		bothAh := map[string]float64{"B1": 5.5, "B2": 11}[row[0]] / 60
		c := ideal(t, 0.166, 0.122*60)
		spec := NewBatterySpec(c, bothAh*kineticShare(c.KineticC, c.KineticKPerH, 20), 1, 12)
		p := pack(t, spec, stepMin/60)
		air := NormalAir()
		st, life := p.Start(1), math.NaN()
		assert.InDelta(t, bothAh, st.AvailableAh+st.BoundAh, 1e-12)
		for i := 0; i < 100/stepMin; i++ {
			minute := (float64(i) + 0.5) * stepMin
			before := st.AvailableAh
			p.Advance(&st, -loads[row[1]](minute), &air)
			if st.AvailableAh <= 0 {
				life = (float64(i) + before/(before-st.AvailableAh)) * stepMin
				break
			}
		}
		name := row[0] + " " + row[1]
		assert.InDelta(t, number(t, row[3]), life, 0.01, "%s, published (from memory)", name)
		assert.InDelta(t, number(t, row[2]), life, 1e-4, "%s, closed form", name)
		published.see(life-number(t, row[3]), name)
		exact.see(life-number(t, row[2]), name)
	}
	published.report(t, "lifetime against published, min")
	exact.report(t, "lifetime against the closed form, min")
}

// Closed form of Manwell & McGowan, Solar Energy 50 (1993) 399-405.
func TestKineticStepIsTheClosedForm(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		c := rapid.Float64Range(.1, .9).Draw(r, "c")
		k := rapid.Float64Range(.05, 10).Draw(r, "k")
		dt := rapid.Float64Range(.001, 2).Draw(r, "step")
		p, err := NewPack(NewBatterySpec(ideal(t, c, k), 100, 1, 12), dt)
		if err != nil {
			r.Fatal(err)
		}
		st := p.Start(rapid.Float64Range(.3, .9).Draw(r, "soc"))
		amps := rapid.Float64Range(-20, 20).Draw(r, "amps") // above 0: charge
		y1, y2 := st.AvailableAh, st.BoundAh
		air := NormalAir()
		p.Advance(&st, amps, &air)

		i, y0, e := -amps, y1+y2, math.Exp(-k*dt)
		want1 := y1*e + (y0*k*c-i)*(1-e)/k - i*c*(k*dt-1+e)/k
		want2 := y2*e + y0*(1-c)*(1-e) - i*(1-c)*(k*dt-1+e)/k
		assert.InDelta(r, want1, st.AvailableAh, 1e-9*y0)
		assert.InDelta(r, want2, st.BoundAh, 1e-9*y0)
		assert.InDelta(r, y0-i*dt, st.AvailableAh+st.BoundAh, 1e-12*y0, "charge is conserved")

		// Largest currents of the paper.
		den := 1 - e + c*(k*dt-1+e)
		st = p.Start(.5)
		y1, y0 = st.AvailableAh, st.AvailableAh+st.BoundAh
		wells := (k*y1*e + y0*k*c*(1-e)) / den
		assert.InEpsilon(r, min(wells, p.SoC(st)*100/dt), p.DischargeLimitA(st, &air), 1e-9)
	})
}

func TestKineticStepDoublingChangesNothing(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		c := ideal(t, rapid.Float64Range(.1, .9).Draw(r, "c"), rapid.Float64Range(.05, 10).Draw(r, "k"))
		dt := rapid.Float64Range(.01, 1).Draw(r, "step")
		once, err1 := NewPack(NewBatterySpec(c, 100, 1, 12), 2*dt)
		twice, err2 := NewPack(NewBatterySpec(c, 100, 1, 12), dt)
		if err1 != nil || err2 != nil {
			r.Fatal(err1, err2)
		}
		amps := rapid.Float64Range(-10, 10).Draw(r, "amps")
		a := once.Start(.6)
		b, air := a, NormalAir()
		once.Advance(&a, amps, &air)
		twice.Advance(&b, amps, &air)
		twice.Advance(&b, amps, &air)
		assert.InDelta(r, a.AvailableAh, b.AvailableAh, 1e-10)
		assert.InDelta(r, a.BoundAh, b.BoundAh, 1e-10)
	})
}

// Capacities of data sheets at the 20, 10, 5 and 1 h rates (from memory).
var datasheetCapacity = map[string]map[float64]float64{
	"agm":     {20: 1, 10: .94, 5: .86, 1: .62},
	"gel":     {20: 1, 10: .93, 5: .84, 1: .58},
	"flooded": {20: 1, 10: .90, 5: .80, 1: .52},
}

func TestLeadCapacityByRate(t *testing.T) {
	var w worst
	for id, ratios := range datasheetCapacity {
		c := chemistry(t, id)
		c.SelfDischargePctMonth, c.MinSoC, c.MaxDischargeC = 0, 0, 10
		p := pack(t, NewBatterySpec(c, 100, 1, 12), 1.0/600)
		air := NormalAir()
		for hours, ratio := range ratios {
			got := runHours(p, 100*ratio/hours, &air) * ratio / hours
			assert.InDelta(t, ratio, got, 0.03, "%s at the %g h rate, data sheets (from memory)", id, hours)
			w.see(got-ratio, fmt.Sprintf("%s %g h", id, hours))
		}
	}
	w.report(t, "capacity by rate")
}

// runHours is how long a full bank carries a constant current.
func runHours(p *Pack, amps float64, air *PackAir) float64 {
	st, hours := p.Start(1), 0.0
	for {
		limit := p.DischargeLimitA(st, air)
		if limit < amps {
			return hours + p.stepH*limit/amps
		}
		p.Advance(&st, -amps, air)
		hours += p.stepH
	}
}

// Peukert's law in the form t = H (C/(I H))^k. 100 Ah at 20 h, k 1.2, 10 A give
// 8.7055 h: common textbook example (from memory).
func TestKineticModelAgainstPeukert(t *testing.T) {
	peukertH := func(capacityAh, ratedH, k, amps float64) float64 {
		return ratedH * math.Pow(capacityAh/(amps*ratedH), k)
	}
	assert.InDelta(t, 8.7055, peukertH(100, 20, 1.2, 10), 1e-4)

	// Exponents of battery texts (from memory), between the 20 and 5 h rates.
	ranges := map[string][2]float64{"flooded": {1.2, 1.6}, "agm": {1.05, 1.15}, "gel": {1.1, 1.25}}
	for id, exponents := range ranges {
		c := chemistry(t, id)
		c.SelfDischargePctMonth, c.MinSoC = 0, 0
		p := pack(t, NewBatterySpec(c, 100, 1, 12), 1.0/600)
		air := NormalAir()
		assert.InDelta(t, 20, runHours(p, 5, &air), 1e-3, "%s is rated at 20 h", id)
		fast := 100 * kineticShare(c.KineticC, c.KineticKPerH, 5) * kineticMax(c.KineticC, c.KineticKPerH) / 5
		k := math.Log(20/5.0) / math.Log(fast/5)
		assert.GreaterOrEqual(t, k, exponents[0]-.01, id)
		assert.LessOrEqual(t, k, exponents[1]+.01, id)
		var w worst
		for _, amps := range []float64{6, 8, 10, 14} {
			want := peukertH(100, 20, k, amps)
			got := runHours(p, amps, &air)
			assert.InEpsilon(t, want, got, .04, "%s at %g A", id, amps)
			w.see(got/want-1, fmt.Sprintf("%g A", amps))
		}
		w.report(t, fmt.Sprintf("%s: Peukert exponent %.3f; run time", id, k))
	}
}

func TestLeadRecoversAtRest(t *testing.T) {
	spec := NewBatterySpec(chemistry(t, "agm"), 100, 1, 12)
	spec.MinSoC = 0
	p := pack(t, spec, 1.0/60)
	st, air := p.Start(1), NormalAir()
	for p.DischargeLimitA(st, &air) >= 60 {
		p.Advance(&st, -60, &air)
	}
	under, left := p.InternalV(st), p.DischargeLimitA(st, &air)
	soc := p.SoC(st)
	for range 240 {
		p.Advance(&st, 0, &air)
	}
	assert.Greater(t, soc, .3, "the well is empty while the battery still holds charge")
	assert.Greater(t, p.InternalV(st), under+.1, "the voltage recovers")
	assert.Greater(t, p.DischargeLimitA(st, &air), 3*left)
	assert.InDelta(t, p.OCV(p.SoC(st)), p.InternalV(st), .02, "a rested bank shows its rest voltage")
}
