package profiles

import (
	"testing"
)

// BenchmarkPackStep is what the step kernel calls of a bank in every step.
func BenchmarkPackStep(b *testing.B) {
	for _, id := range []string{"lifepo4", "agm"} {
		b.Run(id, func(b *testing.B) {
			chemistry, _ := ChemistryByID(id)
			p, err := NewPack(NewBatterySpec(chemistry, 100, 2, 12), 1.0/12)
			if err != nil {
				b.Fatal(err)
			}
			air := NormalAir()
			st := p.Start(0.8)
			sum := 0.0
			b.ReportAllocs()
			i := 0
			for b.Loop() {
				v := p.InternalV(st)
				c := p.ChargeLimitA(st, v, &air)
				d := p.DischargeLimitA(st, &air)
				wantA := 30.0
				if i&64 != 0 {
					wantA = -30
				}
				i++
				loss, self := p.Advance(&st, min(max(wantA, -d), c), &air)
				sum += v + loss + self
			}
			sink = sum
		})
	}
}

func BenchmarkFridgeStep(b *testing.B) {
	f := Fridge{Litres: 50, SetpointC: 4, OpeningsPerDay: 15, WarmKgPerDay: 1}
	m := NewFridgeModel(f, 1.0/12)
	st := m.Start(25)
	sum, hour := 0.0, 0.0
	b.ReportAllocs()
	for b.Loop() {
		w, _ := m.Step(&st, 28, hour, false)
		sum += w
		if hour += 1.0 / 12; hour >= 24 {
			hour = 0
		}
	}
	sink = sum
}

func BenchmarkPackAirs(b *testing.B) {
	chemistry, _ := ChemistryByID("lifepo4")
	spec := NewBatterySpec(chemistry, 100, 2, 12)
	air := make([]float64, 14*288)
	for i := range air {
		air[i] = 10 + float64(i%288)/20
	}
	dst := make([]PackAir, len(air))
	b.ReportAllocs()
	for b.Loop() {
		PackAirs(spec, air, nil, 1.0/12, dst, nil)
	}
}

func BenchmarkNewPack(b *testing.B) {
	chemistry, _ := ChemistryByID("agm")
	spec := NewBatterySpec(chemistry, 100, 2, 12)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewPack(spec, 1.0/12); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkInverterInput(b *testing.B) {
	v, _ := NewInverter(2000, 4000, 16, 12)
	sum, w := 0.0, 0.0
	for b.Loop() {
		w += 1
		sum += v.InputW(w)
	}
	sink = sum
}

var sink float64
