package atlas

import (
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// onLand is the even-odd rule over the rings.
func onLand(latDeg, lonDeg float64) bool {
	in := false
	for _, l := range theWorld().land {
		for i := range l.lon {
			j := (i + 1) % len(l.lon)
			if (l.lat[i] > latDeg) != (l.lat[j] > latDeg) &&
				math.Remainder(lonDeg-(l.minLon+l.maxLon)/2, 360)+(l.minLon+l.maxLon)/2 < (l.lon[j]-l.lon[i])*(latDeg-l.lat[i])/(l.lat[j]-l.lat[i])+l.lon[i] {
				in = !in
			}
		}
	}
	return in
}

// Positions of well-known places, from any atlas.
func TestLandAndSea(t *testing.T) {
	for name, p := range map[string][2]float64{
		"Ouarzazate": {30.92, -6.91}, "Alice Springs": {-23.7, 133.88}, "Oslo": {59.95, 10.8},
		"La Paz": {-16.5, -68.15}, "Reykjavik interior": {64.9, -18.5}, "Madagascar": {-19, 46.7}, "South Pole plateau": {-85, 20},
	} {
		assert.True(t, onLand(p[0], p[1]), name)
	}
	for name, p := range map[string][2]float64{
		"Gulf of Guinea": {0, 0}, "Tasman Sea": {-38, 160}, "North Sea": {56, 3}, "Bay of Bengal": {12, 88}, "Arctic Ocean": {88, 0},
	} {
		assert.False(t, onLand(p[0], p[1]), name)
	}
}

func TestAssetIsSmall(t *testing.T) {
	info, err := os.Stat("world.bin")
	require.NoError(t, err)
	assert.Less(t, info.Size(), int64(500_000))
}

func TestViewIsTrueToScaleInTheMiddle(t *testing.T) {
	v := Around(60, 10, 4, 800, 400)
	x0, y0 := v.XY(60, 10)
	assert.InDelta(t, 400, x0, 1e-9)
	assert.InDelta(t, 200, y0, 1e-9)
	x1, _ := v.XY(60, 11)
	_, y1 := v.XY(61, 10)
	// at 60 degrees a degree of longitude is half as long as one of latitude (cosine)
	assert.InDelta(t, (x1-x0)*2, y0-y1, 1e-9)
}

func TestFitHoldsEveryPosition(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(rt, "n")
		lat0, lon0 := rapid.Float64Range(-70, 70).Draw(rt, "lat"), rapid.Float64Range(-180, 180).Draw(rt, "lon")
		var lat, lon []float64
		for range n {
			lat = append(lat, lat0+rapid.Float64Range(-8, 8).Draw(rt, "dlat"))
			l := lon0 + rapid.Float64Range(-20, 20).Draw(rt, "dlon")
			lon = append(lon, math.Remainder(l, 360)) // across the date line too
		}
		v := Fit(lat, lon, 600, 360)
		for i := range lat {
			x, y := v.XY(lat[i], lon[i])
			assert.True(rt, x >= 0 && x <= 600 && y >= 0 && y <= 360, "%v,%v lies at %v,%v of %+v", lat[i], lon[i], x, y, v)
		}
	})
}

func TestPathsStayNearTheView(t *testing.T) {
	for _, v := range []View{Fit(nil, nil, 700, 400), Around(69, 15, 6, 700, 400), Around(-17, 179, 8, 700, 400), Around(0, -180, 360, 700, 400)} {
		p := v.Draw()
		assert.NotEmpty(t, p.Land)
		assert.Less(t, len(p.Land)+len(p.Coast)+len(p.Borders), 400_000)
		assert.NotContains(t, p.Land+p.Coast, "NaN")
		assert.True(t, strings.HasPrefix(p.Land, "M"))
		assert.Greater(t, p.GridDeg, 0.0)
	}
}

func TestBrokenDataIsRefused(t *testing.T) {
	_, err := decode(worldBin[:len(worldBin)/2])
	assert.Error(t, err)
	_, err = decode(append([]byte(nil), append(worldBin, 2)...))
	assert.Error(t, err)
}

func BenchmarkDraw(b *testing.B) {
	v := Around(69, 15, 12, 700, 400)
	for b.Loop() {
		v.Draw()
	}
}
