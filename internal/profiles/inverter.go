package profiles

import (
	"fmt"
	"math"
)

// Inverter turns the bank's direct current into alternating current. The loss
// is idle + proportional + quadratic (Schmidt & Sauer, Sonnenenergie 4/1996).
type Inverter struct {
	RatedW, SurgeW   float64 // continuous at 25 C, and for seconds
	IdleW            float64 // while on
	ProportionalLoss float64 // share of the output
	ResistiveLoss    float64 // share of the rating lost at the rating by the square of the output
	CutoffV          float64 // switches off below this bus voltage
}

// Defaults of an inverter: about 93 % at a third of the load, 91 % at full
// load; idle .8 % of the rating (data sheets .3-1.5 %, from memory); off at
// 10.5 V at 12 V; surge twice the rating: common practice, no source.
const (
	defaultProportionalLoss = 0.03
	defaultResistiveLoss    = 0.06
	defaultIdleShare        = 0.008
	defaultSurgeRatio       = 2
	defaultCutoffV          = 10.5
)

// NewInverter is an inverter of a rating (W, above 0). surgeW and idleW may be
// NaN for the defaults; nominalV is 12, 24 or 48.
func NewInverter(ratedW, surgeW, idleW, nominalV float64) (Inverter, error) {
	if !(ratedW > 0) || math.IsInf(ratedW, 0) {
		return Inverter{}, fmt.Errorf("inverter: rating %g W is not above 0; use e.g. 2000", ratedW)
	}
	if math.IsNaN(surgeW) {
		surgeW = ratedW * defaultSurgeRatio
	}
	if math.IsNaN(idleW) {
		idleW = ratedW * defaultIdleShare
	}
	if surgeW < ratedW {
		return Inverter{}, fmt.Errorf("inverter: surge rating %g W is below the rating %g W", surgeW, ratedW)
	}
	if !(idleW >= 0 && idleW < ratedW) {
		return Inverter{}, fmt.Errorf("inverter: idle %g W is not between 0 and the rating; use e.g. %.0f", idleW, ratedW*defaultIdleShare)
	}
	if nominalV != 12 && nominalV != 24 && nominalV != 48 {
		return Inverter{}, fmt.Errorf("inverter: nominal %g V is not supported; use 12, 24 or 48", nominalV)
	}
	return Inverter{
		RatedW: ratedW, SurgeW: surgeW, IdleW: idleW,
		ProportionalLoss: defaultProportionalLoss, ResistiveLoss: defaultResistiveLoss,
		CutoffV: defaultCutoffV * nominalV / 12,
	}, nil
}

// InputW is the direct-current power (W) for an output (W, 0 or more), idle
// included. With p0 = IdleW/RatedW, k1, k2: eta = p/(p + p0 + k1 p + k2 p^2).
func (v Inverter) InputW(acW float64) float64 {
	return acW + v.IdleW + acW*(v.ProportionalLoss+v.ResistiveLoss*acW/v.RatedW)
}

// Efficiency is output over input at an output (W); 0 at no output.
func (v Inverter) Efficiency(acW float64) float64 {
	if acW <= 0 {
		return 0
	}
	return acW / v.InputW(acW)
}

// BriefH is how long (h) an inverter gives more than the heat leaves it.
const BriefH = 0.5

// BriefAtTempW is what an inverter gives for up to BriefH at an air temperature
// (C): a tenth more than RatedAtTempW, at most its rating, since it is the lasting
// load that heats it up: common practice, no source.
func (v Inverter) BriefAtTempW(airC float64) float64 {
	return math.Min(v.RatedW, 1.1*v.RatedAtTempW(airC))
}

// RatedAtTempW is the continuous rating (W) at an air temperature (C): full up
// to 25 C, 90 % at 40 C, 60 % at 60 C, off at 75 C: common practice, no source.
func (v Inverter) RatedAtTempW(airC float64) float64 {
	switch {
	case airC <= 25:
		return v.RatedW
	case airC <= 40:
		return v.RatedW * (1 - 0.1*(airC-25)/15)
	case airC <= 60:
		return v.RatedW * (0.9 - 0.3*(airC-40)/20)
	default:
		return v.RatedW * max(0, 0.6-0.6*(airC-60)/15)
	}
}

// WeightedEfficiency averages the efficiency at shares of the rating, e.g.
// EuropeanWeights or CECWeights.
func (v Inverter) WeightedEfficiency(weights []LoadWeight) float64 {
	sum := 0.0
	for _, w := range weights {
		sum += w.Weight * v.Efficiency(w.LoadShare*v.RatedW)
	}
	return sum
}

// LoadWeight weighs the efficiency at a share of the rating.
type LoadWeight struct{ LoadShare, Weight float64 }

// EuropeanWeights are those of EN 50530.
func EuropeanWeights() []LoadWeight {
	return []LoadWeight{{.05, .03}, {.10, .06}, {.20, .13}, {.30, .10}, {.50, .48}, {1, .20}}
}

// CECWeights are those of the Californian (Sandia) protocol.
func CECWeights() []LoadWeight {
	return []LoadWeight{{.10, .04}, {.20, .05}, {.30, .12}, {.50, .21}, {.75, .53}, {1, .05}}
}
