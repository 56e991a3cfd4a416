package chart

import (
	"fmt"
	"math"
	"slices"

	"tripsim/internal/sim"
)

// ComparisonOf takes what Compare draws from a comparison. Recommended is
// the index of a system (-1 = none).
func ComparisonOf(c *sim.Comparison, trip, currency string, goal sim.Goal, recommended int) Comparison {
	out := Comparison{Trip: trip, Draws: c.Draws, Target: goal.FlatRisk, Currency: currency}
	for i := range c.Systems {
		k := &c.Systems[i]
		out.Candidates = append(out.Candidates, Candidate{
			Name: k.System.Name, NotCarried: k.Risk.NotCarried(goal.Reserve), Reserve: k.Risk.Reserve,
			SourceWh: k.Risk.SourceWh, Price: k.System.Price, Recommended: i == recommended,
		})
	}
	return out
}

// SeasonOf takes what Season draws from a season.
func SeasonOf(s *sim.Season, trip string, goal sim.Goal) SeasonTable {
	out := SeasonTable{Trip: trip, Draws: s.Draws, Target: goal.FlatRisk}
	for i, sys := range s.Systems {
		out.Systems = append(out.Systems, sys.Name)
		line := make([]sim.Proportion, len(s.Starts))
		for j := range s.Starts {
			line[j] = s.Starts[j].Risks[i].NotCarried(goal.Reserve)
		}
		out.NotCarried = append(out.NotCarried, line)
	}
	for _, start := range s.Starts {
		out.Starts = append(out.Starts, start.Date)
	}
	return out
}

// SizesOf takes what SizeMap draws from a map of sizes: the battery upwards, the
// other quantity across. The shares are of the trips that are not carried, by
// which the cheapest pair is chosen.
func SizesOf(m *sim.SizeMap, trip, currency string, opts ...Option) SizeGrid {
	o, err := newOptions(opts)
	if err != nil { // reported by SizeMap
		o.locale = English
	}
	out := SizeGrid{
		Trip: trip, System: m.System.Name, Draws: m.Draws, Target: m.Goal.FlatRisk,
		X: Sizes{Name: wordQuantity[m.Across], Unit: m.Across.Unit(), Values: m.Sizes},
		Y: Sizes{Name: wordBattery, Unit: sim.BatterySize.Unit(), Values: m.Ah},
	}
	for i := range m.Ah {
		line := make([]float64, len(m.Sizes))
		for j := range m.Sizes {
			line[j] = m.Failed[i][j].Share
		}
		out.NotCarried = append(out.NotCarried, line)
	}
	if c := m.Cheapest; c != nil {
		out.Best = &GridPoint{X: c.Across, Y: c.Battery}
		if !math.IsNaN(c.Price) {
			out.Best.Remark = o.locale.number(c.Price, 0) + nbsp + currency
		}
	}
	at := func(values []float64, own float64) int {
		return slices.IndexFunc(values, func(v float64) bool { return math.Abs(v-own) < 0.5 })
	}
	if x, y := at(m.Sizes, m.Across.Size(m.System)), at(m.Ah, m.System.BankAh()); x >= 0 && y >= 0 {
		out.Own = &GridPoint{X: x, Y: y}
	}
	return out
}

// VariationOf takes what Vary draws from a variation.
func VariationOf(v *sim.Variation, trip string, goal sim.Goal) Variation {
	out := Variation{Trip: trip, Draws: v.Draws, Setting: v.Column, Unit: v.Unit, Target: goal.FlatRisk}
	for i, sys := range v.Systems {
		line := VariedSystem{Name: sys.Name}
		for j, value := range v.Values {
			line.Points = append(line.Points, VariedPoint{value, v.Rows[i][j].Risk.NotCarried(goal.Reserve)})
		}
		out.Variations = append(out.Variations, line)
	}
	return out
}

// CalibrationOf takes what Reliability draws for one system of a calibration.
func CalibrationOf(c *sim.Calibration, system int, trip string) Calibration {
	k := &c.Systems[system]
	out := Calibration{
		Trip: fmt.Sprintf("%s, %s", trip, k.System.Name), Weather: c.Record, Trips: k.Brier.N,
		Brier: k.Brier.Score, BrierMean: k.Brier.Uncertainty,
	}
	for _, b := range k.Bins {
		out.Classes = append(out.Classes, RiskClass{b.Forecast, b.Observed, b.N})
	}
	return out
}
