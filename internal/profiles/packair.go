package profiles

import "math"

// PackAir is what the battery's temperature does to a bank in one step.
type PackAir struct {
	TempC               float64 // battery
	RFactor             float64 // resistance relative to 25 C
	CapacityFactor      float64 // share of the 25 C capacity that can be drawn; 0: discharge refused
	ChargeFactor        float64 // share of MaxChargeA; 0: charge refused
	SelfDischargeFactor float64 // relative to 20 C
	ChargeShiftV        float64 // temperature compensation of the charge voltage, lead only
}

// NormalAir is a battery at 25 C.
func NormalAir() PackAir {
	return PackAir{TempC: 25, RFactor: 1, CapacityFactor: 1, ChargeFactor: 1, SelfDischargeFactor: math.Sqrt2}
}

// airTable holds the factors by battery temperature, one row a kelvin.
type airTable [airHighC - airLowC + 1]struct{ r, capacity, self float64 }

const airLowC, airHighC = -50, 80

func newAirTable(c Chemistry) (t airTable) {
	for i := range t {
		tempC := float64(i + airLowC)
		t[i].r = c.resistanceFactor(tempC)
		// The limits of discharge are applied at the exact temperature.
		inside := c
		inside.DischargeMinC, inside.DischargeMaxC = math.Inf(-1), math.Inf(1)
		t[i].capacity = inside.capacityFactor(tempC)
		// Doubles per 10 K: battery texts (from memory).
		t[i].self = math.Exp2((tempC - 20) / 10)
	}
	return t
}

// lag is a bank's heat balance: temperature follows the air exponentially.
type lag struct{ keep, heatedKPerW float64 }

func newLag(s BatterySpec, stepH float64) lag {
	c := s.Chemistry
	kWh := s.CapacityAh * float64(s.Count) * s.NominalV / 1000
	timeH := c.LagH * math.Cbrt(kWh)
	heatWhPerK := kWh * 1000 / c.WhPerKg * c.SpecificHeatJPerKgK / 3600
	keep := math.Exp(-stepH / timeH)
	return lag{keep: keep, heatedKPerW: (1 - keep) * timeH / heatWhPerK}
}

func (l lag) step(tempC, airC float64) float64 { return airC + (tempC-airC)*l.keep }

// heaterTargetC is where the heater's thermostat holds the battery (C):
// common practice, no source.
const heaterTargetC = 5

// PackAirs follows the battery's temperature through steps of stepH hours and
// fills dst (as long as airC) and heaterW (mean heater power; may be nil
// without a heater). The battery follows the air with the chemistry's time
// constant (5-6 h for 1 kWh, growing with the cube root of the energy) and
// starts as the first day would have left it; a place inside the vehicle is
// warmer than the air by PlaceOffsetK, and never colder than PlaceMinC. A heater holds it at 5 C while
// source[i] says that some charging source is present. Charging is refused
// below the chemistry's lower limit until 2 K above it, and above its upper
// limit until 5 K below it; LiFePO4 is held to .1-.2 C between 0 and 10 C.
func PackAirs(spec BatterySpec, airC []float64, source []bool, stepH float64, dst []PackAir, heaterW []float64) {
	if len(airC) == 0 {
		return
	}
	s := spec.withDefaults()
	c := &s.Chemistry
	table := c.air
	if table == nil {
		t := newAirTable(*c)
		table = &t
	}
	l := newLag(s, stepH)
	leastC := s.PlaceMinC
	if math.IsNaN(leastC) {
		leastC = math.Inf(-1)
	}
	tempC := startTemp(l, airC, s.PlaceOffsetK, leastC, stepH)
	bankAh, shiftVPerK := s.bankAh(), c.ChargemVPerK/1000*s.cells()
	refused := tempC < c.ChargeMinC || tempC > c.ChargeMaxC
	for i, air := range airC {
		before := tempC
		tempC = l.step(tempC, max(air+s.PlaceOffsetK, leastC))
		heat := 0.0
		if s.HeaterW > 0 && i < len(source) && source[i] && tempC < heaterTargetC {
			heat = min(s.HeaterW, (heaterTargetC-tempC)/l.heatedKPerW)
			tempC += heat * l.heatedKPerW
		}
		if i < len(heaterW) {
			heaterW[i] = heat
		}
		meanC := (before + tempC) / 2
		if refused {
			refused = meanC < c.ChargeMinC+c.ChargeMinHystK || meanC > c.ChargeMaxC-c.ChargeMaxHystK
		} else {
			refused = meanC < c.ChargeMinC || meanC > c.ChargeMaxC
		}
		out := &dst[i]
		table.fill(meanC, out)
		if meanC < c.DischargeMinC || meanC > c.DischargeMaxC {
			out.CapacityFactor = 0
		}
		out.ChargeShiftV = shiftVPerK * (meanC - 25)
		out.ChargeFactor = 1
		if refused {
			out.ChargeFactor = 0
		} else if meanC < 10 && c.ColdChargeCAt0 > 0 && s.MaxChargeA > 0 {
			coldA := bankAh * (c.ColdChargeCAt0 + (c.ColdChargeCAt10-c.ColdChargeCAt0)*max(meanC, 0)/10)
			out.ChargeFactor = min(1, coldA/s.MaxChargeA)
		}
	}
}

// startTemp is the battery's temperature after one earlier day like the first,
// in a place warmer by offsetK and never colder than leastC.
func startTemp(l lag, airC []float64, offsetK, leastC, stepH float64) float64 {
	day := airC[:min(len(airC), max(1, int(math.Round(24/stepH))))]
	tempC := 0.0
	for _, a := range day {
		tempC += max(a+offsetK, leastC) / float64(len(day))
	}
	for _, a := range day {
		tempC = l.step(tempC, max(a+offsetK, leastC))
	}
	return tempC
}

// fill looks up the factors that follow the temperature alone.
func (t *airTable) fill(tempC float64, out *PackAir) {
	x := tempC - airLowC
	if x < 0 {
		x = 0
	} else if x > airHighC-airLowC-1e-9 {
		x = airHighC - airLowC - 1e-9
	}
	i := int(x)
	f := x - float64(i)
	a, b := &t[i], &t[i+1]
	out.TempC = tempC
	out.RFactor = a.r + f*(b.r-a.r)
	out.CapacityFactor = a.capacity + f*(b.capacity-a.capacity)
	out.SelfDischargeFactor = a.self + f*(b.self-a.self)
}
