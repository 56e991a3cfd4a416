package sim

import (
	"math"
	"slices"
)

// Prices are what one more Ah of battery, A of charger and W of panel costs, in
// the job's currency; NaN or 0 = not known.
type Prices struct{ PerAh, PerA, PerW float64 }

func (p Prices) per(q Quantity) float64 { return [...]float64{p.PerAh, p.PerA, p.PerW}[q] }

// Of is the price of a system with another size of one quantity: its own price
// and the difference in size at the price per unit. NaN when either is not
// known; a size equal to the system's own costs the system's price.
func (p Prices) Of(sys *System, q Quantity, size float64) float64 {
	diff := size - q.Size(sys)
	if diff == 0 {
		return sys.Price
	}
	per := p.per(q)
	if !(per > 0) {
		return math.NaN()
	}
	return sys.Price + diff*per
}

// PricesFrom reads prices per unit off systems with a price: of every two that
// differ in one quantity only, the slope; of several slopes, the median.
func PricesFrom(systems []*System) Prices {
	var slopes [3][]float64
	for i, a := range systems {
		for _, b := range systems[:i] {
			if q, ok := onlyDifference(a, b); ok {
				if s := (a.Price - b.Price) / (q.Size(a) - q.Size(b)); s > 0 {
					slopes[q] = append(slopes[q], s)
				}
			}
		}
	}
	return Prices{median(slopes[BatterySize]), median(slopes[ChargerSize]), median(slopes[PanelSize])}
}

// onlyDifference names the one quantity in which two priced systems differ.
func onlyDifference(a, b *System) (Quantity, bool) {
	if math.IsNaN(a.Price) || math.IsNaN(b.Price) || a.Battery.Chemistry.ID != b.Battery.Chemistry.ID ||
		a.Battery.NominalV != b.Battery.NominalV || a.Inverter.RatedW != b.Inverter.RatedW ||
		len(a.Chargers) != len(b.Chargers) {
		return 0, false
	}
	found, count := Quantity(0), 0
	for _, q := range []Quantity{BatterySize, ChargerSize, PanelSize} {
		if q.Size(a) != q.Size(b) {
			found = q
			count++
		}
	}
	return found, count == 1
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	v = slices.Sorted(slices.Values(v))
	n := len(v)
	return (v[(n-1)/2] + v[n/2]) / 2
}
