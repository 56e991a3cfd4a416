package weather

import (
	"fmt"
	"math"
	"math/rand/v2"

	"tripsim/internal/solar"
)

// A Series is the weather of one draw: means over each step of global and
// diffuse horizontal irradiance and air temperature, and each day's clearness
// index (its irradiation over the extraterrestrial of its steps; 0 in the
// polar night). It belongs to the Plan that made it and to one worker.
type Series struct {
	GHIWm2, DHIWm2, AirTempC []float64 // per step
	Clearness                []float64 // per day

	pcg       rand.PCG
	rng       *rand.Rand
	sunZ      []float64 // per temperature cycle: the sun's Gaussian
	low, high []float64 // per temperature cycle: minimum and maximum
	noise     []float64 // scratch: one day's global irradiance
}

// A Source gives weather draws to a simulation.
type Source interface {
	Draws() int                 // number of different draws; 0 = unlimited
	Fill(k uint64, dst *Series) // draw k; the same k gives the same weather
	Describe() string           // one line for people
}

// NewSeries makes a series to draw into.
func (p *Plan) NewSeries() *Series {
	n, cycles := len(p.intervals), len(p.days)+3
	s := &Series{
		GHIWm2: make([]float64, n), DHIWm2: make([]float64, n), AirTempC: make([]float64, n),
		Clearness: make([]float64, len(p.days)),
		sunZ:      make([]float64, cycles), low: make([]float64, cycles), high: make([]float64, cycles),
		noise: make([]float64, len(p.lit)),
	}
	s.rng = rand.New(&s.pcg)
	return s
}

// Typical fills in the mean weather: every day with its mean clearness in the
// shape of the clear sky, its mean minimum and maximum, and nothing random.
// The diffuse part is the mean over the day's distribution of clearness of the
// daily correlation of Erbs, Klein & Duffie 1982, spread as Liu & Jordan 1960:
// a mean day holds the beam of clear days, which the hourly correlation would
// not give at its middling clearness. So Typical is the mean of the draws in
// global and diffuse alike.
func (p *Plan) Typical(dst *Series) {
	clear(dst.GHIWm2)
	clear(dst.DHIWm2)
	for i := range p.days {
		d := &p.days[i]
		dst.Clearness[i] = 0
		dst.low[i+1], dst.high[i+1] = d.tempMin, d.tempMax
		if d.last == d.first {
			continue
		}
		dst.Clearness[i] = d.mean
		p.meanSky(d, dst)
	}
	last := len(p.days)
	dst.low[0], dst.high[0] = dst.low[1], dst.high[1]
	dst.low[last+1], dst.high[last+1] = dst.low[last], dst.high[last]
	p.airTemperature(dst)
}

// meanSky spreads a day's mean global and diffuse over its steps.
func (p *Plan) meanSky(d *planDay, dst *Series) {
	lit, envelope := p.lit[d.first:d.last], p.envelope[d.first:d.last]
	ghi := dst.noise[:len(lit)]
	total, sum := d.mean*d.i0, 0.0
	for j := range lit {
		ghi[j] = min(d.mean*p.shape[d.first+j], envelope[j])
		sum += ghi[j]
	}
	scale, up := toTotal(total, sum, d.envelope)
	share, diffuse := d.diffuse*d.mean, 0.0
	for j, s := range lit {
		dst.GHIWm2[s] = scale * (ghi[j] + up*(envelope[j]-ghi[j]))
		dst.DHIWm2[s] = min(dst.GHIWm2[s], share*p.intervals[s].I0HorizWm2)
		diffuse += dst.DHIWm2[s]
	}
	if total > diffuse {
		more := (d.diffuse*total - diffuse) / (total - diffuse) // what was cut off, given to the rest
		for _, s := range lit {
			dst.DHIWm2[s] += more * (dst.GHIWm2[s] - dst.DHIWm2[s])
		}
	}
}

// toTotal tells how to bring steps that add up to sum to a total: too much is
// scaled down, too little moves every step the same share of the way to its
// envelope.
func toTotal(total, sum, envelope float64) (scale, up float64) {
	if sum > total {
		return total / sum, 0
	}
	if envelope > sum {
		return 1, (total - sum) / (envelope - sum)
	}
	return 1, 0
}

