package sim

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// inverter2000 is a 2,000 W inverter on 12 V.
func inverter(t testing.TB, watts float64) profiles.Inverter {
	t.Helper()
	inv, err := profiles.NewInverter(watts, 2*watts, nan, 12)
	require.NoError(t, err)
	return inv
}

func mild(t testing.TB, days int) Stop {
	s := stopAt(45, 10, zone(t, "UTC"), day(2026, 5, 1), days)
	s.TempMinC, s.TempMaxC = 20, 20
	return s
}

func typical(t testing.TB, stop Stop, loads []Load, sys *System) *Result {
	t.Helper()
	r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, loads).Typical(sys)
	require.NoError(t, err)
	checkResult(t, r)
	return r
}

func kinds(r *Result) []EventKind {
	var out []EventKind
	for _, e := range r.Events {
		out = append(out, e.Kind)
	}
	return out
}

func TestNonEssentialLoadsAreShedFirst(t *testing.T) {
	sys := bareSystem(t, 50)
	sys.ShedSoC = .5
	lamp := steady("lamp", 20)
	lamp.Essential = false
	loads := []Load{steady("fridge", 15), lamp}
	r := typical(t, mild(t, 2), loads, sys)
	assert.Greater(t, r.Loads[1].ShedWh, 100.0)
	assert.Zero(t, r.Loads[0].ShedWh)
	sys.ShedSoC = 0
	without := typical(t, mild(t, 2), loads, sys)
	assert.Zero(t, without.Loads[1].ShedWh)
	assert.Greater(t, without.FlatH, r.FlatH, "shedding keeps the essential loads alive longer")
}

func TestAPortablePackChargesOnlyWhileDocked(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive = Span{8, 4}
	sys := bareSystem(t, 100)
	sys.StartSoC = .3
	sys.Chargers = []Charger{{Name: "socket", AlternatorA: 10, Efficiency: .9}}
	full := typical(t, stop, nil, sys)
	sys.Docked = Span{8, 1}
	part := typical(t, stop, nil, sys)
	assert.InEpsilon(t, full.Total.AlternatorWh/4, part.Total.AlternatorWh, .01)
	sys.Docked, sys.DockedDays = Span{}, ParkedDays
	never := typical(t, stop, nil, sys)
	assert.Zero(t, never.Total.AlternatorWh)
}

func TestACoffeeMachineTripsASmallColdBattery(t *testing.T) {
	stop := mild(t, 1)
	stop.TempMinC, stop.TempMaxC = -15, -15
	sys := bareSystem(t, 60)
	sys.StartSoC, sys.Battery.MaxDischargeA = .25, 400
	sys.Battery.MinSoC, sys.Battery.ReconnectSoC = .02, .05
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	coffee := Load{Name: "coffee machine", Kind: Uses, Supply: AC, Watts: 1450, Duty: 1, TimesH: []float64{7}, Minutes: 6, Essential: true}
	r := typical(t, stop, []Load{coffee}, sys)
	require.Contains(t, kinds(r), LowVoltage)
	ev := r.Events[0]
	assert.Equal(t, "coffee machine", ev.Load)
	assert.Contains(t, ev.Detail, "while it still holds")
	assert.InDelta(t, 145, r.Loads[0].UnservedWh, 1e-6)
	assert.Zero(t, r.FlatH, "a tripped inverter is not a flat battery")
	sys.Battery.CapacityAh = 400
	assert.Empty(t, typical(t, stop, []Load{coffee}, sys).Events)
}

func TestTheBatterysOwnLimitCutsTheInverterOff(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Battery.MaxDischargeA = 100
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	hob := Load{Name: "hob", Kind: Uses, Supply: AC, Watts: 1800, Duty: 1, TimesH: []float64{12}, Minutes: 30, Essential: true}
	r := typical(t, mild(t, 1), []Load{hob}, sys)
	require.Equal(t, []EventKind{OverCurrent}, kinds(r))
	assert.Contains(t, r.Events[0].Detail, "limited to 100 A")
	assert.Len(t, r.Events[0].Times, 1, "two slots in a row are one time")
	assert.InDelta(t, .5, r.Events[0].Hours, 1e-9)
}

func TestTooMuchCurrentIsNotAFlatBattery(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Battery.MaxDischargeA = 50
	winch := Load{Name: "winch", Kind: Window, Watts: 1300, Duty: 1, Window: Span{12, .5}, Essential: true}
	r := typical(t, mild(t, 1), []Load{winch}, sys)
	require.Equal(t, []EventKind{OverCurrent}, kinds(r))
	assert.Zero(t, r.FlatH)
	assert.Greater(t, r.Total.UnservedWh, 200.0)
	assert.InDelta(t, 50, -r.Rows[12*4].BatteryA, 1e-9)
	assert.InDelta(t, r.Total.UnservedWh/1300, r.Rows[12*4].CutH()+r.Rows[12*4+1].CutH(), 1e-9, "off is what is not served")
	assert.Zero(t, r.Rows[0].CutH())
}

