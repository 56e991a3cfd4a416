package sim

import (
	"context"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// thirsty is six days of which only the first is driven, on a battery too small
// for it; invented.
func thirsty(t testing.TB) (*Study, *System) {
	z := zone(t, "Europe/Oslo")
	drive := stopAt(60, 8, z, day(2026, 8, 1), 1)
	drive.Drive = Span{9, 3}
	parked := stopAt(60, 8, z, day(2026, 8, 2), 5)
	parked.Place = "Lake"
	loads := []Load{
		{Name: "fridge", Kind: Fridge, Essential: true, Fridge: &profiles.Fridge{Litres: 50, SetpointC: 4}},
		steady("standby", 5),
		{Name: "fan", Kind: Window, Watts: 20, Duty: 1, Window: Span{18, 8}},
		{Name: "coffee", Kind: Uses, Supply: AC, Watts: 900, Duty: 1, TimesH: []float64{7.5}, Minutes: 6, Essential: true},
	}
	inv, err := profiles.NewInverter(1500, 3000, nan, 12)
	require.NoError(t, err)
	sys := withDCDC(bareSystem(t, 120), 30)
	sys.Inverter, sys.InverterMode = inv, InverterAlways
	return mustStudy(t, &Trip{Stops: []Stop{drive, parked}}, loads), sys
}

func advise(t testing.TB, s *Study, sys *System, draws int) *Advice {
	a, err := s.Advise(context.Background(), sys, Goal{}, draws, nil)
	require.NoError(t, err)
	return a
}

func fixOf(a *Advice, kind FixKind) *Fix {
	i := slices.IndexFunc(a.Fixes, func(f Fix) bool { return f.Kind == kind })
	if i < 0 {
		return nil
	}
	return &a.Fixes[i]
}

func TestEveryKindOfFixIsTriedAndRanked(t *testing.T) {
	s, sys := thirsty(t)
	a := advise(t, s, sys, 60)
	require.Greater(t, a.Before.FlatDraws, 0)
	for _, kind := range []FixKind{MoreDriving, PoweredNight, PortablePanel, LargerCharger, LargerBattery, WarmerFridge, InverterOffAtNight, InverterWhenNeeded, WithoutLoad} {
		f := fixOf(a, kind)
		require.NotNil(t, f, kind)
		assert.LessOrEqual(t, f.Risk.FlatDraws, a.Before.FlatDraws, kind)
		assert.LessOrEqual(t, f.Unserved.Mean, 1e-9, kind)
		t.Logf("%-22s %-8s %-22s %4g->%-4g %5.1f %% %+.0f Wh %s", f.Kind, f.Place, f.What, f.From, f.To, 100*f.Risk.Flat.Share, f.Unserved.Mean, f.Adds)
	}
	assert.Nil(t, fixOf(a, FullStart), "it starts full")
	for i := 1; i < len(a.Fixes); i++ {
		assert.LessOrEqual(t, a.Fixes[i-1].Risk.FlatDraws, a.Fixes[i].Risk.FlatDraws)
	}
	assert.Equal(t, "fan", fixOf(a, WithoutLoad).What)
	assert.NotEmpty(t, fixOf(a, PoweredNight).Adds, "the system has no mains charger")
	assert.NotEmpty(t, fixOf(a, PortablePanel).Adds, "nor a regulator")
	assert.NotEmpty(t, fixOf(a, MoreDriving).Others, "other days were tried")
}

// What a fix says is what the changed trip does: run on its own, with its own
// study and the same seed, the changed system has the same risk.
func TestAFixIsWhatTheChangedTripDoes(t *testing.T) {
	s, sys := thirsty(t)
	a := advise(t, s, sys, 50)
	for _, kind := range []FixKind{PoweredNight, LargerBattery, WarmerFridge, WithoutLoad, InverterWhenNeeded, MoreDriving} {
		f := fixOf(a, kind)
		trip, loads, changed := f.Changed()
		risks, err := mustStudy(t, trip, loads).Ensemble(context.Background(), []*System{changed}, 50, nil)
		require.NoError(t, err)
		assert.Equal(t, risks[0].FlatDraws, f.Risk.FlatDraws, kind)
		assert.InDelta(t, risks[0].Unserved.Mean, f.Risk.Unserved.Mean, 1e-6, kind)
	}
}

func TestATripThatHoldsNeedsNoFix(t *testing.T) {
	s, sys := thirsty(t)
	a := advise(t, s, WithBank(sys, 900, 1), 30)
	assert.Zero(t, a.Before.FlatDraws)
	assert.Empty(t, a.Fixes)
}

func TestAdviceIsTheSameOnAnyNumberOfCores(t *testing.T) {
	s, sys := thirsty(t)
	var got [2][]Fix
	for i, cores := range []int{1, 2} {
		was := runtime.GOMAXPROCS(cores)
		got[i] = advise(t, s, sys, 40).Fixes
		runtime.GOMAXPROCS(was)
		for j := range got[i] {
			f := &got[i][j]
			f.trip, f.loads, f.system, f.Risk.System, f.Others = nil, nil, nil, nil, nil
		}
	}
	assert.Equal(t, got[0], got[1])
}

func TestADayOfALongStopIsChangedAlone(t *testing.T) {
	z := zone(t, "UTC")
	trip := &Trip{Stops: []Stop{stopAt(1, 2, z, day(2026, 1, 1), 2), stopAt(3, 4, z, day(2026, 1, 3), 4)}}
	got := trip.withDay(3, func(st *Stop) { st.Mains = Span{18, 14} })
	require.Len(t, got.Stops, 4)
	assert.Equal(t, []int{2, 1, 1, 2}, []int{got.Stops[0].Days, got.Stops[1].Days, got.Stops[2].Days, got.Stops[3].Days})
	assert.Equal(t, day(2026, 1, 4), got.Stops[2].Date)
	assert.Equal(t, day(2026, 1, 5), got.Stops[3].Date)
	assert.Equal(t, 14.0, got.Stops[2].Mains.Hours)
	assert.Zero(t, got.Stops[1].Mains.Hours+got.Stops[3].Mains.Hours+trip.Stops[1].Mains.Hours)
	assert.Equal(t, trip.Days(), got.Days())
}

func TestTheSpreadOfUseIsTheSameForEveryFix(t *testing.T) {
	s, sys := thirsty(t)
	opt := s.opt
	opt.UseSpread = 0.3
	spread, err := NewStudy(s.trip, s.demand.loads, opt)
	require.NoError(t, err)
	a := advise(t, spread, sys, 50)
	for _, f := range a.Fixes {
		assert.LessOrEqual(t, f.Flat.Mean, 0.0, "%s %s", f.Kind, f.What)
	}
}

// An appliance that the inverter cannot run costs this battery nothing, and an
// alternator that spares 20 A feeds a larger charger no more than a 30 A one.
func TestChangesThatCannotMatterAreLeftOut(t *testing.T) {
	s, sys := thirsty(t)
	kettle := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 3000, Duty: 1, TimesH: []float64{7}, Minutes: 30}
	s = mustStudy(t, s.trip, append(slices.Clone(s.demand.loads), kettle))
	sys = sys.clone()
	sys.AlternatorSpareA = 20
	a := advise(t, s, sys, 40)
	require.Greater(t, a.Before.FlatDraws, 0)
	assert.Nil(t, fixOf(a, LargerCharger))
	require.NotNil(t, fixOf(a, WithoutLoad))
	for _, f := range a.Fixes {
		assert.NotEqual(t, "kettle", f.What, f.Kind)
		assert.False(t, f.idle(a.Before), "%s %s", f.Kind, f.What)
	}
	none := Fix{Risk: a.Before}
	assert.True(t, none.idle(a.Before))
}

