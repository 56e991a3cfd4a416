package sim

import "math"

// outcome gathers what a full run notes besides the ledger.
type outcome struct {
	trace   *trace
	used    *usage
	fridges map[int]*fridgeOutcome // by load
}

// fridgeOutcome is how a fridge fared while in use.
type fridgeOutcome struct {
	steps           int
	dutySum         float64
	warmestC        float64 // once cold
	heldC           float64 // highest box temperature that counts as holding
	last            int     // slot of the latest step
	coolingDown     bool    // switched on warm and not cold yet
	coldestCoolingC float64 // of the time since it was switched on
}

func newOutcome(d *demand, used *usage) *outcome {
	o := &outcome{used: used, fridges: map[int]*fridgeOutcome{}}
	for i := range d.loads {
		if l := &d.loads[i]; l.Kind == Fridge {
			o.fridges[i] = &fridgeOutcome{warmestC: math.Inf(-1), heldC: l.Fridge.SetpointC + l.Fridge.NightSetbackC + warmMarginK, last: -1}
		}
	}
	return o
}

// step notes a step in use. The time that a fridge which was off takes to get
// cold is no failure to hold, unless it never gets there before it is off again.
func (o *fridgeOutcome) step(t int, duty, boxC float64) {
	if o.last != t-1 {
		o.endCooling()
		o.coolingDown, o.coldestCoolingC = true, math.Inf(1)
	}
	o.last = t
	o.steps++
	o.dutySum += duty
	o.coldestCoolingC = math.Min(o.coldestCoolingC, boxC)
	if o.coolingDown = o.coolingDown && boxC > o.heldC; !o.coolingDown {
		o.warmestC = math.Max(o.warmestC, boxC)
	}
}

// endCooling closes a stretch of use.
func (o *fridgeOutcome) endCooling() {
	if o.coolingDown {
		o.warmestC = math.Max(o.warmestC, o.coldestCoolingC)
	}
}
