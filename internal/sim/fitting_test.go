package sim

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tripsim/internal/profiles"
	"tripsim/internal/solar"
)

// fittingTrip is a few driving days in the desert with a powered site.
func fittingTrip(t testing.TB) *Trip {
	stop := stopAt(30.92, -6.91, zone(t, "Africa/Casablanca"), day(2026, 10, 3), 4)
	stop.Drive, stop.Mains = Span{9, 4}, Span{17, 6}
	return &Trip{Stops: []Stop{stop}}
}

func roofPanel(watts float64, charger int) Panel {
	return Panel{Name: "Roof", RatedW: watts, AzimuthDeg: nan, Charger: charger, TempCoeffPerK: -0.0035, NOCTC: 45}
}

func tandemSystem(t testing.TB) *System {
	sys := bareSystem(t, 200)
	sys.Name, sys.Battery.Count, sys.ACTransfer = "tandem", 2, true
	inv, err := profiles.NewInverter(2000, 4000, 14, 12)
	require.NoError(t, err)
	sys.Inverter, sys.InverterMode = inv, InverterNeeded
	sys.Chargers = []Charger{
		{Name: "Combined", AlternatorA: 30, SolarA: 30, MainsA: 30, TotalA: 30, Efficiency: 0.92},
		{Name: "DC-DC", AlternatorA: 50, Efficiency: 0.94, Priority: 1},
	}
	sys.Panels = []Panel{roofPanel(320, 0)}
	return sys
}

func fit(t testing.TB, sys *System, loads []Load, change func(*FittingOptions)) *Fitting {
	t.Helper()
	o := DefaultFittingOptions()
	if change != nil {
		change(&o)
	}
	f, err := mustStudy(t, fittingTrip(t), loads).Fitting(sys, o)
	require.NoError(t, err)
	return f
}

func modeOf(t testing.TB, f *Fitting, name string) *ChargeMode {
	t.Helper()
	for i := range f.Modes {
		if f.Modes[i].Name == name {
			return &f.Modes[i]
		}
	}
	require.Fail(t, "no mode "+name)
	return nil
}

func runOf(t testing.TB, f *Fitting, id string) *FittingRun {
	t.Helper()
	for i := range f.Runs {
		if f.Runs[i].ID == id {
			return &f.Runs[i]
		}
	}
	require.Fail(t, "no run "+id)
	return nil
}

// common practice, no source: 30 A and 50 A in tandem are 80 A; a combined unit
// shares its limit between its inputs, solar first.
func TestUnitsInTandemAddUpAndACombinedUnitShares(t *testing.T) {
	f := fit(t, tandemSystem(t), []Load{steady("fridge", 20)}, nil)
	assert.InDelta(t, 80, modeOf(t, f, ModeDriving).BatteryA, 1e-9)
	assert.InDelta(t, 30, modeOf(t, f, ModeMains).BatteryA, 1e-9)
	sunny := modeOf(t, f, ModeDrivingSun)
	assert.InDelta(t, 80, sunny.BatteryA, 1e-9)
	sun := modeOf(t, f, ModeSunClear).BatteryA
	require.Len(t, sunny.Inputs, 3)
	assert.Equal(t, []string{SourceSolar, SourceAlternator, SourceAlternator},
		[]string{sunny.Inputs[0].Source, sunny.Inputs[1].Source, sunny.Inputs[2].Source})
	assert.InDelta(t, sun, sunny.Inputs[0].OutA, 0.02*sun, "a little less at the higher voltage")
	assert.InDelta(t, 30-sunny.Inputs[0].OutA, sunny.Inputs[1].OutA, 1e-9)
	assert.Equal(t, LimitUnit, sunny.Inputs[1].Limit)
	assert.Less(t, modeOf(t, f, ModeSunTypical).BatteryA, sun)
}

// common practice, no source: 2,000 W on 12 V are 170 to 190 A, on 24 V half of
// that and on 48 V a quarter.
func TestTwoKilowattsAre170To190AOn12V(t *testing.T) {
	for nominal, share := range map[float64]float64{12: 1, 24: 2, 48: 4} {
		sys := tandemSystem(t)
		sys.Battery.NominalV = nominal
		inv, err := profiles.NewInverter(2000, 4000, 14, nominal)
		require.NoError(t, err)
		sys.Inverter = inv
		f := fit(t, sys, nil, nil)
		r := runOf(t, f, RunInverter)
		assert.Greater(t, r.DesignA*share, 170.0)
		assert.Less(t, r.DesignA*share, 190.0)
		// Twice the power at a sagging voltage: about twice the current, a little more.
		assert.Greater(t, r.PeakA, 2*r.DesignA)
		assert.Less(t, r.PeakA, 2.4*r.DesignA)
		assert.Equal(t, nominal, r.NominalV)
	}
}

