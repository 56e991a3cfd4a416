package atlas

import "math"

// View is a piece of the world and the pixels it is shown on. Longitudes may
// pass 180 degrees on either side; East is above West by 360 at most.
type View struct {
	West, South, East, North float64 // degrees
	WidthPx, HeightPx        float64
}

// Limits of a view: the whole world, and about 20 km.
const (
	maxLat      = 85.0
	minSpanDeg  = 0.3
	defaultSpan = 3.0
	fitMargin   = 1.3 // how much larger than the points the view is
)

// Fit is the view around positions (degrees), with a margin. Without any it
// shows the world.
func Fit(lat, lon []float64, widthPx, heightPx float64) View {
	south, north, west, east := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	first := math.NaN()
	for i := range lat {
		if !(math.Abs(lat[i]) <= 90) || !(math.Abs(lon[i]) <= 360) {
			continue
		}
		if math.IsNaN(first) {
			first = lon[i]
		}
		x := first + math.Remainder(lon[i]-first, 360)
		south, north = min(south, lat[i]), max(north, lat[i])
		west, east = min(west, x), max(east, x)
	}
	if math.IsNaN(first) {
		return Around(20, 0, 300, widthPx, heightPx)
	}
	midLat, midLon := (south+north)/2, (west+east)/2
	span := max((east-west)*fitMargin, (north-south)*fitMargin*widthPx/heightPx/squeeze(midLat), defaultSpan)
	return Around(midLat, midLon, span, widthPx, heightPx)
}

// Around is the view around a position that is spanDeg of longitude wide.
func Around(latDeg, lonDeg, spanDeg, widthPx, heightPx float64) View {
	latDeg = min(max(latDeg, -maxLat), maxLat)
	spanDeg = min(max(spanDeg, minSpanDeg), 360)
	half := spanDeg / 2 * heightPx / widthPx * squeeze(latDeg)
	v := View{
		West: lonDeg - spanDeg/2, East: lonDeg + spanDeg/2, South: latDeg - half, North: latDeg + half,
		WidthPx: widthPx, HeightPx: heightPx,
	}
	if v.West < -540 || v.West > 180 {
		shift := 360 * math.Round(lonDeg/360)
		v.West, v.East = v.West-shift, v.East-shift
	}
	return v
}

// squeeze is how much shorter a degree of longitude is than one of latitude.
func squeeze(latDeg float64) float64 {
	return math.Cos(min(math.Abs(latDeg), maxLat) * math.Pi / 180)
}

// XY is where a position lies on the view, px; a longitude is taken on the turn
// of the globe that comes nearest to the middle.
func (v View) XY(latDeg, lonDeg float64) (x, y float64) {
	mid := (v.West + v.East) / 2
	lonDeg = mid + math.Remainder(lonDeg-mid, 360)
	return v.x(lonDeg), v.y(latDeg)
}

func (v View) x(lon float64) float64 { return (lon - v.West) / (v.East - v.West) * v.WidthPx }
func (v View) y(lat float64) float64 { return (v.North - lat) / (v.North - v.South) * v.HeightPx }
