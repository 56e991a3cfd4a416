package sim

import "time"

// Risk is one system over many weather draws.
type Risk struct {
	System    *System
	Draws     int
	Weather   string // one sentence: what the draws are
	FlatDraws int    // draws in which the battery ran flat, for however short a time
	Flat      Proportion
	Short     Proportion // draws in which appliances lack more than 1 Wh, flat or not
	ByDay     []DayRisk
	Bands     []Band // state of charge at the end of each hour of the trip
	Reserve   Distribution
	Unserved  Distribution // Wh per trip
	Spilled   Distribution // Wh per trip
	FlatHours Distribution // h per trip
	FlatDays  float64      // mean number of flat days per trip
	WorstDraw uint64       // the draw with most unserved energy (then lowest reserve)
	Wear      float64      // mean share of cycle life per trip
	LifeYears float64      // of such trips, by the mean wear; see Result.LifeYears
	SourceWh  [4]float64   // mean Wh per trip at the bus: solar, alternator, mains, transfer

	kept []int64 // draws neither flat nor short, by the reserve that they keep, in fineBins
}

// Proportion is a share of draws with its 95 % Wilson score interval.
type Proportion struct{ Share, Low, High float64 }

// DayRisk is the share of draws in which a local day was flat.
type DayRisk struct {
	Date time.Time
	Flat Proportion
}

// Band holds quantiles of the state of charge at a time.
type Band struct {
	At                      time.Time // UTC
	Q05, Q25, Q50, Q75, Q95 float64
}

// Distribution summarises a quantity over draws.
type Distribution struct {
	Mean, Min, Q05, Q25, Q50, Q75, Q95, Max float64
}
