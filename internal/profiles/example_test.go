package profiles_test

import (
	"fmt"
	"math"

	"tripsim/internal/profiles"
)

// Two 100 Ah lithium batteries in parallel carry a 60 W load through a night
// of twelve hours.
func ExampleNewPack() {
	lithium, _ := profiles.ChemistryByID("lifepo4")
	pack, err := profiles.NewPack(profiles.NewBatterySpec(lithium, 100, 2, 12), 0.5)
	if err != nil {
		fmt.Println(err)
		return
	}
	air := profiles.NormalAir()
	state := pack.Start(1)
	for range 24 {
		amps := 60 / pack.InternalV(state)
		pack.Advance(&state, -min(amps, pack.DischargeLimitA(state, &air)), &air)
	}
	fmt.Printf("%.0f %% left at %.1f V\n", pack.SoC(state)*100, pack.InternalV(state))
	// Output: 73 % left at 13.4 V
}

// A lithium battery on a day between -9 and 11 C: charging is refused until it
// has warmed to 2 C.
func ExamplePackAirs() {
	lithium, _ := profiles.ChemistryByID("lifepo4")
	spec := profiles.NewBatterySpec(lithium, 100, 1, 12)
	airC := make([]float64, 24)
	for hour := range airC {
		airC[hour] = 1 - 10*math.Cos(2*math.Pi*float64(hour-4)/24)
	}
	air := make([]profiles.PackAir, len(airC))
	profiles.PackAirs(spec, airC, nil, 1, air, nil)
	for hour, a := range air {
		if hour > 0 && (a.ChargeFactor == 0) != (air[hour-1].ChargeFactor == 0) {
			fmt.Printf("hour %d, battery at %.1f C: charging allowed %t\n", hour, a.TempC, a.ChargeFactor > 0)
		}
	}
	// Output:
	// hour 3, battery at -1.0 C: charging allowed false
	// hour 15, battery at 3.0 C: charging allowed true
}

func ExampleInverter_InputW() {
	inverter, err := profiles.NewInverter(2000, math.NaN(), math.NaN(), 12)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f W idle, %.0f W for 1000 W\n", inverter.InputW(0), inverter.InputW(1000))
	// Output: 16 W idle, 1076 W for 1000 W
}

func ExampleFridgeModel_Step() {
	model := profiles.NewFridgeModel(profiles.Fridge{Litres: 50, SetpointC: 4, OpeningsPerDay: 15, WarmKgPerDay: 1}, 0.25)
	for _, airC := range []float64{16, 25, 32, 43} {
		state, wh := model.Start(airC), 0.0
		for i := range 10 * 96 {
			w, _ := model.Step(&state, airC, float64(i%96)/4, false)
			wh += w * 0.25 / 10
		}
		fmt.Printf("%g C: %.0f Wh a day\n", airC, wh)
	}
	// Output:
	// 16 C: 130 Wh a day
	// 25 C: 279 Wh a day
	// 32 C: 428 Wh a day
	// 43 C: 715 Wh a day
}

func ExampleRainflow() {
	for _, c := range profiles.Rainflow([]float64{1, 0.6, 0.8, 0.5, 1}) {
		fmt.Printf("%.1f deep, %.1f times\n", c.Range, c.Count)
	}
	// Output:
	// 0.2 deep, 1.0 times
	// 0.5 deep, 0.5 times
	// 0.5 deep, 0.5 times
}

// A 40 A charger seven metres from a starter battery: the current that it takes
// sizes the cable. To be confirmed by a licensed person.
func ExamplePickCable() {
	inputA := profiles.DCDCInputA(40*14.4, 0.9, 13)
	cable, err := profiles.PickCable(inputA, 7, 4, 12, 40)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f A: %g mm2, %.1f %% drop, fuse %g A\n", inputA, cable.MM2, cable.DropPct, cable.FuseA)
	// Output: 49 A: 35 mm2, 3.5 % drop, fuse 50 A
}