// By hand: 40 A at 14.4 V are 576 W, through 93 % 619.4 W; at 12.2 V less 3 % of
// 12 V, 11.84 V, that is 52.3 A. 5 m one way within 0.36 V: 0.36/52.3/10 m =
// 0.688 ohm/km, so 35 mm2 (IEC 60228 class 5: 25 mm2 0.780, 35 mm2 0.554).
func TestAlternatorRunByHand(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Chargers = []Charger{{Name: "DC-DC", AlternatorA: 40, Efficiency: 0.93}}
	f := fit(t, sys, nil, nil)
	r := runOf(t, f, RunAlternator)
	assert.InDelta(t, 52.3, r.DesignA, 0.05)
	assert.Equal(t, 35.0, r.Cable.MM2)
	assert.Equal(t, 60.0, r.Cable.FuseA)
	assert.Less(t, r.Cable.DropV, 0.36)
	assert.Equal(t, 5.0, r.OneWayM)

	// Over 2 m: 0.36/52.3/4 m = 1.72 ohm/km, so 16 mm2 (1.21; 10 mm2 has 1.91).
	short := fit(t, sys, nil, func(o *FittingOptions) { o.RunM = map[string]float64{"alternator": 2} })
	assert.Equal(t, 16.0, runOf(t, short, RunAlternator).Cable.MM2)
}

// A charger holds its output by taking more current from a lower voltage
// (P = U I): the input powers are equal, the currents are not.
func TestLowVoltageTakesMoreCurrentForTheSamePower(t *testing.T) {
	f := fit(t, tandemSystem(t), nil, nil)
	usual, low := modeOf(t, f, ModeDriving), modeOf(t, f, ModeDrivingLow)
	for i := range usual.Inputs {
		a, b := usual.Inputs[i], low.Inputs[i]
		assert.InDelta(t, a.InA*a.InV, b.InA*b.InV, 1e-6)
		assert.Greater(t, b.InA, a.InA*1.1)
		assert.Less(t, a.InV, 13.8)
		assert.Less(t, b.InV, 12.2)
		assert.InDelta(t, a.OutA*usual.BatteryV/f.System.Chargers[a.Charger].Efficiency, a.InA*a.InV, 1e-6, "the unit's efficiency")
		r := runOf(t, f, fmt.Sprintf("alternator-%d", i+1))
		assert.InDelta(t, 13.8-a.InV, a.InA*r.Cable.RunOhm(r.OneWayM), 1e-9, "the cable's drop")
		assert.LessOrEqual(t, b.InA, r.DesignA, "the cable is made for it")
	}
}

func TestTheAlternatorsSpareCurrentIsShared(t *testing.T) {
	sys := tandemSystem(t)
	sys.AlternatorSpareA = 60
	f := fit(t, sys, nil, nil)
	m := modeOf(t, f, ModeDriving)
	inW := 0.0
	for _, in := range m.Inputs {
		inW += in.InA * in.InV
	}
	assert.InDelta(t, 60*13.8, inW, 1e-6)
	assert.InDelta(t, 30, m.Inputs[0].OutA, 1e-9, "the unit of the first priority has all it can take")
	assert.Equal(t, LimitAlternator, m.Inputs[1].Limit)
	assert.Contains(t, fmt.Sprint(f.Cautions), "the alternator has 60 A to spare")
}

// A lead battery's data sheet limit of 0.3 C (presets) binds before a 40 A unit.
func TestTheBatterysLimitHoldsTheChargerBack(t *testing.T) {
	agm, ok := profiles.ChemistryByID("agm")
	require.True(t, ok)
	sys := bareSystem(t, 100)
	sys.Battery = profiles.NewBatterySpec(agm, 100, 1, 12)
	sys.Chargers = []Charger{{Name: "DC-DC", AlternatorA: 40, Efficiency: 0.93}}
	f := fit(t, sys, nil, nil)
	m := modeOf(t, f, ModeDriving)
	assert.InDelta(t, 30, m.BatteryA, 1e-9)
	assert.InDelta(t, 40, m.OfferA, 1e-9)
	assert.Equal(t, LimitBattery, m.Limit)
	assert.InDelta(t, 30, m.Inputs[0].OutA, 1e-9)
	assert.Contains(t, fmt.Sprint(f.Cautions), "can give 40 A together, the battery is to have no more than 30 A")
	assert.Equal(t, 40.0, runOf(t, f, RunCharger).DesignA, "the cable is for what the unit can give")
}

