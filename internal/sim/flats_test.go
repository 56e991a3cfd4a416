package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A reconnection at 100 % would never come: chargers taper before it. It comes
// at 95 %, and with a cut-off near that half-way from it to full.
func TestABankThatReconnectsWhenFullIsConnectedAgain(t *testing.T) {
	stop := mild(t, 10)
	stop.Drive = Span{6, 14}
	for name, bank := range map[string]func(*System){
		"lithium":         func(*System) {},
		"AGM":             func(s *System) { s.Battery = leadBank(t, 100) },
		"cut off at 97 %": func(s *System) { s.Battery.MinSoC = .97 },
	} {
		sys := halfCharged(t, 100, Charger{Name: "unit", AlternatorA: 5, Efficiency: .9})
		bank(sys)
		sys.StartSoC, sys.Battery.ReconnectSoC = .05, 1
		r := typical(t, stop, []Load{steady("radio", 5)}, sys)
		require.NotEmpty(t, r.Flats, name)
		back := r.Flats[0].End.Sub(r.Slots[0].Start).Hours()
		assert.Less(t, back, 72.0, "%s: connected again in the first days", name)
		at := int(r.Flats[0].End.Sub(r.Slots[0].Start) / r.Step)
		assert.GreaterOrEqual(t, r.Rows[at-1].SoC, max(mostBackSoC, (1+r.MinSoC)/2), name)
	}
}

// In the first step there is no day before to blame.
func TestABatteryThatStartsFlatIsSaidToStartFlat(t *testing.T) {
	sys := bareSystem(t, 100)
	sys.StartSoC = .08
	stop := mild(t, 1)
	stop.Mains = Span{8, 2}
	r := typical(t, stop, []Load{steady("lamp", 5)}, sys)
	require.NotEmpty(t, r.Flats)
	assert.Equal(t, "The battery starts the trip at 8 %, at or below its cut-off of 10 %.", r.Flats[0].Cause)
	assert.Empty(t, r.Flats[0].Drew)
	assert.Empty(t, r.Flats[0].Missing)

	sys.StartSoC = .12
	sys.Battery.CapacityAh, sys.Battery.MaxDischargeA = 5, 500
	heavy := typical(t, stop, []Load{steady("winch", 900)}, sys)
	require.NotEmpty(t, heavy.Flats)
	assert.Equal(t, "Within the first step the appliances ask for more than the battery gives from 12 %: 900 W.", heavy.Flats[0].Cause)

	sys = bareSystem(t, 20)
	later := typical(t, stop, []Load{steady("lamp", 30)}, sys)
	require.NotEmpty(t, later.Flats)
	assert.Contains(t, later.Flats[0].Cause, "In the 24 h before, the appliances asked for")
}
