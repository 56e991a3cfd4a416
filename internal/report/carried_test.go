package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"tripsim/internal/sim"
)

func TestAVerdictSaysWhatCutsAppliancesOff(t *testing.T) {
	r := holding(t)
	r.Total.UnservedWh, r.Loads[1].UnservedWh = 70, 70
	r.Events = []sim.Event{
		{Kind: sim.ChargeRefused, Hours: 9, Detail: "The battery refuses charge at -2 °C."},
		{Kind: sim.OverCurrent, Hours: 0.2, Load: "Coffee machine", Detail: "Coffee machine: 109 A from a battery limited to 100 A; its protection cuts the inverter off."},
	}
	assert.True(t, strings.HasSuffix(plain(Verdict(r, DefaultFormat())), " Coffee machine: 109 A from a battery limited to 100 A; its protection cuts the inverter off."))
}

func TestAVoltageThatIsNotUsualIsNamed(t *testing.T) {
	s, f := &sim.System{Name: "House", Battery: battery(100)}, DefaultFormat()
	assert.Equal(t, "100 Ah lithium", plain(BatteryText(s, f)))
	s.Battery.NominalV = 24
	assert.Equal(t, "100 Ah 24 V lithium", plain(BatteryText(s, f)))
}

// More trips of a weather file than it holds cannot settle anything.
func TestSizesOnRecordedTripsAskForNoMoreOfThem(t *testing.T) {
	f := DefaultFormat()
	s := &sim.System{Name: "House", Battery: battery(100)}
	z := &sim.Sizing{Goal: sim.Goal{FlatRisk: 0.05}, System: s, Draws: 1, NeedDraws: 73, Monotone: true, Points: []sim.SizePoint{{Size: 100, Count: 1, Failed: sim.Wilson(0, 1)}}}
	a := &SizeAdvice{System: s, Basis: &Basis{Draws: 1, Recorded: &Recorded{}}}
	text := plain(strings.Join(a.answer(z, f), " "))
	assert.Contains(t, text, "of the recorded trips")
	assert.NotContains(t, text, "--draws")
	assert.NotContains(t, text, "doubt")
	a.Basis.Draws, z.Draws = 3, 3
	assert.Contains(t, plain(strings.Join(a.answer(z, f), " ")), "the weather file holds no more trips")
}