func TestASiteThatIsTooSmallHoldsTheMainsChargerBack(t *testing.T) {
	sys := bareSystem(t, 400)
	sys.Chargers = []Charger{{Name: "Mains", MainsA: 120, Efficiency: 0.9}}
	trip := fittingTrip(t)
	trip.Stops[0].MainsA = 6 // 1,380 W
	f, err := mustStudy(t, trip, nil).Fitting(sys, DefaultFittingOptions())
	require.NoError(t, err)
	in := modeOf(t, f, ModeMains).Inputs[0]
	assert.InDelta(t, 6, in.InA, 1e-9)
	assert.Equal(t, LimitSite, in.Limit)
}

// The simulation's own largest currents: the sheet's come from the same run.
func TestTripCurrentsAreThoseOfTheSimulation(t *testing.T) {
	sys := tandemSystem(t)
	sys.Chargers = sys.Chargers[:1]
	loads := []Load{
		steady("fridge", 20),
		{Name: "hob", Kind: Uses, Supply: AC, Watts: 1500, Duty: 1, TimesH: []float64{7.5}, Minutes: 20, Essential: true},
	}
	study := mustStudy(t, fittingTrip(t), loads)
	f, err := study.Fitting(sys, DefaultFittingOptions())
	require.NoError(t, err)
	r, err := study.Typical(sys)
	require.NoError(t, err)
	var out, in, alternator float64
	for i := range r.Rows {
		out, in = math.Max(out, r.Rows[i].PeakA), math.Max(in, r.Rows[i].BatteryA)
		alternator = math.Max(alternator, r.Rows[i].InputA)
	}
	assert.InDelta(t, math.Max(out, in), runOf(t, f, RunBattery).TripA, 1e-9)
	assert.InDelta(t, alternator, runOf(t, f, RunAlternator).TripA, 1e-6*alternator)
	inverter := runOf(t, f, RunInverter).TripA
	assert.Less(t, inverter, out, "the fridge is on beside the hob")
	assert.InDelta(t, out-20/12.8, inverter, 1)
	assert.LessOrEqual(t, runOf(t, f, RunCharger).TripA, 30+1e-9)
	assert.InDelta(t, 320*.7/18, runOf(t, f, RunPanel).TripA, 4, "a flat panel at noon in October")
}

func TestSharesOfUnitsAddUpToTheKernelsOffer(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(r, "units")
		k := kernel{pvBusW: make([][]float64, n)}
		amps := rapid.Float64Range(0, 80)
		for u := range n {
			eff := rapid.Float64Range(.8, 1).Draw(r, "eff")
			k.units = append(k.units, unit{amps.Draw(r, "sun"), amps.Draw(r, "alt"), amps.Draw(r, "mains"), amps.Draw(r, "total"), eff, 1 / eff})
			k.pvBusW[u] = []float64{rapid.Float64Range(0, 900).Draw(r, "pv")}
		}
		d := drive{
			drv: rapid.Float64Range(0, 1).Draw(r, "drv"), mns: rapid.Float64Range(0, 1).Draw(r, "mns"),
			altW: rapid.Float64Range(0, 2000).Draw(r, "altW"), mainsW: rapid.Float64Range(0, 2000).Draw(r, "mainsW"), sourced: true,
		}
		volt := rapid.Float64Range(11, 15).Draw(r, "volt")
		var o offer
		k.gather(0, &d, volt, &o)
		shares := k.split(0, &d, volt)
		require.Len(r, k.units, n)
		for s := range 3 {
			sum := 0.0
			for _, u := range shares {
				sum += u[s]
				assert.GreaterOrEqual(r, u[s], -1e-9)
			}
			assert.InDelta(r, o.ampA[s]+o.powW[s]/volt, sum, 1e-9)
		}
	})
}

func TestEveryRunIsFusedAboveItsCurrentAndBelowItsCable(t *testing.T) {
	loads := []Load{steady("fridge", 45), {Name: "compressor", Kind: Uses, Supply: DC, Watts: 300, SurgeW: 700, Duty: 1, TimesH: []float64{12}, Minutes: 5}}
	f := fit(t, tandemSystem(t), loads, nil)
	require.Len(t, f.Runs, 8)
	for _, r := range f.Runs {
		require.Empty(t, r.NoCable)
		assert.Greater(t, r.Cable.FuseA, r.DesignA, r.ID)
		assert.LessOrEqual(t, r.Cable.FuseA, r.Cable.AmpacityA, r.ID)
		assert.LessOrEqual(t, r.Cable.DropPct, 3.0, r.ID)
		assert.LessOrEqual(t, r.TripA, r.DesignA*1.001, "%s: the trip stays below the ratings", r.ID)
		if !math.IsNaN(r.PeakA) {
			assert.Greater(t, r.PeakA, r.DesignA, r.ID)
		}
	}
	dc := runOf(t, f, RunDC)
	assert.InDelta(t, 345.0/12, dc.DesignA, 0.5)
	assert.InDelta(t, 400.0/12, dc.PeakA-dc.DesignA, 0.5)
}

