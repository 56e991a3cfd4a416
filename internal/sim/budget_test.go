package sim

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// Hand example by the method of IEEE 1013 (no published one was at hand):
// 800 Wh a day at 12 V, 3 days, half the capacity, 1.11 for the cold, 80 % at
// the end of life, 10 % margin: 800*3/12/.5*1.11/.8*1.1 = 610.5 Ah. By the
// worksheet the largest of 200/.5 and 200/.8 counts: 400*1.11*1.1 = 488.4 Ah.
func TestTheDailyBudgetMeetsTheHandExample(t *testing.T) {
	b := BudgetInput{DailyWh: 800, NominalV: 12, AutonomyDays: 3, MaxDepth: 0.5, TempFactor: 1.11, EndOfLife: 0.8, Margin: 1.1}
	assert.InDelta(t, 610.5, b.LastingAh(), 1e-9)
	assert.InDelta(t, 488.4, b.WorksheetAh(), 1e-9)
	assert.InDelta(t, 400, b.NewAh(), 1e-9)
	b.MaxDailyDepth = 0.1 // 66.7 Ah a day at a tenth of the capacity: 667 Ah
	assert.InDelta(t, 800.0/12/0.1*1.11*1.1, b.WorksheetAh(), 1e-9)
	// 800 Wh x 1.2 from 5 kWh/m2, of which 75 % arrive: 256 W.
	assert.InDelta(t, 256, b.PanelW(5, 1.2), 1e-9)
}

func TestTheBudgetOfATripHoldsItsOwnFigures(t *testing.T) {
	s := parkedStudy(t)
	b, err := s.Budget(bareSystem(t, 100), 0)
	require.NoError(t, err)
	assert.InDelta(t, 624, b.DailyWh, 1e-6, "26 W all day")
	assert.InDelta(t, 624, b.HungriestWh, 1e-6)
	assert.InDelta(t, 624.0/12*3/0.9/0.8*1.1, b.Ah, 0.5, "at 25 C nothing is added for the cold")
	assert.Zero(t, b.ChargedWh)
	assert.Equal(t, 96.0, b.LongestGapH)
	assert.InEpsilon(t, 96*26, b.BridgeWh, 0.01, "the whole trip hangs on the battery")
}

// A day that charges as much as it uses leaves the battery only the night to
// bridge: 12 h of driving, 12 h without.
func TestTheBridgeIsTheGapBetweenCharges(t *testing.T) {
	stop := stopAt(0, 0, zone(t, "UTC"), day(2026, 3, 1), 6)
	stop.TempMinC, stop.TempMaxC = 25, 25
	stop.Drive = Span{6, 12}
	s := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 26)})
	sys := bareSystem(t, 100)
	sys.Chargers = []Charger{{Name: "DC-DC", AlternatorA: 30, Efficiency: 0.9}}
	b, err := s.Budget(sys, 3)
	require.NoError(t, err)
	assert.Equal(t, 12.0, b.LongestGapH)
	assert.InEpsilon(t, 12*26, b.BridgeWh, 0.02)
	assert.Greater(t, b.AlternatorWh, 600.0)
}

func TestTheColdAddsToTheBudget(t *testing.T) {
	sys := bareSystem(t, 100)
	assert.InDelta(t, 1, tempFactor(sys, 25), 1e-9)
	c, _ := profiles.ChemistryByID("lifepo4")
	// The chemistry's own table at 0 C.
	assert.InDelta(t, 1/c.ColdCapacity[3], tempFactor(sys, 0), 1e-3)
}