// Draw fills in synthetic weather: draw k of a seed. Over the draws the mean
// of every day's irradiation and temperatures is the climate's (or the
// override's). It allocates nothing.
func (p *Plan) Draw(seed, k uint64, dst *Series) {
	dst.pcg.Seed(seed, splitMix(k))
	p.drawDays(dst)
	clear(dst.GHIWm2)
	clear(dst.DHIWm2)
	for i := range p.days {
		d := &p.days[i]
		if d.last == d.first {
			dst.Clearness[i] = 0
			continue
		}
		k := d.sun.q.at(dst.sunZ[i+1])
		dst.Clearness[i] = k
		p.drawSky(d, k, dst)
	}
	p.airTemperature(dst)
}

// splitMix spreads neighbouring draw numbers over all bits (Steele, Lea &
// Flood 2014, Fast splittable pseudorandom number generators).
func splitMix(k uint64) uint64 {
	k += 0x9e3779b97f4a7c15
	k = (k ^ k>>30) * 0xbf58476d1ce4e5b9
	k = (k ^ k>>27) * 0x94d049bb133111eb
	return k ^ k>>31
}

// drawDays draws the Gaussians of the days, the one before and the one after
// the trip included, and the temperatures from them.
func (p *Plan) drawDays(dst *Series) {
	r := dst.rng
	var sun, mean, own float64
	for c := range len(p.days) + 2 {
		d := &p.days[clampInt(c-1, 0, len(p.days)-1)]
		a, b, e := r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
		if c == 0 {
			sun, mean, own = a, b, e
		} else {
			sun = advance(sun, a, d.sun.lag1)
			mean = advance(mean, b, tempMeanLag1)
			own = advance(own, e, d.rangeLag)
		}
		dst.sunZ[c] = sun
		wide := rangeSunCorr*sun + math.Sqrt(1-rangeSunCorr*rangeSunCorr)*own
		half := (d.tempMax - d.tempMin) / 2 * math.Exp(d.rangeSD*wide-d.rangeSD*d.rangeSD/2)
		middle := (d.tempMax+d.tempMin)/2 + d.tempSD*mean
		dst.low[c], dst.high[c] = middle-half, middle+half
	}
}

// advance is one step of a first-order autoregressive series of unit variance.
func advance(x, e, lag float64) float64 { return lag*x + math.Sqrt(1-lag*lag)*e }

// drawSky spreads a day's clearness over its steps: the clear-sky shape with
// autocorrelated noise, kept between 5 % of the shape and the envelope, and
// brought to the day's total exactly.
func (p *Plan) drawSky(d *planDay, k float64, dst *Series) {
	lit, envelope := p.lit[d.first:d.last], p.envelope[d.first:d.last]
	shape, lowSun := p.shape[d.first:d.last], p.lowSun[d.first:d.last]
	ghi := dst.noise[:len(lit)]
	a, b := hourSpread(k)
	a *= p.noiseSD * noiseBoost
	step := math.Sqrt(1 - p.noiseLag*p.noiseLag)
	y, sum := dst.rng.NormFloat64(), 0.0
	for j, s := range lit {
		base := min(k*shape[j], envelope[j])
		g := base + y*a*math.Exp(b*lowSun[j])*p.intervals[s].I0HorizWm2
		g = min(max(g, 0.05*base), envelope[j])
		ghi[j] = g
		sum += g
		y = p.noiseLag*y + step*dst.rng.NormFloat64()
	}
	scale, up := toTotal(k*d.i0, sum, d.envelope)
	for j, s := range lit {
		g := scale * (ghi[j] + up*(envelope[j]-ghi[j]))
		dst.GHIWm2[s] = g
		dst.DHIWm2[s] = g * solar.ErbsHourly(g/p.intervals[s].I0HorizWm2)
	}
}

// airTemperature spreads the minima and maxima over the steps.
func (p *Plan) airTemperature(dst *Series) {
	n := len(p.days) + 2
	dst.low[n] = dst.low[n-1]
	for i, c := range p.cycle {
		w := &p.weights[i]
		dst.AirTempC[i] = w[0]*dst.low[c] + w[1]*dst.high[c] + w[2]*dst.low[c+1]
	}
}

// Synthetic is the source of synthetic weather with a seed.
func (p *Plan) Synthetic(seed uint64) Source { return synthetic{p, seed} }

type synthetic struct {
	plan *Plan
	seed uint64
}

func (s synthetic) Draws() int                 { return 0 }
func (s synthetic) Fill(k uint64, dst *Series) { s.plan.Draw(s.seed, k, dst) }
func (s synthetic) Describe() string {
	return fmt.Sprintf("synthetic weather around the built-in climate, seed %d", s.seed)
}
