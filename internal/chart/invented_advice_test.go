package chart

import (
	"math"
	"time"

	"tripsim/internal/sim"
)

// share is an invented proportion of 1,000 draws with its Wilson interval
// (Wilson 1927, JASA 22: 209-212, at z = 1.96).
func share(p float64) sim.Proportion {
	const n, z = 1000.0, 1.96
	mid := (p + z*z/(2*n)) / (1 + z*z/n)
	half := z / (1 + z*z/n) * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	return sim.Proportion{Share: p, Low: max(0, min(p, mid-half)), High: min(1, max(p, mid+half))}
}

func inventedComparison(n int) Comparison {
	c := Comparison{Trip: "Invented loop", Draws: 1000, Target: 0.05, Currency: "EUR"}
	names := []string{
		"Entry: 100 Ah, no inverter", "Portable pack", "Weekend: 100 Ah, 40 A", "Weekend with 1,000 W inverter",
		"200 Ah, 60 A mains and 40 A shared", "200 Ah, one 30 A unit", "400 Ah, 30 A and 50 A in tandem", longName(120), "京都", "Tenth",
	}
	risks := []float64{0.62, 0.94, 0.21, 0.33, 0.034, 0.058, 0, 0.004, 0.5, 1}
	for i := range n {
		q := 0.4 * (1 - risks[i])
		c.Candidates = append(c.Candidates, Candidate{
			Name: names[i], NotCarried: share(risks[i]), Price: 900 + 650*float64(i), Recommended: i == 4,
			Reserve:  sim.Distribution{Q05: q * 0.3, Q25: q * 0.7, Q50: q, Q75: q * 1.25, Q95: q * 1.6},
			SourceWh: [4]float64{5200 - 300*float64(i), 2100 + 500*float64(i), 800 * float64(i%3), 350 * float64(i%2)},
		})
	}
	return c
}

func inventedSeason(systems, starts int, every int) SeasonTable {
	s := SeasonTable{Trip: "Invented loop", Draws: 1000, Target: 0.05}
	for j := range starts {
		at := day(2026, time.January, 1).AddDate(0, 0, j*every)
		if every == 0 {
			at = day(2026, time.January, 1).AddDate(0, j, 0)
		}
		s.Starts = append(s.Starts, at)
	}
	for i := range systems {
		s.Systems = append(s.Systems, inventedComparison(10).Candidates[i].Name)
		var line []sim.Proportion
		for j := range starts {
			winter := 0.5 + 0.5*math.Cos(2*math.Pi*float64(j)/float64(starts))
			line = append(line, share(math.Round(1000*math.Pow(winter, 1+float64(i))/(1+0.6*float64(i)))/1000))
		}
		s.NotCarried = append(s.NotCarried, line)
	}
	return s
}

func inventedSizes(nx, ny int) SizeGrid {
	g := SizeGrid{
		Trip: "Invented loop", System: "200 Ah", Draws: 500, Target: 0.05,
		X: Sizes{Name: "battery", Unit: "Ah"}, Y: Sizes{Name: "charger from the alternator", Unit: "A"},
	}
	for i := range nx {
		g.X.Values = append(g.X.Values, 80+40*float64(i))
	}
	for j := range ny {
		g.Y.Values = append(g.Y.Values, 20+float64(10*j))
	}
	for j := range ny {
		var line []float64
		for i := range nx {
			z := 5.5 - g.X.Values[i]/55 - g.Y.Values[j]/22 + 0.3*math.Sin(float64(i))
			line = append(line, math.Round(500/(1+math.Exp(-z)))/500)
		}
		g.NotCarried = append(g.NotCarried, line)
	}
	g.Best = &GridPoint{X: min(nx-1, 6), Y: min(ny-1, 3), Remark: "1,850 EUR"}
	g.Own = &GridPoint{X: min(nx-1, 5), Y: min(ny-1, 2)}
	return g
}

func inventedVariation(lines int) Variation {
	v := Variation{Trip: "Invented loop", Draws: 1000, Setting: "alternator charger output", Unit: "A", Target: 0.05}
	for k := range lines {
		s := VariedSystem{Name: inventedComparison(10).Candidates[k].Name}
		for _, a := range []float64{10, 25, 40, 50, 60, 80} {
			s.Points = append(s.Points, VariedPoint{a, share(min(1, math.Round(1000*0.6*math.Exp(-a/25)*(1+0.5*float64(k)))/1000+0.002))})
		}
		v.Variations = append(v.Variations, s)
	}
	return v
}

