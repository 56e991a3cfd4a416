package weather

import (
	"errors"
	"fmt"
	"math"

	"tripsim/internal/solar"
)

// Month is the climate of one month: mean daily global horizontal irradiation
// (kWh/m2), the same over the extraterrestrial, and the mean daily minimum and
// maximum of the air temperature (degrees Celsius).
type Month struct{ GHIKWhM2, ClearnessIndex, TempMinC, TempMaxC float64 }

// Normals is what the built-in climate says of a place.
type Normals struct {
	Months     [12]Month // January first
	NearestKM  float64   // distance to the centre of the nearest cell used; beyond about 300 km the figures are a guess
	CellsUsed  int
	Source     string  // attribution
	ElevationM float64 // the height the temperatures are for: the place's own, or the cells' where the place gave none
	ReliefM    float64 // by how much the heights of the cells around differ: in mountains a height that is not given is a guess

	clearness, tempMin, tempMax yearCurve

	lapseKPerM float64 // by how much it is colder per metre of height around
}

// DayNormal is the climate of one day of the year.
type DayNormal struct{ ClearnessIndex, TempMinC, TempMaxC float64 }

const (
	earthRadiusM = 6371e3

	neighbours    = 12   // cells that take part
	ring          = 9    // the cell of a place and those around it
	softKM        = 100  // distances below this hardly count as different
	ridgeKM       = 150  // holds the local slope back where the cells do not span it
	slopeReachKM  = 300  // the local slope is trusted this far from data
	polewardKPerD = 1.0  // see polewardK
	polewardFreeD = 3.0  // degrees of latitude beyond the data without that rule
	clearnessMin  = 0.10 // the daily mean of a month is never outside these
	clearnessMax  = 0.80
)

// NormalsAt looks the climate up for a place on land or sea. An elevation of
// NaN takes the mean height of the cells around. The error is only for
// coordinates that are none.
//
// The 12 nearest cells are weighted by distance, with a local slope
// (ridge-damped local linear regression, fading with the distance to the
// data), in clearness index and in temperature brought to the place's height by
// the lapse rate of the cells around (see lapseKPerM). Cross-validated on the
// cells this does better than plain inverse-distance weighting and 6.5 K/km.
//
// Height also raises the sun: FAO-56 gives the clear-sky transmission as
// 0.75 + 2e-5 z (Allen et al. 1998 eq. 37) where the sunshine half of the
// table used its sea-level value 0.75 (eq. 35), so that half is scaled up.
// This is the one regional correction; see the package doc for known errors.
func NormalsAt(p solar.Place) (Normals, error) {
	if err := checkPlace(p); err != nil {
		return Normals{}, err
	}
	return normalsFrom(climateCells(), p), nil
}

func checkPlace(p solar.Place) error {
	var errs []error
	if !(p.LatDeg >= -90 && p.LatDeg <= 90) {
		errs = append(errs, fmt.Errorf("latitude %g is not between -90 and 90 degrees", p.LatDeg))
	}
	if !(p.LonDeg >= -180 && p.LonDeg <= 180) {
		errs = append(errs, fmt.Errorf("longitude %g is not between -180 and 180 degrees", p.LonDeg))
	}
	if !math.IsNaN(p.ElevationM) && !(p.ElevationM >= -500 && p.ElevationM <= 9000) {
		errs = append(errs, fmt.Errorf("elevation %g is not between -500 and 9000 m", p.ElevationM))
	}
	return errors.Join(errs...)
}

