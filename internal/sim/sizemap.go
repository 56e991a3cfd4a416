package sim

import (
	"context"
	"fmt"
	"math"
)

// SizeMap is the risk over battery sizes (rows) and sizes of a charger or
// of the panels (columns).
type SizeMap struct {
	System  *System
	Across  Quantity // ChargerSize or PanelSize
	Goal    Goal
	Draws   int
	Weather string
	Ah      []float64
	Sizes   []float64      // of the quantity across, A or W
	Flat    [][]Proportion // [battery][across]
	Failed  [][]Proportion // not carried; see Goal
	Price   [][]float64    // NaN = not known
	// Cheapest is the cell of least price among those that hold; nil when no
	// price is known or none holds.
	Cheapest *MapPoint
	// Smallest lists, per column, the index of the smallest battery that holds;
	// -1 = none.
	Smallest []int
}

// MapPoint is a cell of a map.
type MapPoint struct {
	Battery, Across int // indices into Ah and Sizes
	Price           float64
}

// SizeMap runs all pairs of battery sizes and sizes of the quantity across on
// the same draws. prices may be the zero value.
func (s *Study) SizeMap(ctx context.Context, sys *System, across Quantity, ah, sizes []float64, goal Goal, prices Prices, draws int, progress Progress) (*SizeMap, error) {
	draws, err := s.drawsFor(draws)
	if err != nil {
		return nil, err
	}
	if across == BatterySize {
		return nil, fmt.Errorf("a map needs charger or panel sizes against the battery")
	}
	banks, err := checkSizes(BatterySize, Sizes(ah))
	if err != nil {
		return nil, err
	}
	others, err := checkSizes(across, Sizes(sizes))
	if err != nil {
		return nil, err
	}
	m := &SizeMap{System: sys, Across: across, Goal: goal, Draws: draws, Weather: s.source.Describe(), Ah: ahOf(banks), Sizes: ahOf(others)}
	base, columns := acrossColumns(sys, across, m.Sizes)
	g := &grid{study: s, columns: columns, reserve: goal.Reserve}
	for _, v := range m.Ah {
		g.rows = append(g.rows, WithBank(base, v, 1))
	}
	cells, err := g.run(ctx, draws, progress)
	if err != nil {
		return nil, err
	}
	m.fill(cells, prices)
	return m, nil
}

func ahOf(banks []Bank) []float64 {
	out := make([]float64, len(banks))
	for i, b := range banks {
		out[i] = b.Ah
	}
	return out
}

func (m *SizeMap) fill(cells [][]gridCell, prices Prices) {
	m.Smallest = make([]int, len(m.Sizes))
	for c := range m.Smallest {
		m.Smallest[c] = -1
	}
	for r := range cells {
		flat, failed, price := make([]Proportion, len(m.Sizes)), make([]Proportion, len(m.Sizes)), make([]float64, len(m.Sizes))
		for c := range cells[r] {
			flat[c], failed[c] = Wilson(int(cells[r][c].flat), m.Draws), Wilson(int(cells[r][c].failed), m.Draws)
			price[c] = prices.Of(m.System, BatterySize, m.Ah[r]) + prices.Of(m.System, m.Across, m.Sizes[c]) - m.System.Price
			if failed[c].Share > m.Goal.FlatRisk {
				continue
			}
			if m.Smallest[c] < 0 {
				m.Smallest[c] = r
			}
			if p := price[c]; !math.IsNaN(p) && (m.Cheapest == nil || p < m.Cheapest.Price) {
				m.Cheapest = &MapPoint{r, c, p}
			}
		}
		m.Flat, m.Failed, m.Price = append(m.Flat, flat), append(m.Failed, failed), append(m.Price, price)
	}
}
