package profiles

import (
	"errors"
	"fmt"
	"math"
)

// BatterySpec describes a bank of equal batteries in parallel.
type BatterySpec struct {
	Chemistry                 Chemistry
	CapacityAh                float64 // one battery, new, at its 20 h rate, at NominalV
	Count                     int     // in parallel
	NominalV                  float64 // 12, 24 or 48
	Health                    float64 // (0,1], share of the new capacity left
	MinSoC, ReconnectSoC      float64 // 0..1; NaN: the chemistry's default
	MaxChargeA, MaxDischargeA float64 // whole bank; NaN: the chemistry's default. Only lithium's electronics enforce the latter
	CutoffV                   float64 // disconnects the loads below this voltage at the terminals; 0: never
	HeaterW                   float64 // 0: none
	PlaceOffsetK              float64 // the battery's place is warmer than the outside air by this
	PlaceMinC                 float64 // the battery's place is never colder than this, C; NaN: no such limit
	ChargeV                   float64 // NaN: the chemistry's absorption voltage at NominalV
}

// NewBatterySpec is a new bank with every other value at its default.
func NewBatterySpec(c Chemistry, capacityAh float64, count int, nominalV float64) BatterySpec {
	nan := math.NaN()
	return BatterySpec{
		Chemistry: c, CapacityAh: capacityAh, Count: count, NominalV: nominalV, Health: 1,
		MinSoC: nan, ReconnectSoC: nan, MaxChargeA: nan, MaxDischargeA: nan, PlaceMinC: nan, ChargeV: nan,
	}
}

// Validate lists everything that is wrong with the bank.
func (s BatterySpec) Validate() []error {
	var errs []error
	bad := func(format string, a ...any) { errs = append(errs, fmt.Errorf(format, a...)) }
	if s.Chemistry.ID == "" {
		bad("battery: no chemistry; use lifepo4, agm, gel or flooded")
	}
	if !(s.CapacityAh > 0) || math.IsInf(s.CapacityAh, 0) {
		bad("battery: capacity %g Ah is not above 0; use e.g. 100", s.CapacityAh)
	}
	if s.Count < 1 {
		bad("battery: %d batteries in parallel; use 1 or more", s.Count)
	}
	if s.NominalV != 12 && s.NominalV != 24 && s.NominalV != 48 {
		bad("battery: nominal %g V is not supported; use 12, 24 or 48", s.NominalV)
	}
	if !(s.Health > 0 && s.Health <= 1) {
		bad("battery: health %g is not above 0 and up to 1; use 1 for new", s.Health)
	}
	if !math.IsNaN(s.MinSoC) && !(s.MinSoC >= 0 && s.MinSoC < 1) {
		bad("battery: cut-off state of charge %g is not 0 up to below 1; use e.g. 0.1", s.MinSoC)
	}
	d := s.withDefaults()
	if !math.IsNaN(s.ReconnectSoC) && !(s.ReconnectSoC >= d.MinSoC && s.ReconnectSoC <= 1) {
		bad("battery: reconnects at %g, which is not between the cut-off %g and 1", s.ReconnectSoC, d.MinSoC)
	}
	if !math.IsNaN(s.MaxChargeA) && !(s.MaxChargeA >= 0) {
		bad("battery: largest charge current %g A is negative", s.MaxChargeA)
	}
	if !math.IsNaN(s.MaxDischargeA) && !(s.MaxDischargeA >= 0) {
		bad("battery: largest discharge current %g A is negative", s.MaxDischargeA)
	}
	if low, high := s.CutoffRange(); s.CutoffV != 0 && !(s.CutoffV >= low && s.CutoffV <= high) {
		bad("battery: disconnects below %g V, which is not between %.1f and %.1f V; use e.g. %g",
			s.CutoffV, low, high, 11*s.NominalV/12)
	}
	if !(s.HeaterW >= 0) || math.IsInf(s.HeaterW, 0) {
		bad("battery: heater %g W is negative or not a number", s.HeaterW)
	}
	if !(s.PlaceOffsetK >= -20 && s.PlaceOffsetK <= 40) {
		bad("battery: its place is %g K warmer than the air; use -20 to 40", s.PlaceOffsetK)
	}
	if !math.IsNaN(s.PlaceMinC) && !(s.PlaceMinC >= -40 && s.PlaceMinC <= 40) {
		bad("battery: its place is never colder than %g C; use -40 to 40", s.PlaceMinC)
	}
	if !math.IsNaN(s.ChargeV) {
		if low, high := s.NominalV*1.05, s.NominalV*1.35; !(s.ChargeV >= low && s.ChargeV <= high) {
			bad("battery: charge voltage %g V is not between %.1f and %.1f V; use e.g. %.1f",
				s.ChargeV, low, high, s.Chemistry.ChargeV*s.cells())
		}
	}
	return errs
}

// CutoffRange is where CutoffV has to be, V.
func (s BatterySpec) CutoffRange() (low, high float64) { return 0.75 * s.NominalV, 1.1 * s.NominalV }

func (s BatterySpec) cells() float64 { return s.Chemistry.Cells12V * s.NominalV / 12 }

// bankAh is the bank's capacity today.
func (s BatterySpec) bankAh() float64 { return s.CapacityAh * float64(s.Count) * s.Health }

func (s BatterySpec) withDefaults() BatterySpec {
	c, newAh := s.Chemistry, s.CapacityAh*float64(s.Count)
	if math.IsNaN(s.MinSoC) {
		s.MinSoC = c.MinSoC
	}
	if math.IsNaN(s.ReconnectSoC) {
		s.ReconnectSoC = min(s.MinSoC+c.ReconnectMargin, 1)
	}
	if math.IsNaN(s.MaxChargeA) {
		s.MaxChargeA = c.MaxChargeC * newAh
	}
	if math.IsNaN(s.MaxDischargeA) {
		s.MaxDischargeA = c.MaxDischargeC * newAh
	}
	if math.IsNaN(s.ChargeV) {
		s.ChargeV = c.ChargeV * s.cells()
	}
	return s
}