func normalsFrom(cells []cell, p solar.Place) Normals {
	near := nearestCells(cells, p)
	n := Normals{NearestKM: near[0].km, CellsUsed: len(near), Source: ClimateSource, ElevationM: p.ElevationM}
	var dataLat float64
	weigh(cells, near, p)
	elevation := 0.0
	low, high := math.Inf(1), math.Inf(-1)
	for _, q := range near[:min(len(near), ring)] {
		low, high = min(low, cells[q.index].elevationM), max(high, cells[q.index].elevationM)
	}
	n.ReliefM = high - low
	for _, q := range near {
		elevation += q.weight * cells[q.index].elevationM
		dataLat += q.weight * cells[q.index].latDeg
	}
	if math.IsNaN(n.ElevationM) {
		n.ElevationM = clamp(elevation, 0, 6000)
	}
	lapse := lapseKPerM(cells, near)
	n.lapseKPerM = lapse
	cold := polewardK(p.LatDeg, dataLat)
	sun := 1 + 0.5*2e-5/0.75*clamp(n.ElevationM, 0, 5000)
	var kt, tmin, tmax [12]float64
	for m := range 12 {
		var w, k float64
		for _, q := range near {
			c := &cells[q.index]
			up := lapse * (c.elevationM - n.ElevationM)
			tmin[m] += q.weight * (c.tmin[m] + up)
			tmax[m] += q.weight * (c.tmax[m] + up)
			if !math.IsNaN(c.kt[m]) {
				w += q.weight
				k += q.weight * c.kt[m]
			}
		}
		tmin[m] -= cold
		tmax[m] = max(tmax[m]-cold, tmin[m]+1)
		kt[m] = math.NaN()
		if w > 0.5 {
			kt[m] = clamp(k/w*sun, clearnessMin, clearnessMax)
		}
	}
	n.fill(p.LatDeg, fillDark(kt), tmin, tmax)
	return n
}

// fill makes the curves through the year and the table of months from them.
func (n *Normals) fill(latDeg float64, kt, tmin, tmax [12]float64) {
	h0 := monthlyExtraterrestrial(latDeg)
	n.clearness = yearThrough(kt, func(day int) float64 {
		if h0[monthOfDay(day)] <= minDarkKWhM2 {
			return 1
		}
		return solar.DailyExtraterrestrialKWhM2(float64(day+1), latDeg)
	})
	alike := func(int) float64 { return 1 }
	n.tempMin, n.tempMax = yearThrough(tmin, alike), yearThrough(tmax, alike)
	for m := range 12 {
		n.Months[m] = Month{GHIKWhM2: kt[m] * h0[m], ClearnessIndex: kt[m], TempMinC: tmin[m], TempMaxC: tmax[m]}
		if h0[m] > minDarkKWhM2 {
			continue
		}
		sum := 0.0 // dusk months: the mean of what On gives day by day
		for day := monthEdge[m]; day < monthEdge[m+1]; day++ {
			sum += n.On(float64(day+1)).ClearnessIndex * solar.DailyExtraterrestrialKWhM2(float64(day+1), latDeg)
		}
		n.Months[m].GHIKWhM2 = sum / float64(monthEdge[m+1]-monthEdge[m])
	}
}

// On is the climate of a day of the year (1 = January 1, 365 = December 31,
// fractions allowed, wraps). It is smooth through the year and its mean over
// the days of a month is the month's: of the temperatures plainly, of the
// clearness weighted with the extraterrestrial day, so that the month's energy
// is kept.
func (n Normals) On(dayOfYear float64) DayNormal {
	x := math.Mod(dayOfYear-0.5, 365)
	d := DayNormal{
		ClearnessIndex: clamp(n.clearness.at(x), 0.05, 0.85),
		TempMinC:       n.tempMin.at(x),
		TempMaxC:       n.tempMax.at(x),
	}
	d.TempMaxC = max(d.TempMaxC, d.TempMinC+0.5)
	return d
}

func monthOfDay(day int) (m int) {
	for monthEdge[m+1] <= day {
		m++
	}
	return m
}

// fillDark replaces the months without a clearness by the straight line
// between the months around them.
func fillDark(kt [12]float64) [12]float64 {
	out := kt
	for m := range 12 {
		if !math.IsNaN(kt[m]) {
			continue
		}
		var before, after int
		for before = 1; before < 12 && math.IsNaN(kt[(m+12-before)%12]); before++ {
		}
		for after = 1; after < 12 && math.IsNaN(kt[(m+after)%12]); after++ {
		}
		b, a := kt[(m+12-before)%12], kt[(m+after)%12]
		out[m] = (b*float64(after) + a*float64(before)) / float64(before+after)
		if math.IsNaN(out[m]) {
			out[m] = 0.5
		}
	}
	return out
}

