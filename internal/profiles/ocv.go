package profiles

import "math"

// lfpCellOCV is the rest voltage (V) at 25 C of a LiFePO4 cell against
// graphite: positive electrode by Safari & Delacourt, J. Electrochem. Soc. 158
// (2011) A562; graphite by the tanh fit that is common since Doyle, Fuller &
// Newman, J. Electrochem. Soc. 140 (1993) 1526. State of charge 1 is where it
// reaches 3.60 V. A thermodynamic fit: cells stand 10-20 mV higher after
// charging and lower after discharging.
func lfpCellOCV(soc float64) float64 {
	// Electrode windows of a cell: share of each electrode's sites filled when
	// empty, electrode capacities and the cell's capacity (Ah).
	const x0, y0, negativeAh, positiveAh, fullAh = 0.0050, 0.9421, 2.8931, 2.5022, 2.30107
	ah := soc * fullAh
	return lfpPositiveV(y0-ah/positiveAh) - graphiteV(x0+ah/negativeAh)
}

func lfpPositiveV(y float64) float64 {
	z := 1 - y
	return 3.4323 - 0.8428*math.Exp(-80.2493*math.Pow(z, 1.3198)) -
		3.2474e-6*math.Exp(20.2645*math.Pow(z, 3.8003)) +
		3.2482e-6*math.Exp(20.2646*math.Pow(z, 3.7995))
}

// graphiteSteps are height (V), place and width of the steps between the
// stages of graphite.
var graphiteSteps = [...]struct{ v, x, width float64 }{
	{0.0120, 0.127, 0.016},
	{0.0118, 0.155, 0.016},
	{0.0035, 0.220, 0.020},
	{0.0095, 0.190, 0.013},
	{0.0145, 0.490, 0.030},
	{0.0800, 1.030, 0.055},
}

func graphiteV(x float64) float64 {
	v := 0.063 + 0.8*math.Exp(-75*(x+0.007))
	for _, s := range graphiteSteps {
		v -= s.v * math.Tanh((x-s.x)/s.width)
	}
	return v
}

// leadCellOCV is the rest voltage (V) at 25 C of a lead cell: the acid's
// density + .845 V, and the density is linear in the charge (textbooks, from
// memory).
func (c *Chemistry) leadCellOCV(soc float64) float64 {
	return c.OCVEmptyV + soc*(c.OCVFullV-c.OCVEmptyV)
}

// lfpGrid is the cell's rest voltage on the packs' grid, made once.
var lfpGrid = func() (g grid) { g.fill(lfpCellOCV); return g }()
