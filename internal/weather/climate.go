package weather

import (
	_ "embed"
	"math"
	"strconv"
	"strings"
	"sync"

	"tripsim/internal/solar"
)

// ClimateSource is the sentence of attribution that goes with every figure
// from the table.
const ClimateSource = "Built-in climate: temperatures from CRU CL 2.0, 1961-90 (New, Lister, Hulme & Makin 2002); " +
	"sun as the mean of CORE shortwave (Large & Yeager 2009) and Angstrom-Prescott after FAO-56 (Allen et al. 1998)"

//go:embed climate.csv
var climateCSV string

// A cell is one row of the table: the mean over 2.5 by 2.5 degrees of land.
type cell struct {
	unit       [3]float64 // direction of the centre from the middle of the earth
	latDeg     float64
	elevationM float64
	ghi        [12]float64 // kWh/m2 per day
	kt         [12]float64 // clearness index; NaN where the sun hardly rises
	tmin, tmax [12]float64 // degrees Celsius
}

// minDarkKWhM2 is the extraterrestrial day below which a clearness index says
// nothing (a ratio of two small numbers) and is taken from the months around.
const minDarkKWhM2 = 0.5

var climateCells = sync.OnceValue(func() []cell {
	cells, err := parseClimate(climateCSV)
	if err != nil {
		panic("weather: embedded climate.csv: " + err.Error()) // a test reads it whole
	}
	return cells
})

func parseClimate(text string) ([]cell, error) {
	cells := make([]cell, 0, 2700)
	h0ByLat := map[float64][12]float64{}
	for line := range strings.Lines(text) {
		line = strings.TrimSpace(line)
		if line == "" || line[0] == '#' {
			continue
		}
		var v [39]float64
		i := 0
		for field := range strings.SplitSeq(line, ",") {
			n, err := strconv.Atoi(field)
			if err != nil {
				return nil, err
			}
			if i == len(v) {
				return nil, strconv.ErrRange
			}
			v[i] = float64(n)
			i++
		}
		if i != len(v) {
			return nil, strconv.ErrRange
		}
		c := cell{latDeg: v[0] / 100, elevationM: v[2]}
		c.unit = unitVector(c.latDeg, v[1]/100)
		h0, ok := h0ByLat[c.latDeg]
		if !ok {
			h0 = monthlyExtraterrestrial(c.latDeg)
			h0ByLat[c.latDeg] = h0
		}
		for m := range 12 {
			c.ghi[m] = v[3+m] / 100
			c.tmax[m], c.tmin[m] = v[15+m]/10, v[27+m]/10
			c.kt[m] = math.NaN()
			if h0[m] > minDarkKWhM2 {
				c.kt[m] = c.ghi[m] / h0[m]
			}
		}
		cells = append(cells, c)
	}
	return cells, nil
}

// monthlyExtraterrestrial is the mean daily extraterrestrial irradiation on
// the horizontal for each month, kWh/m2, as the mean over the month's days.
func monthlyExtraterrestrial(latDeg float64) (h0 [12]float64) {
	for m := range 12 {
		for day := monthEdge[m]; day < monthEdge[m+1]; day++ {
			h0[m] += solar.DailyExtraterrestrialKWhM2(float64(day+1), latDeg)
		}
		h0[m] /= float64(monthEdge[m+1] - monthEdge[m])
	}
	return h0
}

func unitVector(latDeg, lonDeg float64) [3]float64 {
	sinLat, cosLat := math.Sincos(latDeg * math.Pi / 180)
	sinLon, cosLon := math.Sincos(lonDeg * math.Pi / 180)
	return [3]float64{cosLat * cosLon, cosLat * sinLon, sinLat}
}