// polewardK is how much colder than the data a place is that lies poleward of
// all of it (Antarctica, the polar sea): one kelvin per degree of latitude.
// Common practice, no source; NearestKM tells the reader that it is a guess.
func polewardK(latDeg, dataLatDeg float64) float64 {
	return polewardKPerD * max(0, abs(latDeg)-abs(dataLatDeg)-polewardFreeD)
}

// A neighbour is a cell that takes part in an interpolation.
type neighbour struct {
	index      int
	km, weight float64
}

// nearestCells finds the nearest cells, nearest first. The outermost only
// bounds the reach of the weights; its own weight is zero.
func nearestCells(cells []cell, p solar.Place) []neighbour {
	at := unitVector(p.LatDeg, p.LonDeg)
	var best [neighbours + 1]neighbour // km holds the cosine until the end
	n := 0
	for i := range cells {
		u := &cells[i].unit
		dot := at[0]*u[0] + at[1]*u[1] + at[2]*u[2]
		if n == len(best) && dot <= best[n-1].km {
			continue
		}
		if n < len(best) {
			n++
		}
		j := n - 1
		for ; j > 0 && best[j-1].km < dot; j-- {
			best[j] = best[j-1]
		}
		best[j] = neighbour{index: i, km: dot}
	}
	for j := range best[:n] {
		best[j].km = earthRadiusM / 1000 * math.Acos(clamp(best[j].km, -1, 1))
	}
	return append([]neighbour(nil), best[:n]...)
}

// weigh sets the weights, which add up to one: inverse square of the distance,
// brought smoothly to zero at the outermost cell, then tilted so that a linear
// trend in the cells is met at the place.
func weigh(cells []cell, near []neighbour, p solar.Place) {
	reach := near[len(near)-1].km * 1.0001
	east, north := tangents(p)
	var w, wx, wy, wxx, wxy, wyy float64
	xs, ys := make([]float64, len(near)), make([]float64, len(near))
	for i := range near {
		u := &cells[near[i].index].unit
		xs[i] = earthRadiusM / 1000 * (u[0]*east[0] + u[1]*east[1] + u[2]*east[2])
		ys[i] = earthRadiusM / 1000 * (u[0]*north[0] + u[1]*north[1] + u[2]*north[2])
		t := 1 - near[i].km*near[i].km/(reach*reach)
		g := t * t / (near[i].km*near[i].km + softKM*softKM)
		near[i].weight = g
		w, wx, wy = w+g, wx+g*xs[i], wy+g*ys[i]
	}
	mx, my := wx/w, wy/w
	for i := range near {
		near[i].weight /= w
		dx, dy := xs[i]-mx, ys[i]-my
		wxx += near[i].weight * dx * dx
		wxy += near[i].weight * dx * dy
		wyy += near[i].weight * dy * dy
	}
	ridge := float64(ridgeKM * ridgeKM)
	det := (wxx+ridge)*(wyy+ridge) - wxy*wxy
	bx := (-(wyy+ridge)*mx + wxy*my) / det
	by := (wxy*mx - (wxx+ridge)*my) / det
	trust := 1 / (1 + math.Pow(near[0].km/slopeReachKM, 4))
	for i := range near {
		near[i].weight *= 1 + trust*(bx*(xs[i]-mx)+by*(ys[i]-my))
	}
}

// tangents are the unit vectors to the east and north at a place.
func tangents(p solar.Place) (east, north [3]float64) {
	sinLat, cosLat := math.Sincos(p.LatDeg * math.Pi / 180)
	sinLon, cosLon := math.Sincos(p.LonDeg * math.Pi / 180)
	return [3]float64{-sinLon, cosLon, 0}, [3]float64{-sinLat * cosLon, -sinLat * sinLon, cosLat}
}
