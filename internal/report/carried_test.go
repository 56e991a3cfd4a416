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

// Fourteen of the hours are below the least temperature of charging (by hand).
func TestAVerdictSaysThatTheColdRefusedCharge(t *testing.T) {
	f, cold := DefaultFormat(), func(r *sim.Result, hours int) *sim.Result {
		for i := range hours {
			r.Rows[i].Refused, r.Rows[i].BatteryC = true, -8
		}
		return r
	}
	const cause = " Its battery was too cold to charge for 14 h."
	assert.Contains(t, plain(Verdict(cold(failing(t), 14), f)), cause)
	thin := plain(VerdictOn(cold(holding(t), 14), nil, Goal{Reserve: 0.6}, f))
	assert.Contains(t, thin, "keeps less than the wanted reserve")
	assert.Contains(t, thin, cause)
	assert.NotContains(t, plain(Verdict(cold(holding(t), 14), f)), "too cold", "it carries the trip all the same")
	hot := cold(failing(t), 14)
	for i := range hot.Rows {
		hot.Rows[i].BatteryC = 61
	}
	assert.NotContains(t, plain(Verdict(hot, f)), "too cold", "refused in the heat")
}

func TestALegendExplainsTheColumnsThatAreShown(t *testing.T) {
	table := &Table{Columns: []Column{
		{Key: "a", Head: "alpha", Legend: []string{"common", "alpha = first"}},
		{Key: "b", Head: "beta", Drop: 5, Legend: []string{"common", "beta = second"}},
		{Key: "c", Head: "gamma"},
	}, Rows: []Row{{Cells: []Cell{Text("first of many words"), Text("second of many words"), Text("third")}}}}
	assert.Contains(t, plain(table.Render(wide80())), "common; alpha = first; beta = second.\n")
	narrow := plain(table.Render(Screen{Width: 36, Format: DefaultFormat()}))
	assert.Contains(t, narrow, "common; alpha = first.\n")
	assert.NotContains(t, narrow, "second")
}

// A change whose differences hold zero is not listed, whatever its mean: it is named
// among those without a difference.
func TestChangesWithinChanceAreNotListed(t *testing.T) {
	half := sim.Wilson(112, 200)
	risk := &sim.Risk{Draws: 200, Flat: half, FlatDraws: 112}
	adv := &sim.Advice{Draws: 200, Before: risk, System: &sim.System{Name: "House", Battery: battery(100)}, Fixes: []sim.Fix{
		{Kind: sim.LargerBattery, From: 100, To: 120, Risk: risk, Missed: sim.Difference{Mean: -0.4, Low: -0.5, High: -0.3}},
		{Kind: sim.WarmerFridge, What: "Fridge", From: 4, To: 6, Risk: risk, Flat: sim.Difference{Mean: -0.001, Low: -0.004, High: 0.002}},
	}}
	matter, others := FixesThatMatter(adv, DefaultFormat())
	assert.Equal(t, []int{0}, matter)
	assert.Equal(t, "No difference beyond chance: Fridge at 6 °C instead of 4 °C.", plain(others))
}