func TestTwoAppliancesBeyondTheInverterTakeTurns(t *testing.T) {
	sys := bareSystem(t, 400)
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterNeeded
	use := func(name string, w float64) Load {
		return Load{Name: name, Kind: Uses, Supply: AC, Watts: w, SurgeW: w, Duty: 1, TimesH: []float64{12}, Minutes: 15, Essential: true}
	}
	r := typical(t, mild(t, 2), []Load{use("hob", 1600), use("kettle", 1200)}, sys)
	require.Equal(t, []EventKind{Overload}, kinds(r))
	assert.Equal(t, "hob + kettle", r.Events[0].Load)
	assert.Len(t, r.Events[0].Times, 2, "on both days")
	assert.InDelta(t, 2*800*.25, r.Total.UnservedWh, 1e-6)
}

func TestAnApplianceTooBigForTheInverterIsNotItsLoad(t *testing.T) {
	stop := mild(t, 2)
	stop.Mains = Span{18, 10}
	sys := bareSystem(t, 100)
	sys.Inverter, sys.InverterMode, sys.ACTransfer = inverter(t, 1000), InverterNeeded, true
	kettle := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 2000, Duty: 1, TimesH: []float64{8, 19}, Minutes: 6, Essential: true}
	r := typical(t, stop, []Load{kettle}, sys)
	assert.InDelta(t, 2*200, r.Loads[0].NoOutletWh, 1e-6, "at 08:00 away from mains")
	assert.InDelta(t, 2*200, r.Total.TransferWh, 1e-6, "at 19:00 the site feeds it")
	assert.Zero(t, r.Total.UnservedWh)
	require.Equal(t, []EventKind{NoOutlet}, kinds(r))
	assert.Contains(t, r.Events[0].Detail, "too small")
}

func TestTheInverterWindowAndItsIdle(t *testing.T) {
	sys := bareSystem(t, 200)
	sys.Inverter = inverter(t, 1000)
	lamp := Load{Name: "lamp", Kind: Window, Supply: AC, Watts: 50, Duty: 1, Window: Span{16, 4}, Essential: true}
	losses := map[InverterMode]float64{}
	for _, m := range []InverterMode{InverterAlways, InverterNeeded, InverterWindow} {
		sys.InverterMode, sys.InverterSpan = m, Span{18, 4}
		r := typical(t, mild(t, 1), []Load{lamp}, sys)
		losses[m] = r.Total.InverterLossWh
		if m == InverterWindow {
			assert.InDelta(t, 100, r.Total.NoOutletWh, 1e-6, "16:00 to 18:00 the inverter is off")
		}
	}
	idle, loaded := sys.Inverter.InputW(0), sys.Inverter.InputW(50)-50
	assert.InDelta(t, 4*loaded, losses[InverterNeeded], 1e-6, "while the lamp is on")
	assert.InDelta(t, 4*loaded+20*idle, losses[InverterAlways], 1e-6)
	assert.InDelta(t, 2*loaded+2*idle, losses[InverterWindow], 1e-6, "18:00 to 20:00 with the lamp, then without")
}

func TestTheSitesLimitHoldsTheChargerBack(t *testing.T) {
	stop := mild(t, 1)
	stop.Mains, stop.MainsA = Span{8, 2}, 2 // 460 W
	sys := bareSystem(t, 200)
	sys.StartSoC, sys.ACTransfer = .2, true
	sys.Chargers = []Charger{{Name: "60 A mains", MainsA: 60, Efficiency: .9}}
	heater := Load{Name: "heater", Kind: Window, Supply: AC, Watts: 300, Duty: 1, Window: Span{8, 1}, Essential: true}
	r := typical(t, stop, []Load{heater}, sys)
	assert.InDelta(t, 160+460, r.Total.MainsWh, 1e-6, "what the heater leaves, then all of it")
	assert.InDelta(t, 300, r.Total.TransferWh, 1e-6)
	heater.Watts = 800
	r = typical(t, stop, []Load{heater}, sys)
	require.Contains(t, kinds(r), SiteLimit)
	assert.Contains(t, r.Events[0].Detail, "gives 460 W")
}