// Leaving an AC appliance at home is as good as its not being in the list: what
// takes its place keeps no inverter on.
func TestLeavingAnApplianceOutIsThatItIsNotThere(t *testing.T) {
	s, sys := thirsty(t)
	heater := Load{Name: "heater", Kind: Window, Supply: AC, Watts: 150, Duty: 1, Window: Span{19, 9}}
	rest := s.demand.loads
	s = mustStudy(t, s.trip, append(slices.Clone(rest), heater))
	sys = sys.clone()
	sys.InverterMode = InverterNeeded
	sys.Inverter.IdleW = 30
	a := advise(t, s, sys, 40)
	i := slices.IndexFunc(a.Fixes, func(f Fix) bool { return f.Kind == WithoutLoad && f.What == "heater" })
	require.GreaterOrEqual(t, i, 0)
	risks, err := mustStudy(t, s.trip, rest).Ensemble(context.Background(), []*System{sys}, 40, nil)
	require.NoError(t, err)
	assert.Equal(t, risks[0].FlatDraws, a.Fixes[i].Risk.FlatDraws)
	assert.InDelta(t, risks[0].Unserved.Mean, a.Fixes[i].Risk.Unserved.Mean, 1e-6)
	assert.InDelta(t, risks[0].SourceWh[1], a.Fixes[i].Risk.SourceWh[1], 1e-6)
}

