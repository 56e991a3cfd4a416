package chart

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

func TestResultsOfTheAdviceAreTakenOver(t *testing.T) {
	small, large := &sim.System{Name: "Small", Price: 900, Battery: profiles.BatterySpec{CapacityAh: 200}}, &sim.System{Name: "Large", Price: math.NaN()}
	risk := func(p float64) *sim.Risk {
		return &sim.Risk{Flat: share(p / 2), Short: share(p), Reserve: sim.Distribution{Q50: 0.3}, SourceWh: [4]float64{1, 2, 3, 4}}
	}

	c := ComparisonOf(&sim.Comparison{Draws: 500, Systems: []sim.Compared{{System: small, Risk: risk(0.4)}, {System: large, Risk: risk(0.01)}}},
		"Trip", "EUR", sim.Goal{FlatRisk: 0.05}, 1)
	require.Len(t, c.Candidates, 2)
	assert.Equal(t, Candidate{Name: "Small", NotCarried: share(0.4), Reserve: sim.Distribution{Q50: 0.3}, SourceWh: [4]float64{1, 2, 3, 4}, Price: 900}, c.Candidates[0])
	assert.True(t, c.Candidates[1].Recommended)
	_, err := Compare(c)
	require.NoError(t, err)

	s := SeasonOf(&sim.Season{Systems: []*sim.System{small, large}, Draws: 500, Starts: []sim.SeasonStart{
		{Date: day(2026, time.January, 3), Risks: []*sim.Risk{risk(0.4), risk(0.1)}},
		{Date: day(2026, time.February, 3), Risks: []*sim.Risk{risk(0.3), risk(0.2)}},
	}}, "Trip", sim.Goal{FlatRisk: 0.05})
	assert.Equal(t, 0.2, s.NotCarried[1][1].Share, "by system, then by start")
	_, err = Season(s)
	require.NoError(t, err)

	m := SizesOf(&sim.SizeMap{
		System: small, Across: sim.PanelSize, Goal: sim.Goal{FlatRisk: 0.05}, Draws: 500, Ah: []float64{100, 200, 300}, Sizes: []float64{0, 100},
		Flat: [][]sim.Proportion{{share(0), share(0)}, {share(0), share(0)}, {share(0), share(0)}}, Failed: [][]sim.Proportion{{share(0.9), share(0.5)}, {share(0.4), share(0.1)}, {share(0.06), share(0)}}, Cheapest: &sim.MapPoint{Battery: 2, Across: 1, Price: 2150},
	},
		"Trip", "EUR", In(German))
	assert.Equal(t, [][]float64{{0.9, 0.5}, {0.4, 0.1}, {0.06, 0}}, m.NotCarried, "battery upwards")
	assert.Equal(t, &GridPoint{X: 1, Y: 2, Remark: "2.150" + nbsp + "EUR"}, m.Best)
	assert.Equal(t, &GridPoint{X: 0, Y: 1}, m.Own, "200 Ah without panels")
	p, err := SizeMap(m)
	require.NoError(t, err)
	assert.Contains(t, p.AltText, "solar panels from 0 to 100 W")

	v := VariationOf(&sim.Variation{
		Column: "charger.alternator_a", Unit: "A", Values: []float64{25, 40}, Systems: []*sim.System{small}, Draws: 500,
		Rows: [][]sim.Compared{{{Risk: risk(0.4)}, {Risk: risk(0.2)}}},
	}, "Trip", sim.Goal{})
	assert.Equal(t, VariedPoint{40, share(0.2)}, v.Variations[0].Points[1])
	_, err = Vary(v)
	require.NoError(t, err)

	k := CalibrationOf(&sim.Calibration{Record: "a record", Systems: []sim.CalibratedSystem{{
		System: small,
		Bins:   sim.Reliability([]float64{0.05, 0.15, 0.95}, []bool{false, false, true}), Brier: sim.Brier{N: 3, Score: 0.01, Uncertainty: 0.2},
	}}}, 0, "Trip")
	assert.Len(t, k.Classes, 3)
	_, err = Reliability(k)
	require.NoError(t, err)
}