func TestAGeneratorIsAMainsSource(t *testing.T) {
	stop := mild(t, 1)
	stop.Generator, stop.GenW = Span{10, 2}, 900
	sys := bareSystem(t, 200)
	sys.StartSoC = .2
	sys.Chargers = []Charger{{Name: "30 A mains", MainsA: 30, Efficiency: .9}}
	r := typical(t, stop, nil, sys)
	assert.InEpsilon(t, 2*30*13.5/.9, r.Total.MainsWh, .03)
}

func TestASharedLimitTakesTheSunFirst(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive = Span{11, 2}
	sys := bareSystem(t, 200)
	sys.StartSoC = .2
	sys.Chargers = []Charger{{Name: "combined", AlternatorA: 40, SolarA: 40, TotalA: 40, Efficiency: .95}}
	sys.Panels = []Panel{{Name: "roof", RatedW: 400, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45, DeployedAlways: true}}
	r := typical(t, stop, nil, sys)
	for i := 11*4 + 1; i < 12*4; i++ {
		row := r.Rows[i]
		assert.InDelta(t, 40, row.BatteryA, .2, "the unit gives its 40 A")
		assert.Greater(t, row.SolarBusWh, row.AlternatorBusWh*.3)
		assert.InDelta(t, r.Traces.PanelW[i]*.25, row.SolarWh, 1e-6, "all the sun is taken")
	}
}

// A battery that has run flat connects its loads again at the state of charge
// set for it, not as soon as it leaves the cut-off.
func TestAFlatBatteryWaitsForItsReconnection(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive = Span{9, 4}
	sys := bareSystem(t, 100)
	sys.StartSoC = .12
	sys.Battery.MinSoC, sys.Battery.ReconnectSoC = .1, .3
	sys.Chargers = []Charger{{Name: "unit", AlternatorA: 20, Efficiency: .93}}
	r := typical(t, stop, []Load{steady("box", 60)}, sys)
	require.Len(t, r.Flats, 1)
	again := 0
	for i := 9 * 4; i < 13*4; i++ {
		if r.Rows[i].FlatH == 0 {
			again = i
			break
		}
	}
	require.NotZero(t, again)
	assert.GreaterOrEqual(t, r.Rows[again-1].SoC, .3, "where the loads come back")
	assert.Less(t, r.Rows[again-2].SoC, .3, "and not a step later")
	assert.InDelta(t, 60*.25, r.Rows[again].DCLoadWh, 1e-9)
}

// A worn-out battery that cannot even feed its own heater: what is not drawn is
// not booked, while an inverter waits for power.
func TestAFlatBatterysHeaterIsBookedOnlyWhenFed(t *testing.T) {
	stop := mild(t, 1)
	stop.TempMinC, stop.TempMaxC = -30, -30
	stop.Drive = Span{9, 4}
	sys := bareSystem(t, 1)
	sys.Battery.Health, sys.Battery.HeaterW, sys.Battery.MinSoC, sys.Battery.ReconnectSoC = .1, 500, .95, 1
	sys.Inverter, sys.InverterMode = inverter(t, 2000), InverterAlways
	r := typical(t, stop, []Load{steady("box", 60)}, sys)
	require.Greater(t, r.FlatH, 0.0)
	for i := range r.Rows {
		assert.GreaterOrEqual(t, r.Rows[i].DCLoadWh, -1e-9)
		assert.LessOrEqual(t, r.Rows[i].HeaterWh, r.Rows[i].InWh()+r.Rows[i].DischargedWh+1e-9, "row %d: %+v", i, r.Rows[i])
	}
}

func TestAPortablePanelIsStowedWhileDriving(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive = Span{11, 2}
	sys := bareSystem(t, 200)
	sys.StartSoC = .2
	sys.Chargers = []Charger{{Name: "regulator", SolarA: 40, Efficiency: .95}}
	sys.Panels = []Panel{{Name: "folding", RatedW: 100, Mount: Portable, AzimuthDeg: nan, TurnsPerDay: 3, TempCoeffPerK: -.0035, NOCTC: 45}}
	r := typical(t, stop, nil, sys)
	for i := 10 * 4; i < 14*4; i++ {
		if driving := i >= 11*4 && i < 13*4; driving {
			assert.Zero(t, r.Rows[i].SolarWh)
		} else {
			assert.Greater(t, r.Rows[i].SolarWh, 5.0)
		}
	}
}

