package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// A fridge on a small inverter: its compressor has to start and to run, whatever
// its mean power. 150 W with 1,500 W at the start on 300 W with 600 W.
func TestTheInverterMustStartAndRunAFridgesCompressor(t *testing.T) {
	stop := mild(t, 2)
	stop.Mains = Span{18, 10}
	sys := bareSystem(t, 200)
	sys.Inverter, sys.InverterMode, sys.ACTransfer = inverter(t, 300), InverterAlways, true
	fridge := Load{
		Name: "fridge", Kind: Fridge, Supply: AC, Watts: 150, SurgeW: 1500, Duty: 1, Essential: true,
		Fridge: &profiles.Fridge{Litres: 120, SetpointC: 4, CompressorW: 150},
	}
	r := typical(t, stop, []Load{fridge}, sys)
	require.Equal(t, []EventKind{Surge}, kinds(r))
	assert.Contains(t, r.Events[0].Detail, "starts with 1500 W, beyond the inverter's surge of 600 W")
	assert.Len(t, r.Events[0].Times, 2, "before the first night on mains, between the two")
	assert.Zero(t, r.Loads[0].NoOutletWh)

	fridge.PowerFactor = .4 // 375 VA
	r = typical(t, stop, []Load{fridge}, sys)
	require.Equal(t, []EventKind{NoOutlet}, kinds(r))
	assert.Contains(t, r.Events[0].Detail, "too small")
	assert.Greater(t, r.Loads[0].NoOutletWh, 50.0)
	assert.InDelta(t, r.Total.NoOutletWh, r.Loads[0].NoOutletWh, 1e-6)
	assert.Greater(t, r.Total.TransferWh, 50.0, "the site feeds it")
	assert.Zero(t, r.Total.UnservedWh)
	assert.InDelta(t, r.Loads[0].AskedWh, r.Total.TransferWh+r.Total.NoOutletWh, 1e-6)
}

func TestAnInverterThatIsOffStartsNothing(t *testing.T) {
	sys := bareSystem(t, 200)
	sys.Inverter = inverter(t, 1000)
	sys.InverterMode, sys.InverterSpan = InverterWindow, Span{8, 2}
	pump := Load{Name: "pump", Kind: Uses, Supply: AC, Watts: 500, SurgeW: 3000, Duty: 1, TimesH: []float64{22}, Minutes: 6, Essential: true}
	assert.Equal(t, []EventKind{NoOutlet}, kinds(typical(t, mild(t, 1), []Load{pump}, sys)))
	pump.TimesH = []float64{9, 22}
	r := typical(t, mild(t, 1), []Load{pump}, sys)
	assert.ElementsMatch(t, []EventKind{NoOutlet, Surge}, kinds(r))
	for _, e := range r.Events {
		if e.Kind == Surge {
			assert.Len(t, e.Times, 1)
		}
	}
}

// What a preset says of its day and what the simulation makes of it are one:
// by hand, 50 W at a tenth of ten hours and 10 W standby in the rest of the day
// are 50 + 23 x 10 = 280 Wh.
func TestDutyAndStandbyGiveTheSameDayEverywhere(t *testing.T) {
	day := func(l Load) float64 {
		return typical(t, mild(t, 1), []Load{l}, bareSystem(t, 200)).Loads[0].AskedWh
	}
	assert.InDelta(t, 280, day(Load{Name: "heater", Kind: Window, Watts: 50, StandbyW: 10, Duty: .1, Window: Span{8, 10}, Essential: true}), 1e-6)
	assert.InDelta(t, 24*14, day(Load{Name: "controller", Kind: Steady, Watts: 50, StandbyW: 10, Duty: .1, Essential: true}), 1e-6)
	found, kind := 0, map[string]LoadKind{"steady": Steady, "window": Window}
	for _, a := range profiles.Appliances() {
		if _, ok := kind[a.Kind]; !ok || a.Days != "all" || a.Supply != "dc" {
			continue
		}
		found++
		l := Load{Name: a.Name, Kind: kind[a.Kind], Watts: a.Watts, StandbyW: a.StandbyW, Duty: a.DutyPct / 100, Window: Span{0, a.Hours}, Essential: true}
		assert.InDelta(t, a.DailyWh(), day(l), 1e-6, a.ID)
	}
	assert.Greater(t, found, 5)
}

// On an inverter a duty cycle is the full power or standby, not a mean of both.
func TestADutyCycleOnTheInverterIsFullPowerOrStandby(t *testing.T) {
	sys := bareSystem(t, 200)
	sys.Inverter, sys.InverterMode = inverter(t, 1000), InverterAlways
	l := Load{Name: "heater", Kind: Window, Supply: AC, Watts: 500, StandbyW: 10, Duty: .2, Window: Span{8, 10}, Essential: true}
	r := typical(t, mild(t, 1), []Load{l}, sys)
	assert.InDelta(t, 2*500+22*10, r.Total.ACLoadWh, 1e-6)
	assert.InDelta(t, 2*sys.Inverter.InputW(500)+22*sys.Inverter.InputW(10), r.Total.ACLoadWh+r.Total.InverterLossWh, 1e-6)
}

func TestAHeightThatIsNotGivenIsThatOfTheClimate(t *testing.T) {
	stop := stopAt(45, 10, zone(t, "UTC"), day(2026, 5, 1), 2)
	sys := bareSystem(t, 200)
	sys.StartSoC = .2
	sys.Chargers = []Charger{{Name: "regulator", SolarA: 40, Efficiency: .95}}
	sys.Panels = []Panel{{Name: "roof", RatedW: 200, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45}}
	stop.Position.ElevationM = nan
	without := typical(t, stop, []Load{steady("box", 5)}, sys)
	require.Greater(t, without.Climate[0].ElevationM, 0.0)
	stop.Position.ElevationM = without.Climate[0].ElevationM
	with := typical(t, stop, []Load{steady("box", 5)}, sys)
	assert.InDelta(t, with.Total.SolarWh, without.Total.SolarWh, 1e-9)
	assert.Greater(t, with.Total.SolarWh, 800.0)

	trip := &Trip{Stops: []Stop{stop}}
	trip.Stops[0].Position.ElevationM = nan
	s := mustStudy(t, trip, nil)
	changed, err := s.changed(trip.withDay(1, func(st *Stop) { st.Drive = Span{9, 2} }), nil)
	require.NoError(t, err)
	for i := range changed.it.place {
		require.False(t, changed.it.place[i] != changed.it.place[i], "no place without a height")
	}
}
