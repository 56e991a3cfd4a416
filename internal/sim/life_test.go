package sim

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// By definition: ten days that use a thousandth of a life leave room for 10,000.
func TestYearsOfLifeByCycles(t *testing.T) {
	assert.InDelta(t, 10_000/365.25, lifeYears(10, 1e-3), 1e-9)
	assert.Equal(t, MostLifeYears, lifeYears(10, 1e-9))
	assert.True(t, math.IsNaN(lifeYears(10, 0)), "nothing used says nothing of a life")
}

func TestTheWorstDrawIsTheOneWithMostUnserved(t *testing.T) {
	trip := &Trip{Stops: []Stop{stopAt(59.9, 10.7, zone(t, "Europe/Oslo"), day(2026, 10, 1), 4)}}
	s := mustStudy(t, trip, []Load{steady("base", 20)})
	sys := bareSystem(t, 60)
	sys.Chargers = []Charger{{Name: "regulator", SolarA: 20, Efficiency: .95}}
	sys.Panels = []Panel{{Name: "roof", RatedW: 200, AzimuthDeg: nan}}
	risks, err := s.Ensemble(context.Background(), []*System{sys}, 20, nil)
	require.NoError(t, err)
	worst, err := s.WorstDraw(risks[0])
	require.NoError(t, err)
	assert.Contains(t, worst.Weather, "worst of 20 draws")
	assert.InEpsilon(t, risks[0].Unserved.Max, worst.Total.UnservedWh, 1e-6)
	assert.InDelta(t, 20*24, worst.Loads[0].DailyWh, 1e-6)
	assert.InDelta(t, lifeYears(4, worst.WearShare), worst.LifeYears, 1e-9)
	assert.Greater(t, risks[0].LifeYears, 0.0)
}
