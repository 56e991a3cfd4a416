package weather

import "math"

// Day-to-day anomalies of temperature. Richardson 1981, Stochastic simulation
// of daily precipitation, temperature, and solar radiation, Water Resources
// Research 17: 182-190, gives the lag-0 and lag-1 correlations of the
// residuals of daily maximum, minimum and sun as the matrices A and B of a
// first-order autoregression (printed in Richardson & Wright 1984, WGEN).
// From them follow, for the mean of maximum and minimum and for their
// difference (the range), the figures below; the mean is all but uncorrelated
// with the sun, the range is wide on sunny days, which makes the maximum
// warmer and the minimum colder. TestTemperatureFiguresFollowFromRichardson
// derives them.
const (
	tempMeanLag1  = 0.705 // autocorrelation of the anomaly of (max+min)/2
	tempRangeLag1 = 0.39  // of the anomaly of max-min
	rangeSunCorr  = 0.44  // correlation of max-min with the sun's Gaussian
	meanShare     = 0.904 // sd of (max+min)/2 over the sd of max or min
	rangeShare    = 0.857 // sd of max-min over the same
	// The coefficient of variation of the range is held between these: what
	// daily records of Seattle and New York have through the year.
	rangeSpreadMin, rangeSpreadMax = 0.25, 0.40
)

// rangeOwnLag1 is the autocorrelation of the part of the range that is not
// tied to the sun, such that the whole has tempRangeLag1.
func rangeOwnLag1(sunLag1 float64) float64 {
	c2 := rangeSunCorr * rangeSunCorr
	return clamp((tempRangeLag1-c2*sunLag1)/(1-c2), 0, 0.9)
}

// tempSDK is the standard deviation (K) of the daily maximum or minimum around
// the mean for the season: it grows with the yearly range of the monthly
// means, which is small in the tropics and by the sea and large inland and at
// high latitude, and is about twice as large in the coldest month as in the
// warmest. Rule of thumb (no source): 0.9 K + 0.19 of the range in the cold,
// 0.9 K + 0.085 of it in the warm season, held to 10 K. Four years of daily
// records of Seattle and New York agree within a kelvin in every month.
func (n *Normals) tempSDK(day DayNormal) float64 {
	cold, warm := math.Inf(1), math.Inf(-1)
	for _, m := range n.Months {
		mean := (m.TempMinC + m.TempMaxC) / 2
		cold, warm = min(cold, mean), max(warm, mean)
	}
	yearly := warm - cold
	warmth := 0.0
	if yearly > 0 {
		warmth = clamp(((day.TempMinC+day.TempMaxC)/2-cold)/yearly, 0, 1)
	}
	return min(10, 0.9+yearly*(0.19-(0.19-0.085)*warmth))
}
