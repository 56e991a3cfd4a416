package sim

import (
	"fmt"
	"math"
	"slices"

	"tripsim/internal/profiles"
)

// Quantity is what a search for the smallest size varies.
type Quantity int

// The quantities: the battery bank (Ah at the 20 h rate, new), a charging
// unit's rating (A at the battery), all panels together (W).
const (
	BatterySize Quantity = iota
	ChargerSize
	PanelSize
)

func (q Quantity) String() string { return [...]string{"battery", "charger", "panel"}[q] }

// Unit is the quantity's unit.
func (q Quantity) Unit() string { return [...]string{"Ah", "A", "W"}[q] }

// Size is how much of the quantity a system has. The charger is the one that
// ChargerOf picks.
func (q Quantity) Size(sys *System) float64 {
	switch q {
	case BatterySize:
		return sys.BankAh()
	case ChargerSize:
		if u := ChargerOf(sys); u >= 0 {
			return sys.Chargers[u].RatingA()
		}
		return 0
	default:
		return sys.PanelW()
	}
}

// Resized returns the system with another size of the quantity.
func (q Quantity) Resized(sys *System, size float64) *System {
	switch q {
	case BatterySize:
		return WithBank(sys, size, 1)
	case ChargerSize:
		return WithChargerA(sys, ChargerOf(sys), size)
	default:
		return WithPanelW(sys, size)
	}
}

// BankAh is the capacity of all batteries together when new, Ah.
func (s *System) BankAh() float64 { return s.Battery.CapacityAh * float64(max(1, s.Battery.Count)) }

// PanelW is the rated power of all panels together, W.
func (s *System) PanelW() float64 {
	sum := 0.0
	for i := range s.Panels {
		sum += s.Panels[i].RatedW
	}
	return sum
}

// RatingA is a unit's largest output: the sum of its inputs, or its shared limit
// where that is less, A.
func (c *Charger) RatingA() float64 {
	sum := c.AlternatorA + c.SolarA + c.MainsA
	if c.TotalA > 0 {
		return min(c.TotalA, sum)
	}
	return sum
}

// clone copies a system so that its parts can be changed.
func (s *System) clone() *System {
	c := *s
	c.Chargers = slices.Clone(s.Chargers)
	c.Panels = slices.Clone(s.Panels)
	return &c
}

// WithBank returns the system with a bank of count equal batteries that hold
// ah together (above 0). Limits of current that were given for the bank grow
// with it; those of the chemistry do so by themselves.
func WithBank(sys *System, ah float64, count int) *System {
	c := sys.clone()
	k := ah / sys.BankAh()
	c.Battery.CapacityAh, c.Battery.Count = ah/float64(count), count
	c.Battery.MaxChargeA *= k
	c.Battery.MaxDischargeA *= k
	return c
}

// ChargerOf is the index of the unit that a search for the smallest charger
// varies: the one with the largest input from the alternator; without any, from
// mains; without any, from panels; -1 without units.
func ChargerOf(sys *System) int {
	inputs := []func(*Charger) float64{
		func(c *Charger) float64 { return c.AlternatorA },
		func(c *Charger) float64 { return c.MainsA },
		func(c *Charger) float64 { return c.SolarA },
	}
	for _, of := range inputs {
		best := -1
		for i := range sys.Chargers {
			if a := of(&sys.Chargers[i]); a > 0 && (best < 0 || a > of(&sys.Chargers[best])) {
				best = i
			}
		}
		if best >= 0 {
			return best
		}
	}
	return -1
}

// ChargerSpareable reports whether a system can be tried without the unit that
// ChargerOf picks: it has none, or no panel hangs on it.
func ChargerSpareable(sys *System) bool {
	u := ChargerOf(sys)
	return u < 0 || !slices.ContainsFunc(sys.Panels, func(p Panel) bool { return p.Charger == u })
}

// addedEfficiency is that of a unit which an advice adds (data sheets of
// DC-DC units 88-93 %, from memory).
const addedEfficiency = 0.90

// WithChargerA returns the system with unit's rating at amps: all its inputs
// scaled alike. With unit -1 a DC-DC unit is added, none for 0 A.
func WithChargerA(sys *System, unit int, amps float64) *System {
	c := sys.clone()
	if unit < 0 && amps == 0 {
		return c
	}
	if unit < 0 {
		c.Chargers = append(c.Chargers, Charger{Name: "DC-DC charger", AlternatorA: amps, Efficiency: addedEfficiency, Priority: 1})
		return c
	}
	u := &c.Chargers[unit]
	k := amps / u.RatingA()
	u.AlternatorA *= k
	u.SolarA *= k
	u.MainsA *= k
	u.TotalA *= k // NaN and 0 stay what they are: no shared limit
	return c
}

// WithPanelW returns the system with all panels together at watts, each scaled
// alike; regulators stay as they are. A system without a panel gets one on the
// roof, and a regulator that passes all of it if it has no solar input.
func WithPanelW(sys *System, watts float64) *System {
	c := sys.clone()
	if old := sys.PanelW(); old > 0 {
		for i := range c.Panels {
			c.Panels[i].RatedW *= watts / old
		}
		return c
	}
	p, _ := profiles.PanelByID("roof_200")
	return c.withPanel(p, watts)
}

// withPanel adds a generic panel and, where the system has no solar input, a
// regulator for it.
func (s *System) withPanel(preset profiles.Panel, watts float64) *System {
	pn := Panel{
		Name: preset.Name, RatedW: watts, AzimuthDeg: math.NaN(), Soiling: preset.SoilingPct / 100,
		TempCoeffPerK: preset.TempCoeffPctPerK / 100, NOCTC: preset.NOCTC, TurnsPerDay: defaultTurns,
	}
	if preset.Mount == "portable" {
		pn.Mount, pn.TiltDeg = Portable, portableTiltDeg
	}
	pn.Charger = slices.IndexFunc(s.Chargers, func(c Charger) bool { return c.SolarA > 0 })
	if pn.Charger < 0 {
		amps := 10 * math.Ceil(watts/s.Battery.NominalV/10)
		s.Chargers = append(s.Chargers, Charger{
			Name: fmt.Sprintf("solar regulator %.0f A", amps), SolarA: amps,
			Efficiency: regulatorEfficiency, Priority: 1,
		})
		pn.Charger = len(s.Chargers) - 1
	}
	s.Panels = append(s.Panels, pn)
	return s
}

const (
	regulatorEfficiency = 0.95 // tracking regulators 94-98 %: data sheets (from memory)
	defaultTurns        = 3    // a portable panel turned to the sun: common practice, no source
	portableTiltDeg     = 35   // common practice, no source
)
