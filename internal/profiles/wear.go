package profiles

import "math"

// Cycle is one counted cycle: its range (peak to valley), mean and count (.5
// or 1).
type Cycle struct{ Range, Mean, Count float64 }

// Rainflow counts the cycles of a series by ASTM E1049-85, section 5.4.4: full
// cycles inside, half cycles at the start and in what is left.
func Rainflow(series []float64) []Cycle {
	var cycles []Cycle
	stack := make([]float64, 0, 64)
	count := func(a, b, n float64) {
		cycles = append(cycles, Cycle{math.Abs(a - b), (a + b) / 2, n})
	}
	reversals(series, func(v float64) {
		stack = append(stack, v)
		for len(stack) >= 3 {
			n := len(stack)
			x := math.Abs(stack[n-1] - stack[n-2])
			y := math.Abs(stack[n-2] - stack[n-3])
			if x < y {
				break
			}
			if n == 3 { // Y holds the starting point: half a cycle
				count(stack[0], stack[1], 0.5)
				stack = append(stack[:0], stack[1:]...)
				continue
			}
			count(stack[n-3], stack[n-2], 1)
			stack[n-3] = stack[n-1]
			stack = stack[:n-2]
		}
	})
	for i := 1; i < len(stack); i++ {
		count(stack[i-1], stack[i], 0.5)
	}
	return cycles
}

// reversals yields the ends and the turning points of a series.
func reversals(series []float64, yield func(float64)) {
	if len(series) == 0 {
		return
	}
	last := series[0]
	yield(last)
	moving, rising := false, false
	for _, v := range series[1:] {
		if v != last {
			if moving && rising != (v > last) {
				yield(last)
			}
			moving, rising = true, v > last
		}
		last = v
	}
	if moving {
		yield(last)
	}
}

// CyclesToEndOfLife is the number of cycles of a depth (0..1) that use up a
// battery: N1 D^-k (form: Bindner et al., Riso-R-1515, 2005).
func (c Chemistry) CyclesToEndOfLife(depth float64) float64 {
	return c.CycleN1 * math.Pow(depth, -c.CycleExponent)
}

// smallestCycle (share of capacity) leaves rounding and ripple out.
const smallestCycle = 1e-6

// Wear is what a trace of the state of charge (0..1) uses of a battery's life:
// the share by summed damage n/N(depth) over the rainflow cycles, and the
// charge moved in full cycles. Ageing by time and heat is not in it.
func Wear(soc []float64, c Chemistry) (shareOfLife, equivalentFullCycles float64) {
	for _, cycle := range Rainflow(soc) {
		if cycle.Range > smallestCycle {
			shareOfLife += cycle.Count / c.CyclesToEndOfLife(min(cycle.Range, 1))
			equivalentFullCycles += cycle.Count * cycle.Range
		}
	}
	return shareOfLife, equivalentFullCycles
}