// kineticMax is the capacity of both wells, relative to the capacity at the
// 20 h rate: the reciprocal of the share of a full battery that the kinetic
// battery model delivers in 20 h at constant current (Manwell & McGowan 1993).
func kineticMax(c, kPerH float64) float64 { return 1 / kineticShare(c, kPerH, 20) }

// kineticShare is the share of both wells that a full battery delivers at the
// constant current that empties the available well in hours.
func kineticShare(c, kPerH, hours float64) float64 {
	if kPerH == 0 {
		return 1
	}
	kt := kPerH * hours
	e := math.Exp(-kt)
	return kt * c / (1 - e + c*(kt-1+e))
}

// NewPack prepares a bank for steps of stepH hours (above 0). The error joins
// everything that Validate finds.
func NewPack(spec BatterySpec, stepH float64) (*Pack, error) {
	if errs := spec.Validate(); len(errs) > 0 {
		return nil, errors.Join(errs...)
	}
	if !(stepH > 0) || math.IsInf(stepH, 0) {
		return nil, fmt.Errorf("battery: step of %g hours is not above 0", stepH)
	}
	s := spec.withDefaults()
	c, cells, capAh := s.Chemistry, s.cells(), spec.bankAh()
	p := &Pack{
		CapacityAh: capAh,
		ChargeV:    s.ChargeV, FloatV: min(c.FloatV*cells, s.ChargeV),
		MaxChargeA: s.MaxChargeA, MaxDischargeA: s.MaxDischargeA,
		MinSoC: s.MinSoC, ReconnectSoC: s.ReconnectSoC,
		TripA: s.MaxDischargeA, CutoffV: s.CutoffV,
		stepH: stepH, invStepH: 1 / stepH, invC: 1 / capAh,
		cells: cells, chemistry: c,
	}
	// Resistance falls with size, rises with the voltage, and by the square of
	// the health lost (half as much again at 80 %: common practice, no source).
	newAh := s.CapacityAh * float64(s.Count)
	p.ROhm = (c.CellMilliohm + c.LeadsMilliohm) / 1000 * 100 / newAh * s.NominalV / 12 / (s.Health * s.Health)
	p.selfDischargeStep = -math.Expm1(math.Log1p(-c.SelfDischargePctMonth/100) * stepH / 730)

	p.usableAh = capAh * (1 - s.MinSoC)
	if c.Lithium() {
		p.ocv.scale(&lfpGrid, cells)
	} else {
		p.ocv.fill(func(soc float64) float64 { return c.leadCellOCV(soc) * cells })
	}
	if c.Lithium() {
		p.fillLithium()
	} else {
		p.fillLead()
	}
	return p, nil
}

func (p *Pack) fillLithium() {
	p.bothAh, p.availableShare = p.CapacityAh, 1
	p.headScale = gridSteps / p.bothAh
	p.internal = p.ocv
	p.topAh = p.CapacityAh * p.ocv.inverse(p.ChargeV)
	p.slopeStep = gridSteps * p.stepH * p.invC
	p.bulkLoss = p.chemistry.BulkLoss
	p.roomGain = p.invStepH / (1 - p.bulkLoss)
}

func (p *Pack) fillLead() {
	c := p.chemistry
	p.kinetic = true
	p.TripA = math.Inf(1)
	p.efficiency.fill(c.coulombicEfficiency)
	p.bothAh = p.CapacityAh * kineticMax(c.KineticC, c.KineticKPerH)
	p.residualAh = p.bothAh - p.CapacityAh
	p.availableShare = c.KineticC
	p.headScale = gridSteps / (c.KineticC * p.bothAh)
	p.topAh = p.bothAh

	kt := c.KineticKPerH * p.stepH
	oneMinusE := -math.Expm1(-kt)
	p.keep = math.Exp(-kt)
	p.share = c.KineticC * oneMinusE
	p.gain = (oneMinusE + c.KineticC*(kt-oneMinusE)) / c.KineticKPerH
	p.invGain = 1 / p.gain
	p.availableMaxAh = c.KineticC * p.bothAh

	// Voltage by the head of the available well. Below the head of a bank that
	// rests empty the voltage falls to the end of discharge.
	emptyHead := p.residualAh / p.bothAh
	slope := (c.OCVFullV - c.OCVEmptyV) / (1 - emptyHead)
	p.internal.fill(func(head float64) float64 {
		v := c.OCVFullV - slope*(1-head)
		if head < emptyHead {
			short := 1 - head/emptyHead
			v += (c.EndV - (c.OCVFullV - slope)) * short * short
		}
		return v * p.cells
	})

	// The resistance that makes a charger at the absorption voltage deliver
	// just what the bank accepts: a (charge missing), Mas 1967.
	absorbV := c.ChargeV * p.cells
	p.chargeR.fill(func(soc float64) float64 {
		acceptA := max(c.AcceptancePerH*(1-soc), floatCurrentC) * p.CapacityAh
		return max((absorbV-p.ocv.at(soc*gridSteps))/acceptA, p.ROhm)
	})
	at := c.AcceptancePerH * p.stepH
	p.taper = -math.Expm1(-at) / at
}

// floatCurrentC is the current (share of capacity per hour) that a full lead
// battery still takes: common practice, no source.
const floatCurrentC = 0.005
