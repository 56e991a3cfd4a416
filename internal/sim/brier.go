package sim

import "math"

// Brier is the mean squared error of forecast probabilities (Brier 1950,
// Monthly Weather Review 78: 1-3) and what it is made of (Murphy 1973, Journal
// of Applied Meteorology 12: 595-600, with the two terms for forecasts that
// differ within a bin: Stephenson, Coelho & Jolliffe 2008, Weather and
// Forecasting 23: 752-757):
//
//	Score = Reliability - Resolution + Uncertainty + WithinVariance - WithinCovariance
type Brier struct {
	N                                int
	Score                            float64 // 0 = perfect
	Reliability                      float64 // how far forecasts are from the shares that came true; 0 = honest
	Resolution                       float64 // how well they tell starts apart; higher is better
	Uncertainty                      float64 // the score of always forecasting the overall share
	WithinVariance, WithinCovariance float64
}

// Skill is the part of the uncertainty that the forecast takes away: 1 is
// perfect, 0 no better than the overall share. NaN when everything or nothing
// went flat: then there was nothing to tell apart.
func (b Brier) Skill() float64 {
	if b.Uncertainty == 0 {
		return math.NaN()
	}
	return 1 - b.Score/b.Uncertainty
}

// ReliabilityBin gathers the forecasts between From and To.
type ReliabilityBin struct {
	From, To float64
	N, Flat  int
	Forecast float64    // mean
	Observed Proportion // share that went flat, counting every start
}

// reliabilityBins is the number of equal bins.
const reliabilityBins = 10

// binOf puts a forecast 0..1 into one of the bins.
func binOf(forecast float64) int {
	return max(0, min(reliabilityBins-1, int(forecast*reliabilityBins+1e-9)))
}

// Reliability gathers forecasts (0..1) and what came of them in ten equal bins;
// bins without a forecast are left out.
func Reliability(forecasts []float64, outcomes []bool) []ReliabilityBin {
	var bins [reliabilityBins]ReliabilityBin
	for i, f := range forecasts {
		b := &bins[binOf(f)]
		b.N++
		b.Forecast += f
		if outcomes[i] {
			b.Flat++
		}
	}
	var out []ReliabilityBin
	for i, b := range bins {
		if b.N == 0 {
			continue
		}
		b.From, b.To = float64(i)/reliabilityBins, float64(i+1)/reliabilityBins
		b.Forecast = math.Min(1, b.Forecast/float64(b.N)) // a sum of ones and shares may round above
		b.Observed = Wilson(b.Flat, b.N)
		out = append(out, b)
	}
	return out
}

// BrierOf scores forecasts (0..1) against what came of them.
func BrierOf(forecasts []float64, outcomes []bool) Brier {
	b := Brier{N: len(forecasts)}
	if b.N == 0 {
		return b
	}
	n, all := float64(b.N), 0
	means := map[int]ReliabilityBin{}
	for _, bin := range Reliability(forecasts, outcomes) {
		means[binOf(bin.From)] = bin
		all += bin.Flat
	}
	overall := float64(all) / n
	b.Uncertainty = overall * (1 - overall)
	for i := range reliabilityBins {
		bin, ok := means[i]
		if !ok {
			continue
		}
		share := bin.Observed.Share
		b.Reliability += float64(bin.N) / n * (bin.Forecast - share) * (bin.Forecast - share)
		b.Resolution += float64(bin.N) / n * (share - overall) * (share - overall)
	}
	for i, f := range forecasts {
		o := 0.0
		if outcomes[i] {
			o = 1
		}
		bin := means[binOf(f)]
		df := f - bin.Forecast
		b.Score += (f - o) * (f - o) / n
		b.WithinVariance += df * df / n
		b.WithinCovariance += 2 * (o - bin.Observed.Share) * df / n
	}
	return b
}

// wilsonShare is Wilson's interval of a share seen in n independent trials,
// where n need not be whole.
func wilsonShare(share, n float64) Proportion {
	mid := (share + z95*z95/(2*n)) / (1 + z95*z95/n)
	half := z95 / (1 + z95*z95/n) * math.Sqrt(share*(1-share)/n+z95*z95/(4*n*n))
	p := Proportion{share, math.Max(0, mid-half), math.Min(1, mid+half)}
	if share == 0 { // exactly, whatever the rounding
		p.Low = 0
	}
	if share == 1 {
		p.High = 1
	}
	return p
}
