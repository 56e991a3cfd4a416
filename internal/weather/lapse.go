package weather

import (
	"fmt"
	"math"
	"slices"
)

const (
	standardLapse = 0.0065 // K/m, International Standard Atmosphere (ISO 2533)
	lapseSpreadM  = 400    // spread of the cells' heights at which they count as much as the standard
	lapseSpreadD  = 0.7    // likewise of latitude, degrees
	lapseSoftKM   = 200    // distances below this hardly count as different
)

// lapseKPerM is how much colder it is per metre of height around a place: the
// slope of the yearly mean temperature of the cells against their height, with
// latitude held, drawn towards the standard 6.5 K/km as far as the cells are
// alike in height (ridge regression), and held to 4 to 8 K/km. Surface air on
// plateaus and in high valleys is warmer than the free air that the standard
// describes: left out in turn, the cells above 1,500 m are met to 2.2 K instead
// of 2.6 K (root mean square).
func lapseKPerM(cells []cell, near []neighbour) float64 {
	reach := near[len(near)-1].km * 1.0001
	var w, height, lat, temp float64
	weight, yearly := make([]float64, len(near)), make([]float64, len(near))
	for i, q := range near {
		c := &cells[q.index]
		for m := range 12 {
			yearly[i] += (c.tmin[m] + c.tmax[m]) / 24
		}
		t := 1 - q.km*q.km/(reach*reach)
		weight[i] = t * t / (q.km*q.km + lapseSoftKM*lapseSoftKM)
		w += weight[i]
		height, lat, temp = height+weight[i]*c.elevationM, lat+weight[i]*c.latDeg, temp+weight[i]*yearly[i]
	}
	height, lat, temp = height/w, lat/w, temp/w
	hh, ll := float64(lapseSpreadM*lapseSpreadM), lapseSpreadD*lapseSpreadD
	var hl, hy, ly float64
	for i, q := range near {
		c := &cells[q.index]
		h, l := c.elevationM-height, c.latDeg-lat
		y := yearly[i] - temp + standardLapse*h // what the standard leaves
		g := weight[i] / w
		hh, hl, ll = hh+g*h*h, hl+g*h*l, ll+g*l*l
		hy, ly = hy+g*h*y, ly+g*l*y
	}
	slope := (hy*ll - ly*hl) / (hh*ll - hl*hl)
	return clamp(standardLapse-slope, 0.004, 0.008)
}

// lift settles how much warmer or colder each step is for its height.
func (r *replay) lift() {
	p, fileM := r.plan, r.rec.Place.ElevationM
	if math.IsNaN(fileM) {
		return
	}
	r.liftK = make([]float64, len(p.grid.Places))
	for i, place := range p.grid.Places {
		if p.guessed == nil || !p.guessed[i] {
			r.liftK[i] = (fileM - place.ElevationM) * p.days[p.grid.Day[i]].normals.lapseKPerM
		}
	}
}

// liftText says by how much the file's temperatures were changed for height,
// where that is more than the error of any thermometer in the shade.
func (r *replay) liftText() string {
	if len(r.liftK) == 0 || math.Max(slices.Max(r.liftK), -slices.Min(r.liftK)) < toldLiftM*standardLapse {
		return ""
	}
	heights := fmt.Sprintf("%+.0f", slices.Min(r.liftK))
	if high := fmt.Sprintf("%+.0f", slices.Max(r.liftK)); high != heights {
		heights += " to " + high
	}
	return fmt.Sprintf(", at %.0f m: its air changed by %s K for the heights of the trip", r.rec.Place.ElevationM, heights)
}

// toldLiftM is the difference of height from which on it is told, m.
const toldLiftM = 50
