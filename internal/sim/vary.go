package sim

import (
	"context"
	"fmt"
	"math"
)

// Variation is systems with one figure changed in steps, all on the same draws.
type Variation struct {
	Column  string // what is varied, e.g. charger.alternator_a
	Unit    string // of the values; "" = none
	Values  []float64
	Systems []*System // as they are
	Draws   int
	Weather string
	Rows    [][]Compared // [system][value]; differences are to the system's Base value
	Notes   []string     // what the caller has to say of the values
	Base    []int        // per system: the value it has as it is, or 0 where that is not among the values
}

// Vary runs variants[system][value] of the given systems. Column, unit and
// values only label the result; the caller makes the variants.
func (s *Study) Vary(ctx context.Context, column, unit string, values []float64, systems []*System, variants [][]*System, base []int, draws int, progress Progress) (*Variation, error) {
	draws, err := s.drawsFor(draws)
	if err != nil {
		return nil, err
	}
	if len(values) == 0 || len(systems) == 0 || len(variants) != len(systems) || len(base) != len(systems) {
		return nil, fmt.Errorf("%s: nothing to vary", column)
	}
	v := &Variation{Column: column, Unit: unit, Values: values, Systems: systems, Draws: draws, Weather: s.source.Describe(), Base: base}
	var all []*System
	var references []int
	for i := range systems {
		if len(variants[i]) != len(values) || base[i] < 0 || base[i] >= len(values) {
			return nil, fmt.Errorf("%s: %d variants of system %s for %d values", column, len(variants[i]), systems[i].Name, len(values))
		}
		first := len(all)
		for range values {
			references = append(references, first+base[i])
		}
		all = append(all, variants[i]...)
	}
	rows, err := s.compareWith(ctx, all, references, draws, progress)
	if err != nil {
		return nil, err
	}
	for i := range systems {
		v.Rows = append(v.Rows, rows[i*len(values):(i+1)*len(values)])
	}
	return v, nil
}

// Between is the price of a variant of a priced system by the prices per unit
// of the quantities in which the two differ; NaN where one of those is not
// known, or where they differ in something that has no price per unit.
func (p Prices) Between(sys, variant *System) float64 {
	price, differ := sys.Price, false
	for _, q := range []Quantity{BatterySize, ChargerSize, PanelSize} {
		if q.Size(sys) != q.Size(variant) {
			differ = true
			price += p.Of(sys, q, q.Size(variant)) - sys.Price
		}
	}
	if !differ {
		return math.NaN()
	}
	return price
}