// IEC 62548 (from memory): 1.25 times the short-circuit current; by hand 320 W
// at 18 V are 17.8 A, times 1.08 and 1.25 are 24.0 A.
func TestPanelRun(t *testing.T) {
	f := fit(t, tandemSystem(t), nil, nil)
	assert.InDelta(t, 24.0, runOf(t, f, RunPanel).DesignA, 1e-9)
	f = fit(t, tandemSystem(t), nil, func(o *FittingOptions) { o.PanelV = 36 })
	assert.InDelta(t, 12.0, runOf(t, f, RunPanel).DesignA, 1e-9)
}

// The clear noon by hand: the clear-sky irradiance of early October at 31
// degrees north is about 800 W/m2 on the level (Haurwitz 1945 at the noon
// zenith of 31 + 4.5 degrees gives 831), so 320 W give some 235 W when hot.
func TestClearNoonIsTheClearSky(t *testing.T) {
	f := fit(t, tandemSystem(t), nil, nil)
	m := modeOf(t, f, ModeSunClear)
	panelW := m.Inputs[0].InA * m.Inputs[0].InV
	ghi := solar.HaurwitzGHI(30.92 + 4.5)
	assert.InDelta(t, 320*ghi/1000*(1-0.0035*(28+25.0/800*ghi-25)), panelW, 0.06*panelW)
}

func TestRunNamesAndLengths(t *testing.T) {
	sys := tandemSystem(t)
	assert.Equal(t, []string{"battery", "inverter", "dc", "charger-1", "charger-2", "alternator-1", "alternator-2", "panel"}, RunIDs(sys))
	f := fit(t, sys, nil, func(o *FittingOptions) {
		o.RunM = map[string]float64{"alternator": 6, "alternator-2": 3, "battery": 0.4}
	})
	assert.Equal(t, 6.0, runOf(t, f, "alternator-1").OneWayM)
	assert.Equal(t, 3.0, runOf(t, f, "alternator-2").OneWayM)
	assert.Equal(t, 0.4, runOf(t, f, "battery").OneWayM)
	assert.Equal(t, 1.0, runOf(t, f, "inverter").OneWayM)

	for bad, change := range map[string]func(*FittingOptions){
		"no run \"alternater\"":    func(o *FittingOptions) { o.RunM = map[string]float64{"alternater": 6} },
		"a length of -1 m":         func(o *FittingOptions) { o.RunM = map[string]float64{"battery": -1} },
		"a length of NaN m":        func(o *FittingOptions) { o.RunM = map[string]float64{"battery": nan} },
		"drop of 0 %":              func(o *FittingOptions) { o.DropPct = 0 },
		"80 °C is not":             func(o *FittingOptions) { o.AirC = 80 },
		"a vehicle of 6 V":         func(o *FittingOptions) { o.VehicleV = 6 },
		"not between 10 and 600 V": func(o *FittingOptions) { o.PanelV = 2 },
	} {
		o := DefaultFittingOptions()
		change(&o)
		_, err := mustStudy(t, fittingTrip(t), nil).Fitting(sys, o)
		assert.ErrorContains(t, err, bad)
	}
}

func TestABareBatteryHasASheet(t *testing.T) {
	f := fit(t, bareSystem(t, 100), nil, nil)
	assert.Empty(t, f.Modes)
	require.Len(t, f.Runs, 2)
	for _, r := range f.Runs {
		assert.Zero(t, r.DesignA)
		assert.Empty(t, r.NoCable)
	}
	assert.NotEmpty(t, f.Cautions)
}

func TestAWeakBatteryUnderABigInverterIsNamed(t *testing.T) {
	sys := tandemSystem(t)
	sys.Battery = lithium(t, 60)
	f := fit(t, sys, nil, nil)
	text := fmt.Sprint(f.Cautions)
	assert.Contains(t, text, "the battery gives 60 A at most")
	assert.Contains(t, text, "switches off below 10.5 V")
	for _, r := range f.Runs {
		assert.False(t, math.IsInf(r.DesignA, 0) || math.IsNaN(r.DesignA), r.ID)
	}
}