func TestTheSpareAlternatorCurrentIsShared(t *testing.T) {
	stop := mild(t, 1)
	stop.Drive = Span{9, 3}
	sys := bareSystem(t, 400)
	sys.StartSoC, sys.AlternatorSpareA = .2, 40
	sys.Chargers = []Charger{{Name: "50 A", AlternatorA: 50, Efficiency: .9}, {Name: "30 A", AlternatorA: 30, Efficiency: .9}}
	r := typical(t, stop, nil, sys)
	for i := 9*4 + 4; i < 12*4; i++ {
		assert.LessOrEqual(t, r.Rows[i].AlternatorWh, 40*sys.AlternatorV()*.25+1e-9)
		assert.Greater(t, r.Rows[i].AlternatorWh, 0.5*40*sys.AlternatorV()*.25)
	}
}

func TestLithiumRefusesChargeOnAColdMorning(t *testing.T) {
	stop := mild(t, 2)
	stop.TempMinC, stop.TempMaxC, stop.Drive = -14, 6, Span{7, 2}
	sys := bareSystem(t, 100)
	sys.StartSoC = .4
	sys.Chargers = []Charger{{Name: "30 A", AlternatorA: 30, Efficiency: .9}}
	r := typical(t, stop, nil, sys)
	require.Contains(t, kinds(r), ChargeRefused)
	assert.True(t, r.Days[0].Refused)
	sys.Battery.HeaterW = 80
	heated := typical(t, stop, nil, sys)
	assert.Greater(t, heated.Total.ChargedWh, r.Total.ChargedWh)
	assert.Greater(t, heated.Total.HeaterWh, 0.0)
}

func TestAFlatSpellNamesItsCause(t *testing.T) {
	sys := bareSystem(t, 20)
	r := typical(t, mild(t, 2), []Load{steady("heater fan", 30), steady("lamp", 5)}, sys)
	require.NotEmpty(t, r.Flats)
	cause := r.Flats[0].Cause
	for _, want := range []string{"heater fan", "no solar panel", "no charger from the alternator", "no mains"} {
		assert.Contains(t, cause, want)
	}
	assert.Equal(t, "heater fan", r.Flats[0].Drew[0].Name)
	assert.True(t, strings.HasSuffix(cause, "."))
	assert.Equal(t, r.Days[len(r.Days)-1].Flat(), true)
}

func TestUseSpreadChangesDrawsButNotTheirMean(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	opt := DefaultOptions()
	opt.UseSpread = .3
	s, err := NewStudy(trip, loads, opt)
	require.NoError(t, err)
	a, err := s.RunDraw(sys, 1)
	require.NoError(t, err)
	b, err := s.RunDraw(sys, 2)
	require.NoError(t, err)
	assert.NotEqual(t, a.Loads[2].AskedWh, b.Loads[2].AskedWh)
	sum := 0.0
	const n = 4000
	for k := range uint64(n) {
		sum += s.useOf(k).factors[2]
	}
	assert.InDelta(t, 1, sum/n, .02)
}

func TestSystemsThatCannotBeAreRefused(t *testing.T) {
	s := mustStudy(t, &Trip{Stops: []Stop{mild(t, 1)}}, nil)
	bad := bareSystem(t, 100)
	bad.Chargers = []Charger{{Name: "c", AlternatorA: 10}}
	_, err := s.Typical(bad)
	assert.ErrorContains(t, err, "efficiency")
	bad.Chargers[0].Efficiency = .9
	bad.Panels = []Panel{{Name: "p", RatedW: 100}}
	_, err = s.Typical(bad)
	assert.ErrorContains(t, err, "solar input")
	bad.Panels = nil
	bad.Battery.CapacityAh = -1
	_, err = s.Typical(bad)
	assert.Error(t, err)
}

// A winter night in Lapland: outside the fridge rests, and the adviser is told
// so; in a heated room it works as at the room's temperature.
func TestAFridgeInTheFrostIsNoted(t *testing.T) {
	trip := &Trip{Stops: []Stop{stopAt(67.9, 23.7, zone(t, "Europe/Helsinki"), day(2026, 1, 10), 3)}}
	box := &profiles.Fridge{Litres: 40, SetpointC: 5, OpeningsPerDay: 15, WarmKgPerDay: 1}
	heated := *box
	heated.Sheltered, heated.AmbientMinC = true, 18
	r, err := mustStudy(t, trip, []Load{{Name: "canopy", Kind: Fridge, Fridge: box}, {Name: "cabin", Kind: Fridge, Fridge: &heated}}).
		Typical(bareSystem(t, 200))
	require.NoError(t, err)
	var told []string
	for _, e := range r.Events {
		if e.Kind == FridgeIdle {
			told = append(told, e.Load)
			assert.Contains(t, e.Detail, "ambient_min_c")
		}
	}
	assert.Equal(t, []string{"canopy"}, told)
	assert.Less(t, r.Loads[0].DutyMean, idleDuty)
	assert.Greater(t, r.Loads[1].DutyMean, 2*idleDuty)
}