// Where frost keeps a lithium battery from charging on the way, a heater is
// tried, and not where it has one or the cold does no harm.
func TestABatteryHeaterIsTriedWhereTheColdRefusesCharge(t *testing.T) {
	z := zone(t, "Europe/Oslo")
	stop := stopAt(62, 9, z, day(2026, 1, 10), 6)
	stop.TempMinC, stop.TempMaxC, stop.SunKWhM2 = -15, -8, 0.1
	stop.Drive = Span{9, 3}
	sys := withDCDC(bareSystem(t, 60), 30)
	s := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 12)})
	a := advise(t, s, sys, 30)
	require.Greater(t, a.Before.Flat.Share, 0.9)
	f := fixOf(a, BatteryHeater)
	require.NotNil(t, f)
	assert.Less(t, f.Flat.High, -0.3, "percentage points, on the same draws")
	_, _, heated := f.Changed()
	assert.Equal(t, 60.0, heated.Battery.HeaterW)
	assert.Zero(t, sys.Battery.HeaterW)
	assert.Nil(t, fixOf(advise(t, s, WithBank(heated, 20, 1), 30), BatteryHeater), "it has one")

	stop.TempMinC, stop.TempMaxC = 14, 20
	warm := advise(t, mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 40)}), sys, 30)
	require.Greater(t, warm.Before.Flat.Share, 0.9)
	assert.Nil(t, fixOf(warm, BatteryHeater))
}

// A larger battery does not make a small inverter larger: never flat is not
// enough where appliances are cut off, and the limit is named.
func TestAFixThatLeavesAppliancesCutOffIsNotEnough(t *testing.T) {
	parked := stopAt(60, 8, zone(t, "Europe/Oslo"), day(2026, 8, 1), 1)
	kettle := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 900, Duty: 1, TimesH: []float64{7.5}, Minutes: 6, Essential: true}
	toaster := kettle
	toaster.Name = "toaster"
	box := func(c float64) Load {
		return Load{Name: "box", Kind: Fridge, Essential: true, Fridge: &profiles.Fridge{Litres: 40, SetpointC: c}}
	}
	inv, err := profiles.NewInverter(1000, 2000, nan, 12)
	require.NoError(t, err)
	sys := bareSystem(t, 100)
	sys.Inverter, sys.InverterMode, sys.StartSoC = inv, InverterNeeded, .3
	s := mustStudy(t, &Trip{Stops: []Stop{parked}}, []Load{kettle, toaster, box(4), box(-18)})
	a := advise(t, s, sys, 20)
	full := fixOf(a, FullStart)
	require.NotNil(t, full)
	assert.Zero(t, full.Risk.FlatDraws)
	assert.Equal(t, 1.0, full.Risk.Short.Share, "every trip lacks a part of the toast")
	assert.Equal(t, Overload, full.Cut)
	assert.False(t, full.Enough(Goal{FlatRisk: .05}))
	assert.True(t, full.Enough(Goal{FlatRisk: 1}))
	assert.True(t, fixOf(a, WarmerFridge).Each, "4 and -18 degrees differ")
}

// With every draw alike or the change in a few of them only, the interval decides.
// By hand: of 200 pairs one that is flat but for the change is chance (sign test, two
// sided p = 1), ten are not (p = 2/1024); 0.1 Wh of 250 Wh is none that is missed.
func TestAChangeMattersWhenADifferenceIsBeyondChance(t *testing.T) {
	a := &Advice{Draws: 200}
	certainWh := Difference{-40, -50, -30}
	for _, c := range []struct {
		fix  Fix
		want bool
	}{
		{Fix{}, false},
		{Fix{Missed: Pairs{Both: 55, OnlyB: 1, Neither: 144}.Difference()}, false},
		{Fix{Missed: Pairs{Both: 55, OnlyB: 10, Neither: 135}.Difference()}, true},
		{Fix{Flat: Pairs{Both: 55, OnlyB: 10, Neither: 135}.Difference()}, true},
		{Fix{Flat: Pairs{Both: 55, OnlyA: 3, OnlyB: 4, Neither: 138}.Difference()}, false},
		{Fix{Unserved: certainWh}, true},
		{Fix{Unserved: Difference{-40, -90, 10}}, false},
		{Fix{Unserved: Difference{-0.1, -0.1, -0.1}}, false},
	} {
		assert.Equal(t, c.want, c.fix.Matters(a), "%+v", c.fix)
	}
	assert.True(t, (&Fix{Missed: Pairs{OnlyB: 1}.Difference()}).Matters(&Advice{Draws: 1}), "a single trip knows no chance")
}

// The paired difference of trips not carried is that of the two risks, each run on
// its own.
func TestTheDifferenceOfTripsNotCarriedIsThatOfTheRisks(t *testing.T) {
	s, sys := thirsty(t)
	const reserve = 0.2
	a, err := s.Advise(context.Background(), sys, Goal{Reserve: reserve}, 40, nil)
	require.NoError(t, err)
	require.NotEmpty(t, a.Fixes)
	for i := range a.Fixes {
		f := &a.Fixes[i]
		assert.InDelta(t, f.Risk.NotCarried(reserve).Share-a.Before.NotCarried(reserve).Share, f.Missed.Mean, 1e-12, f.Kind)
	}
}