// Meter readings are around what the modes say, and fall with the sun only
// where nothing else fills up.
func TestBenchReadings(t *testing.T) {
	f := fit(t, tandemSystem(t), []Load{steady("fridge", 20)}, nil)
	read := func(test, run string) BenchTest {
		for _, b := range f.Bench {
			if b.Test == test && b.Run == run {
				return b
			}
		}
		require.Fail(t, test+" at "+run)
		return BenchTest{}
	}
	both := read(ModeDriving, RunBattery)
	assert.Equal(t, []float64{80, 8, 8}, []float64{both.ExpectA, both.PlusA, both.MinusA})
	assert.InDelta(t, 3, read(ModeDrivingSun, "charger-1").MinusA, 1e-6, "the alternator fills up what the sun lacks")
	sun := read(ModeSunClear, "charger-1")
	assert.InDelta(t, sun.ExpectA, sun.MinusA, 1e-9, "no sun, no current")
	heater := read("inverter with a 1000 W heater", RunInverter)
	assert.InDelta(t, 1089/13.1, heater.ExpectA, 2)
	for _, b := range f.Bench {
		assert.GreaterOrEqual(t, b.PlusA, 0.0)
		assert.GreaterOrEqual(t, b.MinusA, 0.0)
		assert.NotEqual(t, ModeSunTypical, b.Test)
	}
}

func ExampleStudy_Fitting() {
	c, _ := profiles.ChemistryByID("lifepo4")
	sys := &System{
		Name: "Touring", Battery: profiles.NewBatterySpec(c, 200, 1, 12), StartSoC: 1, AlternatorSpareA: 80,
		Chargers: []Charger{{Name: "DC-DC 40 A", AlternatorA: 40, Efficiency: 0.93}},
	}
	sys.Inverter, _ = profiles.NewInverter(2000, 4000, 14, 12)
	trip := &Trip{Stops: []Stop{{
		Date: time.Date(2026, 10, 3, 0, 0, 0, 0, time.UTC), Days: 2, Place: "Ouarzazate",
		Position: solar.Place{LatDeg: 30.92, LonDeg: -6.91, ElevationM: 1140}, Zone: time.UTC, Drive: Span{9, 3},
		SunKWhM2: math.NaN(), TempMinC: math.NaN(), TempMaxC: math.NaN(),
	}}}
	study, err := NewStudy(trip, nil, DefaultOptions())
	if err != nil {
		panic(err)
	}
	sheet, err := study.Fitting(sys, DefaultFittingOptions())
	if err != nil {
		panic(err)
	}
	for _, r := range sheet.Runs {
		fmt.Printf("%-10s %3.0f A: %.0f mm², fuse %.0f A, %.1f %%\n", r.ID, r.DesignA, r.Cable.MM2, r.Cable.FuseA, r.Cable.DropPct)
	}
	// Output:
	// battery    183 A: 70 mm², fuse 200 A, 0.5 %
	// inverter   183 A: 70 mm², fuse 200 A, 1.0 %
	// dc           0 A: 1 mm², fuse 1 A, 0.0 %
	// charger     40 A: 10 mm², fuse 50 A, 2.2 %
	// alternator  52 A: 35 mm², fuse 60 A, 2.6 %
}

// A portable panel is stowed on the road: it counts in the sun, not in driving
// and sun, unless it is always out.
func TestPortablePanelsAreStowedWhileDriving(t *testing.T) {
	sys := tandemSystem(t)
	roofAlone := modeOf(t, fit(t, sys, nil, nil), ModeDrivingSun).Inputs[0].OutA
	folding := roofPanel(100, 0)
	folding.Name, folding.Mount = "folding", Portable
	sys.Panels = append(sys.Panels, folding)
	f := fit(t, sys, nil, nil)
	assert.InDelta(t, roofAlone, modeOf(t, f, ModeDrivingSun).Inputs[0].OutA, 1e-9)
	assert.Greater(t, modeOf(t, f, ModeSunClear).OfferA, roofAlone+2)

	sys.Panels = sys.Panels[1:]
	for _, m := range fit(t, sys, nil, nil).Modes {
		assert.NotEqual(t, ModeDrivingSun, m.Name, "no panel is out")
	}
	sys.Panels[0].DeployedAlways = true
	assert.Positive(t, modeOf(t, fit(t, sys, nil, nil), ModeDrivingSun).Inputs[0].OutA)
}
