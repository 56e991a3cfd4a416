package scenario

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The zones of large cities as everyone's clock there shows (IANA time zone
// database, file zone1970.tab: cities near their zone's name).
func TestZoneOfPlaces(t *testing.T) {
	for _, c := range []struct {
		lat, lon float64
		zone     string
	}{
		{30.92, -6.91, "Africa/Casablanca"},
		{69.65, 18.96, "Europe/Oslo"},
		{-32.35, 22.58, "Africa/Johannesburg"},
		{-29.5, 28.5, "Africa/Maseru"}, // a hole in another zone
		{41.903, 12.453, "Europe/Vatican"},
		{-20.5, -67, "America/La_Paz"},
		{50.85, 4.35, "Europe/Brussels"},
		{-16.8, 179.99, "Pacific/Fiji"},
		{-90, 0, "Antarctica/McMurdo"},
		{84, 0, "Etc/GMT"},
		{0, -140, "Etc/GMT+9"},
	} {
		assert.Equal(t, c.zone, ZoneNameAt(c.lat, c.lon), "%v %v", c.lat, c.lon)
	}
}

func TestEveryPlaceHasAZone(t *testing.T) {
	for lat := -90.0; lat <= 90; lat += 7.3 {
		for lon := -180.0; lon <= 180; lon += 11.7 {
			_, err := time.LoadLocation(ZoneNameAt(lat, lon))
			require.NoError(t, err, "%v %v", lat, lon)
		}
	}
}

func BenchmarkZoneNameAt(b *testing.B) {
	for b.Loop() {
		ZoneNameAt(30.92, -6.91)
	}
}

func TestTheOutlinesAreNamedWhereTheyWereUsed(t *testing.T) {
	files := baseFiles(t)
	files["trip.csv"] = []byte("date,place,latitude,longitude\n2026-10-03,A,30,-6\n")
	s, err := FromFiles("x", files)
	require.NoError(t, err)
	assert.Equal(t, []string{ZoneSource}, s.Sources)
	files["trip.csv"] = []byte("date,place,latitude,longitude,time_zone\n2026-10-03,A,30,-6,Africa/Casablanca\n")
	s, err = FromFiles("x", files)
	require.NoError(t, err)
	assert.Empty(t, s.Sources)
}
