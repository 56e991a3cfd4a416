package profiles

import (
	"fmt"
	"math"
)

// AlternatorV is the voltage at a charger's input while the engine runs, V: a
// regulated alternator, warm, less the cable's drop, by the vehicle's nominal
// voltage (12 or 24 V). 13.8 V per 12 V: common practice, no source.
func AlternatorV(vehicleV float64) float64 { return vehicleV / 12 * 13.8 }

// LowAlternatorV is how low a voltage-controlled vehicle lets that voltage fall
// while driving, V. 12.2 V per 12 V: common practice, no source.
func LowAlternatorV(vehicleV float64) float64 { return vehicleV / 12 * 12.2 }

// Alternator is what a vehicle's alternator can spare for the second battery,
// at its own side (AlternatorV, or lower in vehicles that control the voltage).
type Alternator struct {
	SpareA    float64 // while driving, at 25 C outside, starter battery full
	StarterA  float64 // the starter battery's recharge at the moment of a start
	StarterH  float64 // time constant in which that recharge decays; 0: both defaults
	IdleShare float64 // share of the spare current left when idling; 0: default
}

// WithDefaults fills what is 0: the starter battery takes 30 A at first,
// decaying with a time constant of 5 minutes (an hour's rest or a start costs
// a few Ah); idling leaves half (40-60 %, trade figure, from memory). A StarterH
// above 0 with StarterA 0 means that no starter battery is served first.
func (a Alternator) WithDefaults() Alternator {
	if a.StarterH == 0 {
		a.StarterA, a.StarterH = 30, 5.0/60
	}
	if a.IdleShare == 0 {
		a.IdleShare = 0.5
	}
	return a
}

// Validate lists what is wrong with the alternator.
func (a Alternator) Validate() []error {
	a = a.WithDefaults()
	var errs []error
	if !(a.SpareA >= 0) || math.IsInf(a.SpareA, 0) {
		errs = append(errs, fmt.Errorf("alternator: spare current %g A is not 0 or more; use e.g. 60", a.SpareA))
	}
	if !(a.StarterA >= 0) || !(a.StarterH >= 0) {
		errs = append(errs, fmt.Errorf("alternator: the starter battery's recharge (%g A, %g h) is negative", a.StarterA, a.StarterH))
	}
	if !(a.IdleShare >= 0 && a.IdleShare <= 1) {
		errs = append(errs, fmt.Errorf("alternator: share left when idling %g is not 0 to 1", a.IdleShare))
	}
	return errs
}

// HeatFactor is the share of the spare current left at an outside temperature
// (C). Under the bonnet it is about 40 K hotter, where alternators sustain
// 70-80 % of the cold rating (trade figure, from memory): 1 up to 25 C, falling
// by 1 % per kelvin, not below .6.
func (a Alternator) HeatFactor(airC float64) float64 {
	return min(1, max(0.6, 1-0.01*(airC-25)))
}

// AvailableA is the current (A) that can be taken while driving, at an outside
// temperature (C), a time (h) after the engine's start: the starter battery is
// served first.
func (a Alternator) AvailableA(airC, sinceStartH float64) float64 {
	a = a.WithDefaults()
	starter := 0.0
	if a.StarterA > 0 && sinceStartH < 12*a.StarterH {
		starter = a.StarterA * math.Exp(-max(sinceStartH, 0)/a.StarterH)
	}
	return max(0, a.SpareA*a.HeatFactor(airC)-starter)
}

// Idling is the alternator with the engine idling.
func (a Alternator) Idling() Alternator {
	a.SpareA *= a.WithDefaults().IdleShare
	return a
}

// IdlingA is AvailableA with the engine idling.
func (a Alternator) IdlingA(airC, sinceStartH float64) float64 {
	return a.Idling().AvailableA(airC, sinceStartH)
}

// DCDCInputA is the current (A) that a DC-DC charger draws for an output (W)
// at an efficiency (0..1) and an input voltage: it keeps its output when the
// voltage sags by taking more current, and that current sizes the cable.
func DCDCInputA(outputW, efficiency, inputV float64) float64 {
	return outputW / (efficiency * inputV)
}
