package sim

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A lead-acid battery has no electronics: it gives what is asked of it, and the
// adviser is told that it is too much. Lithium of the same limit cuts off.
func TestLeadAcidIsNotProtectedAgainstItsLoads(t *testing.T) {
	for _, winch := range []Load{
		{Name: "winch", Kind: Window, Watts: 1300, Duty: 1, Window: Span{12, .25}, Essential: true},
		{Name: "kettle", Kind: Uses, Supply: AC, Watts: 1000, Duty: 1, TimesH: []float64{12}, Minutes: 15, Essential: true},
	} {
		sys := bareSystem(t, 200)
		sys.Inverter, sys.InverterMode = inverter(t, 1500), InverterNeeded
		sys.Battery.MaxDischargeA = 50
		cut := typical(t, mild(t, 1), []Load{winch}, sys)
		assert.Greater(t, cut.Total.UnservedWh, 100.0)

		sys.Battery = leadBank(t, 200)
		sys.Battery.MaxDischargeA = 50
		r := typical(t, mild(t, 1), []Load{winch}, sys)
		assert.Zero(t, r.Total.UnservedWh)
		assert.Zero(t, r.FlatH)
		require.Equal(t, []EventKind{OverCurrent}, kinds(r))
		assert.Contains(t, r.Events[0].Detail, "more than it should give")
		assert.NotContains(t, r.Events[0].Detail, "its protection")
	}
}

// 500 W from 100 Ah of lithium are 39 A, which the 9 milliohm of the battery
// (data sheets, see the presets) turn into a drop of 0.35 V: at 60 % it is
// disconnected below 12.95 V, though it holds a lot, and comes back once it has
// been charged by as much as after a disconnection on charge.
func TestACutoffOnVoltageComesBeforeTheOneOnCharge(t *testing.T) {
	heavy := Load{Name: "compressor", Kind: Window, Watts: 500, Duty: 1, Window: Span{8, 1}, Essential: true}
	stop := mild(t, 1)
	stop.Mains = Span{10, 14}
	sys := bareSystem(t, 100)
	sys.StartSoC = .6
	sys.Chargers = []Charger{{Name: "mains", MainsA: 10, Efficiency: .9, Priority: 1}}
	served := typical(t, stop, []Load{steady("radio", 10), heavy}, sys)
	require.Empty(t, served.Events)

	sys.Battery.CutoffV = 12.95
	r := typical(t, stop, []Load{steady("radio", 10), heavy}, sys)
	require.Equal(t, []EventKind{LowVoltage}, kinds(r))
	assert.Contains(t, r.Events[0].Detail, "below its cut-off of 12.95 V while it still holds 54 %")
	require.Len(t, r.Flats, 1)
	from, to := r.Flats[0].Start, r.Flats[0].End
	assert.Equal(t, 8, from.Hour())
	back := int(to.Sub(r.Slots[0].Start) / r.Step)
	gained := r.Rows[back-1].SoC - r.Rows[8*4].SoC
	assert.InDelta(t, sys.Battery.Chemistry.ReconnectMargin, gained, 10*r.Step.Hours()/100, "within a step's charge")
	assert.InDelta(t, 510+10*(to.Sub(from).Hours()-1), r.Total.UnservedWh, 1e-6)

	sys.Battery.CutoffV = 12.5
	assert.Empty(t, typical(t, stop, []Load{steady("radio", 10), heavy}, sys).Flats, "a lower one is not met")
	sys.Battery.CutoffV = 5
	_, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, nil).Typical(sys)
	assert.ErrorContains(t, err, "disconnects below 5 V")
}

func TestTheSheetKnowsThatLeadAcidIsNotProtected(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.Inverter = inverter(t, 3000)
	protected := fit(t, sys, nil, nil)
	assert.Contains(t, fmt.Sprint(protected.Cautions), "its protection will cut off first")
	assert.InDelta(t, 100, runOf(t, protected, RunBattery).DesignA, 1e-9)

	sys.Battery = leadBank(t, 100)
	f := fit(t, sys, nil, nil)
	assert.Contains(t, fmt.Sprint(f.Cautions), "more than it should give, and nothing cuts it off")
	assert.NotContains(t, fmt.Sprint(f.Cautions), "its protection")
	assert.Greater(t, runOf(t, f, RunBattery).DesignA, 250.0, "the cable bears what the inverter asks for")
}
