package weather

import "math"

// The hourly clearness index of a day, around its mean shape, has an
// autocorrelation from one hour to the next of 0.54, with a spread of 0.14
// between stations: Graham & Hollands 1990, A method to generate synthetic
// hourly solar radiation globally, Solar Energy 44: 333-341. Bringing the
// hours to the day's total takes about 0.2 off and the bounds take about a
// quarter off the spread, so that the noise starts with more of both;
// TestHoursHangTogetherAsPublished measures what comes out.
const (
	noiseHourLag1 = 0.75
	noiseBoost    = 1.3
	longStepLag1  = 0.82 // for steps of an hour: the means of finer noise reach further than one step
)

// hourSpread gives A and B of the spread of the hourly clearness index in a
// day of clearness K, sd = A exp(B (1 - sin h)), h the height of the sun:
// Aguiar & Collares-Pereira 1992, TAG: a time-dependent, autoregressive,
// Gaussian model for generating synthetic hourly radiation, Solar Energy 49:
// 167-174.
func hourSpread(k float64) (a, b float64) {
	a = 0.14 * math.Exp(-20*(k-0.35)*(k-0.35))
	b = 3*(k-0.45)*(k-0.45) + 16*k*k*k*k*k
	return a, b
}

// stepNoise gives the autocorrelation of the noise from step to step, and its
// standard deviation, for which the means over an hour have the lag-1
// autocorrelation noiseHourLag1 and unit variance. Steps of an hour or more have
// unit spread and longStepLag1 decayed over the step.
func stepNoise(stepHours float64) (lag, sd float64) {
	n := int(math.Round(1 / stepHours))
	if n <= 1 {
		return math.Pow(longStepLag1, math.Max(1, stepHours)), 1
	}
	low, high := 0.0, 1.0
	for range 50 {
		lag = (low + high) / 2
		if v, c := hourMoments(lag, n); c/v < noiseHourLag1 {
			low = lag
		} else {
			high = lag
		}
	}
	v, _ := hourMoments(lag, n)
	return lag, 1 / math.Sqrt(v)
}

// hourMoments are the variance of the mean of n steps of a first-order
// autoregressive series of unit variance, and its covariance with the next n.
func hourMoments(lag float64, n int) (variance, covariance float64) {
	for i := range n {
		for j := range n {
			variance += math.Pow(lag, math.Abs(float64(i-j)))
			covariance += math.Pow(lag, float64(n+j-i))
		}
	}
	f := float64(n * n)
	return variance / f, covariance / f
}