func inventedCalibration() Calibration {
	c := Calibration{Trip: "Invented loop", Weather: "an invented year", Trips: 365, Brier: 0.081, BrierMean: 0.142}
	for i, n := range []int{160, 70, 41, 32, 22, 18, 22} {
		f := []float64{0.012, 0.08, 0.19, 0.36, 0.55, 0.71, 0.93}[i]
		p := share(min(1, f*1.08+0.005))
		wide := 1.3 / math.Sqrt(float64(n))
		c.Classes = append(c.Classes, RiskClass{f, sim.Proportion{Share: p.Share, Low: max(0, p.Share-wide/2), High: min(1, p.Share+wide/2)}, n})
	}
	return c
}

// inventedSun is a made-up sun whose days lengthen with latitude-like k; with
// k above 1 there are days without sunrise and days without sunset.
func inventedSun(place string, k float64) SunTable {
	s := SunTable{Place: place, Clock: "UTC+1"}
	half := func(d float64) float64 { return 6 - 3*k*math.Cos(2*math.Pi*(d+10)/365) }
	for m := range 12 {
		h := min(12, max(0, half(float64(m)*30.4+15)))
		for c := range 24 {
			x := (float64(c) + 0.5 - 12.4) / max(h, 0.1)
			if math.Abs(x) < 1 {
				s.GHIWm2[m][c] = 150 * h * math.Pow(math.Cos(x*math.Pi/2), 1.3)
			}
			s.DailyKWh[m] += s.GHIWm2[m][c] / 1000
		}
	}
	for d := range 365 {
		h := half(float64(d))
		if h <= 0 || h >= 12 {
			s.Sunrise, s.Sunset = append(s.Sunrise, math.NaN()), append(s.Sunset, math.NaN())
			continue
		}
		s.Sunrise, s.Sunset = append(s.Sunrise, 12.4-h), append(s.Sunset, min(24, 12.4+h))
	}
	return s
}

// advicePictures draws every picture that is not of a single run.
func advicePictures(opts ...Option) map[string]func() (*Picture, error) {
	hostile := inventedComparison(2)
	hostile.Trip, hostile.Currency = "<b>\u202E"+longName(300), "<&>"
	hostile.Candidates[0].Name, hostile.Candidates[1].Name = "=cmd()|' /C calc'!A0 🚐", "שלום עולם"
	hostileSizes := inventedSizes(3, 2)
	hostileSizes.X.Name, hostileSizes.Y.Name, hostileSizes.Best.Remark = longName(300), "电池", longName(200)
	plain := inventedComparison(7)
	plain.Target = math.NaN()
	for i := range plain.Candidates {
		plain.Candidates[i].Price = math.NaN()
	}
	// The risk falls from all to nothing between two sizes, and what is as it is
	// lies next to the target's line.
	steep := inventedSizes(10, 9)
	for j, line := range steep.NotCarried {
		for i := range line {
			line[i] = max(0, min(1, 0.5+1.6*(3-float64(i)+0.1*float64(j))))
		}
	}
	steep.Best, steep.Own = nil, &GridPoint{X: 4, Y: 2}
	return map[string]func() (*Picture, error){
		"compare-7":       func() (*Picture, error) { return Compare(inventedComparison(7), opts...) },
		"compare-10":      func() (*Picture, error) { return Compare(inventedComparison(10), opts...) },
		"compare-plain":   func() (*Picture, error) { return Compare(plain, opts...) },
		"compare-hostile": func() (*Picture, error) { return Compare(hostile, opts...) },
		"season-months":   func() (*Picture, error) { return Season(inventedSeason(5, 12, 0), opts...) },
		"season-weeks":    func() (*Picture, error) { return Season(inventedSeason(7, 52, 7), opts...) },
		"season-one":      func() (*Picture, error) { return Season(inventedSeason(1, 4, 30), opts...) },
		"sizes":           func() (*Picture, error) { return SizeMap(inventedSizes(10, 7), opts...) },
		"sizes-steep":     func() (*Picture, error) { return SizeMap(steep, opts...) },
		"sizes-cropped":   func() (*Picture, error) { return SizeMap(steep.Cropped(), opts...) },
		"sizes-20":        func() (*Picture, error) { return SizeMap(inventedSizes(20, 20), opts...) },
		"sizes-hostile":   func() (*Picture, error) { return SizeMap(hostileSizes, opts...) },
		"vary-1":          func() (*Picture, error) { return Vary(inventedVariation(1), opts...) },
		"vary-4":          func() (*Picture, error) { return Vary(inventedVariation(4), opts...) },
		"vary-10":         func() (*Picture, error) { return Vary(inventedVariation(10), opts...) },
		"reliability":     func() (*Picture, error) { return Reliability(inventedCalibration(), opts...) },
		"sun-middle":      func() (*Picture, error) { return SunYear(inventedSun("30.92° N, 6.91° W", 0.4), opts...) },
		"sun-polar":       func() (*Picture, error) { return SunYear(inventedSun("84.00° N, 0.00° E", 3), opts...) },
	}
}
