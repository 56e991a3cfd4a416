package weather

// monthEdge is the number of days before each month of a 365-day year.
var monthEdge = [13]int{0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365}

// A yearCurve is a smooth periodic function of the day of the year: a
// quadratic spline with its knots at the ends of the months, value and slope
// continuous, made so that the mean over each month's days is the month's
// given mean. It is the histospline of Boneva, Kendall & Stefanov 1971, Spline
// transformations, J. Royal Statistical Society B 33: 1-71, on a circle.
type yearCurve [12]float64

// at evaluates the curve; x is in days from the start of the year (noon of
// January 1 is 0.5), any real number.
func (c *yearCurve) at(x float64) float64 {
	m, w := splineWeights(x)
	return c[(m+11)%12]*w[0] + c[m]*w[1] + c[(m+1)%12]*w[2]
}

// splineWeights gives the month (0..11) that holds x and the values there of
// the three B-splines that reach it: those centred on the month before, the
// month itself and the next.
func splineWeights(x float64) (month int, w [3]float64) {
	for x < 0 {
		x += 365
	}
	for x >= 365 {
		x -= 365
	}
	for float64(monthEdge[month+1]) <= x {
		month++
	}
	knot := func(i int) float64 { // month edges, continued round the year
		switch {
		case i < 0:
			return float64(monthEdge[i+12] - 365)
		case i > 12:
			return float64(monthEdge[i-12] + 365)
		}
		return float64(monthEdge[i])
	}
	left1, left2 := x-knot(month), x-knot(month-1)
	right1, right2 := knot(month+1)-x, knot(month+2)-x
	n0, n1 := right1/(right1+left1), left1/(right1+left1)
	p := n0 / (right1 + left2)
	q := n1 / (right2 + left1)
	return month, [3]float64{right1 * p, left2*p + right2*q, left1 * q}
}

// yearThrough makes the curve whose weighted mean over the days of each month
// is the given mean. The weight of a day (0 = January 1) may not be negative;
// a month whose weights are all zero counts its days alike.
func yearThrough(means [12]float64, weight func(day int) float64) yearCurve {
	var a [12][13]float64
	for m := range 12 {
		var sum float64
		for day := monthEdge[m]; day < monthEdge[m+1]; day++ {
			sum += weight(day)
		}
		for day := monthEdge[m]; day < monthEdge[m+1]; day++ {
			share := 1 / float64(monthEdge[m+1]-monthEdge[m])
			if sum > 0 {
				share = weight(day) / sum
			}
			_, w := splineWeights(float64(day) + 0.5)
			a[m][(m+11)%12] += share * w[0]
			a[m][m] += share * w[1]
			a[m][(m+1)%12] += share * w[2]
		}
		a[m][12] = means[m]
	}
	return solve12(&a)
}

// solve12 is Gaussian elimination with partial pivoting on 12 equations.
func solve12(a *[12][13]float64) (x yearCurve) {
	for i := range 12 {
		p := i
		for r := i + 1; r < 12; r++ {
			if abs(a[r][i]) > abs(a[p][i]) {
				p = r
			}
		}
		a[i], a[p] = a[p], a[i]
		for r := i + 1; r < 12; r++ {
			f := a[r][i] / a[i][i]
			if f == 0 {
				continue
			}
			for c := i; c < 13; c++ {
				a[r][c] -= f * a[i][c]
			}
		}
	}
	for i := 11; i >= 0; i-- {
		s := a[i][12]
		for c := i + 1; c < 12; c++ {
			s -= a[i][c] * x[c]
		}
		x[i] = s / a[i][i]
	}
	return x
}

func abs(x float64) float64 { return max(x, -x) }

func clamp(x, low, high float64) float64 { return min(max(x, low), high) }
