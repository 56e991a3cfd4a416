package sim

import (
	"math"
	"math/bits"
)

// Difference is the mean over draws of the difference between two systems (or
// two ways of using one) that met the same weather, with its 95 % interval.
type Difference struct{ Mean, Low, High float64 }

// Certain reports whether the interval leaves zero out: the difference is more
// than the chance of the draws.
func (d Difference) Certain() bool { return d.Low > 0 || d.High < 0 }

// Pairs counts draws by the outcome of two systems on the same weather.
type Pairs struct{ Both, OnlyA, OnlyB, Neither int }

// Difference is the share of A less the share of B, with the 95 % interval of
// Newcombe 1998, Statistics in Medicine 17: 2635-2650, method 10: the Wilson
// intervals of the two shares, put together with the correlation of the pairs.
func (p Pairs) Difference() Difference {
	n := p.Both + p.OnlyA + p.OnlyB + p.Neither
	if n == 0 {
		return Difference{0, -1, 1}
	}
	return p.interval(float64(n))
}

func (p Pairs) interval(n float64) Difference {
	a, b, c, d := float64(p.Both), float64(p.OnlyA), float64(p.OnlyB), float64(p.Neither)
	total := p.Both + p.OnlyA + p.OnlyB + p.Neither
	first, second := Wilson(p.Both+p.OnlyA, total), Wilson(p.Both+p.OnlyB, total)
	phi := 0.0
	if margins := (a + b) * (c + d) * (a + c) * (b + d); margins > 0 {
		cross := a*d - b*c
		if cross > 0 {
			cross = math.Max(0, cross-n/2)
		}
		phi = cross / math.Sqrt(margins)
	}
	mean := (b - c) / n
	return Difference{
		mean,
		mean - squareAndAdd(first.Share-first.Low, second.High-second.Share, phi),
		mean + squareAndAdd(first.High-first.Share, second.Share-second.Low, phi),
	}
}

func squareAndAdd(x, y, phi float64) float64 {
	return math.Sqrt(math.Max(0, x*x-2*phi*x*y+y*y))
}

// pairSum gathers a quantity's paired differences as integers (thousandths), so
// that the order of addition cannot matter.
type pairSum struct {
	n      int64
	sum    int64
	hi, lo uint64 // sum of squares, 128 bits
}

func (p *pairSum) add(diff float64) {
	m := int64(math.Round(diff * 1e3))
	p.n++
	p.sum += m
	u := uint64(max(m, -m))
	h, l := bits.Mul64(u, u)
	p.addSquares(h, l)
}

func (p *pairSum) addSquares(h, l uint64) {
	var carry uint64
	p.lo, carry = bits.Add64(p.lo, l, 0)
	p.hi, _ = bits.Add64(p.hi, h, carry)
}

func (p *pairSum) merge(o *pairSum) {
	p.n += o.n
	p.sum += o.sum
	p.addSquares(o.hi, o.lo)
}

// difference is the mean with the normal interval mean +- 1.96 s/sqrt(n) of
// the paired differences.
func (p *pairSum) difference() Difference {
	if p.n == 0 {
		return Difference{}
	}
	n := float64(p.n)
	mean := float64(p.sum) / n
	squares := float64(p.hi)*math.Exp2(64) + float64(p.lo)
	half := math.Inf(1)
	if p.n > 1 {
		half = z95 * math.Sqrt(math.Max(0, squares-n*mean*mean)/(n-1)/n)
	}
	return Difference{mean / 1e3, (mean - half) / 1e3, (mean + half) / 1e3}
}

// z95 is the standard normal deviate of a two-sided 95 % interval.
const z95 = 1.959963984540054
