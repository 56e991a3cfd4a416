package sim

import (
	"fmt"
	"math"
)

// BenchTest is one reading of a clamp meter after the fitting: battery about
// half charged, everything switched off but what the test says.
type BenchTest struct {
	Test    string  // what is done
	Run     string  // where the meter goes: the ID of a run
	ExpectA float64 // current; at the battery charging is positive
	PlusA   float64 // accept up to this much above ...
	MinusA  float64 // ... and this much below
	Note    string
}

// Tolerances of a reading: common practice, no source. A charger keeps its
// current to some 5 %, a clamp meter for direct current reads to 2-3 % and a
// few tenths of an ampere; the sun is anything up to the clear noon.
const (
	chargeTolerance = 0.10
	inputTolerance  = 0.15 // the voltage on the day is another
	meterA          = 0.5
	sunAbove        = 0.15
)

func tolerance(a, share float64) float64 { return math.Max(meterA, share*math.Abs(a)) }

func (f *fitting) layBench() {
	sys := f.System
	standbyA := sys.StandbyW / sys.Battery.NominalV
	f.Bench = append(f.Bench, BenchTest{
		Test: "everything off", Run: RunBattery, ExpectA: -standbyA, PlusA: standbyA, MinusA: meterA,
		Note: "more means that something draws unseen",
	})
	for i := range f.Modes {
		f.benchMode(&f.Modes[i])
	}
	f.benchLoads()
}

// benchMode reads every unit's output, its input from the alternator, and the
// battery where several units meet.
func (f *fitting) benchMode(m *ChargeMode) {
	switch m.Name {
	case ModeSunTypical: // nobody can wait for typical weather
		return
	case ModeDrivingLow:
		f.benchInputs(m, "voltage-controlled vehicles only")
		return
	}
	dark := f.withoutSun(m)
	units, order := outputs(m)
	unlit, _ := outputs(&dark)
	for _, c := range order {
		f.Bench = append(f.Bench, chargeReading(m.Name, numbered(RunCharger, c, len(f.System.Chargers)), units[c], unlit[c]))
	}
	if m.Name == ModeDriving {
		f.benchInputs(m, "")
	}
	if len(order) > 1 {
		f.Bench = append(f.Bench, chargeReading(m.Name, RunBattery, m.BatteryA, dark.BatteryA))
	}
}

// outputs adds up a mode's output per charger, and lists the chargers in order.
func outputs(m *ChargeMode) (sums map[int]float64, order []int) {
	sums = map[int]float64{}
	for i := range m.Inputs {
		in := &m.Inputs[i]
		if _, seen := sums[in.Charger]; !seen {
			order = append(order, in.Charger)
		}
		sums[in.Charger] += in.OutA
	}
	return sums, order
}

// withoutSun is the same mode in the dark.
func (f *fitting) withoutSun(m *ChargeMode) ChargeMode {
	s := supply{name: m.Name}
	for i := range m.Inputs {
		switch m.Inputs[i].Source {
		case SourceAlternator:
			s.alt, s.altV = true, f.UsualAlternatorV()
		case SourceMains:
			s.mns = true
		}
	}
	return f.mode(&s)
}

// chargeReading is a reading with the sun of a clear noon, right down to what
// it would be in the dark.
func chargeReading(mode, run string, a, darkA float64) BenchTest {
	t := BenchTest{Test: mode, Run: run, ExpectA: a, PlusA: tolerance(a, chargeTolerance), MinusA: tolerance(a, chargeTolerance)}
	if a > darkA*1.001 {
		t.PlusA, t.MinusA = tolerance(a, sunAbove), a-darkA*(1-chargeTolerance)
		t.Note = "a clear noon of the trip; less with less sun"
	}
	return t
}

// benchInputs reads the alternator's side of every unit.
func (f *fitting) benchInputs(m *ChargeMode, note string) {
	inputs := withAlternator(f.System)
	for n, c := range inputs {
		for i := range m.Inputs {
			in := &m.Inputs[i]
			if in.Charger != c || in.Source != SourceAlternator || in.OutA <= 0 {
				continue
			}
			text := note
			if text == "" {
				text = fmt.Sprintf("at %.1f V at the unit; more at less", in.InV)
			}
			f.Bench = append(f.Bench, BenchTest{
				Test: m.Name, Run: numbered(RunAlternator, n, len(inputs)), ExpectA: in.InA,
				PlusA: tolerance(in.InA, inputTolerance), MinusA: tolerance(in.InA, inputTolerance), Note: text,
			})
		}
	}
}

// benchLoads reads the inverter at idle and with a heater of known power, and
// the DC side with everything on.
func (f *fitting) benchLoads() {
	volt := f.pack.OCV(bulkSoC)
	if inv := &f.System.Inverter; inv.RatedW > 0 {
		idle := inv.IdleW / volt
		f.Bench = append(f.Bench, BenchTest{
			Test: "inverter on, nothing plugged in", Run: RunInverter, ExpectA: idle,
			PlusA: tolerance(idle, .5), MinusA: idle,
		})
		heaterW := 100 * math.Max(1, math.Round(inv.RatedW/200))
		a := f.underLoad(inv.InputW(heaterW))
		f.Bench = append(f.Bench, BenchTest{
			Test: fmt.Sprintf("inverter with a %.0f W heater", heaterW), Run: RunInverter,
			ExpectA: a, PlusA: tolerance(a, chargeTolerance), MinusA: tolerance(a, chargeTolerance),
			Note: "a kettle or heater of known power; in proportion for another",
		})
	}
	a := f.underLoad(f.dcW())
	f.Bench = append(f.Bench, BenchTest{
		Test: "all DC appliances on", Run: RunDC, ExpectA: a, PlusA: tolerance(a, inputTolerance),
		MinusA: a / 2, Note: "less while a fridge or pump rests",
	})
}

// underLoad is the current (A) of a load (W) on the half charged battery.
func (f *fitting) underLoad(loadW float64) float64 {
	_, amps := overCable(f.pack.InternalV(f.bulk), loadW, f.pack.ROhm)
	return amps
}
