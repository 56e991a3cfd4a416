package report

import (
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"tripsim/internal/sim"
)

// Describe names a system and what it is made of: "Weekend (100 Ah lithium with
// the 40 A charger)".
func Describe(s *sim.System, f Format) string {
	return f.Text(textSystemName, sentenceName(s.Name), MakeUp(s, f))
}

// MakeUp says what a system is made of: "200 Ah lithium, 30 A + 50 A chargers,
// 160 W of panels". A charger is named by its largest input.
func MakeUp(s *sim.System, f Format) string {
	var amps []string
	for i := range s.Chargers {
		if a := largestInputA(&s.Chargers[i]); a > 0 {
			amps = append(amps, f.With(a, 0, "A"))
		}
	}
	parts := []string{BatteryText(s, f)}
	switch len(amps) {
	case 0:
		parts = append(parts, wordNoCharger)
	case 1:
		parts = append(parts, f.Text(textOneCharger, amps[0]))
	default:
		parts = append(parts, f.Text(textManyChargers, strings.Join(amps, " + ")))
	}
	if w := panelW(s); w > 0 {
		parts = append(parts, f.Text(textPanels, f.With(w, 0, "W")))
	}
	return strings.Join(parts, ", ")
}

// usualV is the voltage of a system that goes without saying.
const usualV = 12

// BatteryText is a battery's size and chemistry, with its voltage where that is not
// 12 V: "200 Ah lithium", "100 Ah 24 V lithium".
func BatteryText(s *sim.System, f Format) string {
	return f.Text(textBattery, bankText(s, f), chemistryName(s))
}

// bankText is the size of a battery, with its voltage where that is not 12 V.
func bankText(s *sim.System, f Format) string {
	size := f.With(batteryAh(s), 0, "Ah")
	if v := s.Battery.NominalV; v > 0 && v != usualV {
		size += " " + f.With(v, 0, "V")
	}
	return size
}

// unitA is a charger's output limit, A: of its shared limit if it has one, else
// of its inputs together.
func unitA(c *sim.Charger) float64 {
	sum := c.AlternatorA + c.SolarA + c.MainsA
	if c.TotalA > 0 {
		return math.Min(c.TotalA, sum)
	}
	return sum
}

// largestInputA is the current that a charger goes by, A: no one calls a unit of
// 30 A from the alternator and 20 A from panels one of 50 A.
func largestInputA(c *sim.Charger) float64 {
	return math.Min(unitA(c), max(c.AlternatorA, c.SolarA, c.MainsA))
}

// inputA sums a kind of input over a system's chargers, A at the battery.
func inputA(s *sim.System, of func(*sim.Charger) float64) float64 {
	sum := 0.0
	for i := range s.Chargers {
		c := &s.Chargers[i]
		a := of(c)
		if c.TotalA > 0 {
			a = math.Min(a, c.TotalA)
		}
		sum += a
	}
	return sum
}

func driveA(s *sim.System) float64 {
	return inputA(s, func(c *sim.Charger) float64 { return c.AlternatorA })
}

func mainsA(s *sim.System) float64 {
	return inputA(s, func(c *sim.Charger) float64 { return c.MainsA })
}

func chargerA(s *sim.System) float64 {
	sum := 0.0
	for i := range s.Chargers {
		sum += unitA(&s.Chargers[i])
	}
	return sum
}

func panelW(s *sim.System) float64 {
	sum := 0.0
	for i := range s.Panels {
		sum += s.Panels[i].RatedW
	}
	return sum
}

func inverterW(s *sim.System) float64 { return s.Inverter.RatedW }

// price is a system's price; one without is taken as the dearest.
func price(s *sim.System) float64 {
	if math.IsNaN(s.Price) || s.Price <= 0 {
		return math.Inf(1)
	}
	return s.Price
}

// nameWidth is how much of a name a sentence shows, terminal columns.
const nameWidth = 48

// sentenceName is a name as it stands in running text.
func sentenceName(s string) string {
	if s = Short(Clean(s), nameWidth); s == "" {
		return "?"
	}
	return isolated(s)
}

func placeName(s string) string { return sentenceName(s) }

// zoneAt is the local clock of a step.
func zoneAt(r *sim.Result, row int) *time.Location {
	if row = min(row, len(r.Slots)-1); row < 0 {
		return time.UTC
	}
	return zoneOfStop(r, r.Slots[row].Stop)
}

func zoneOfStop(r *sim.Result, stop int) *time.Location {
	if r.Trip != nil && stop >= 0 && stop < len(r.Trip.Stops) && r.Trip.Stops[stop].Zone != nil {
		return r.Trip.Stops[stop].Zone
	}
	return time.UTC
}

// localTime puts a moment of the trip on the clock of the place where the
// traveller is then.
func localTime(r *sim.Result, t time.Time) time.Time {
	row := 0
	if len(r.Slots) > 0 && r.Step > 0 {
		row = max(0, int(t.Sub(r.Slots[0].Start)/r.Step))
	}
	return t.In(zoneAt(r, row))
}

// batteryAh is the bank's capacity when new, Ah.
func batteryAh(s *sim.System) float64 {
	return s.Battery.CapacityAh * float64(max(1, s.Battery.Count))
}

// batteryWh makes banks of different voltage comparable, Wh.
func batteryWh(s *sim.System) float64 { return batteryAh(s) * s.Battery.NominalV }

// chemistryName is the chemistry as an adviser calls it.
func chemistryName(s *sim.System) string {
	c := s.Battery.Chemistry
	if short, ok := chemistryWords[c.ID]; ok {
		return short
	}
	return Clean(c.Name)
}

// upperFirst begins a text like a sentence.
func upperFirst(s string) string {
	r, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(r)) + s[size:]
}
