package report

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
	"tripsim/internal/solar"
)

func sunFor(lat, lon float64, zone string, t *testing.T) *Sun {
	z, err := time.LoadLocation(zone)
	require.NoError(t, err)
	y := &sim.PlaceYear{Position: solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: 12}, Zone: z, PanelW: 100, NearestKM: 40, Source: "Invented climate"}
	for m := range y.Months {
		y.Months[m].GHIKWhM2, y.Months[m].BestWh = float64(m), 100*float64(m)
	}
	return &Sun{Year: y}
}

func TestClocksOfTheSeaAreDistancesFromUTC(t *testing.T) {
	// The tz database reverses the sign of these names.
	assert.Equal(t, "UTC−5", sunFor(0, -78, "Etc/GMT+5", t).Clock())
	assert.Equal(t, "UTC+12", sunFor(0, 179, "Etc/GMT-12", t).Clock())
	assert.Equal(t, "UTC", sunFor(84, 0, "Etc/GMT", t).Clock())
	assert.Equal(t, "Europe/Oslo", sunFor(69, 19, "Europe/Oslo", t).Clock())
}

func TestSunNamesItsPlaceOnce(t *testing.T) {
	u := sunFor(-32.35, 22.58, "UTC", t)
	s := Screen{Width: 200, Format: DefaultFormat()}
	text := u.Text(s)
	assert.Contains(t, text, "Sun and heat at 32.35° S, 22.58° E\n12 m; ")
	u.Name = "Karoo\x1b[31m"
	text = u.Text(s)
	assert.Contains(t, text, "32.35° S, 22.58° E, 12 m; ")
	assert.NotContains(t, text, "\x1b", "a name cannot colour the terminal")
	assert.Contains(t, text, "0.0 kWh/m² in Jan to 11.0 kWh/m² in Dec")
}

func TestDarkMonthsHaveNoBestTilt(t *testing.T) {
	u := sunFor(80, 0, "UTC", t)
	rows := u.Table(DefaultFormat()).Rows
	assert.Equal(t, Cell{}, rows[0].Cells[9])
	assert.NotEqual(t, Cell{}, rows[1].Cells[9])
	doc, err := u.JSON()
	require.NoError(t, err)
	assert.Contains(t, string(doc), `"best_tilt_deg": null`)
	assert.Contains(t, string(doc), `"schema": "tripsim-sun/1"`)
}
