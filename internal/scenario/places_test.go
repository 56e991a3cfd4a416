package scenario

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// invented is a gazetteer of a few places that lie where it suits the tests.
var invented = Reader{Gazetteer{
	Find: func(name string) ([]NamedPlace, bool) {
		places := map[string][]NamedPlace{
			"Lonetown": {{"Lonetown, North", 31, -7}},
			"Faraway":  {{"Faraway, West", 10, -60}},
			"Twin":     {{"Twin, North", 31.5, -7}, {"Twin, Far", -20, 100}},
			"Triplet":  {{"Triplet, East", 31, -6.5}, {"Triplet, West", 31, -7.5}},
		}[name]
		return places, len(places) == 1
	},
	Suggest: func(name string) []NamedPlace { return []NamedPlace{{"Lonetown, North", 31, -7}} },
	Source:  "Names: invented",
}}

func named(t *testing.T, rows ...string) (*Scenario, error) {
	files := baseFiles(t)
	files["trip.csv"] = []byte("date,place,latitude,longitude,elevation_m,drive_hours\n" + strings.Join(rows, "\n") + "\n")
	return invented.FromFiles("x", files)
}

func TestBlankCoordinatesAreFoundByName(t *testing.T) {
	s, err := named(t, "2026-10-03,Lonetown,,,100,", ",Twin,,,100,2", ",Beach,,,,1", ",Twin,,,,", ",Nowhere,30,-7,100,3")
	require.NoError(t, err)
	stops := s.Trip.Stops
	assert.Equal(t, 31.0, stops[0].Position.LatDeg)
	assert.Equal(t, 31.5, stops[1].Position.LatDeg, "the one that the drive reaches")
	assert.Equal(t, stops[1].Position, stops[2].Position, "unknown: as above")
	assert.Equal(t, stops[1].Position, stops[3].Position, "no drive: as above")
	require.Len(t, s.Warnings, 2)
	assert.Equal(t, "trip.csv: coordinates that are blank were found by name; check them: line 2 Lonetown, North (31.00, -7.00); line 3 Twin, North (31.50, -7.00)", s.Warnings[0])
	assert.Equal(t, "trip.csv: coordinates that are blank were taken from the row above though the place is another; check them: "+
		"line 4 \"Beach\" has that of \"Twin\" (31.50, -7.00); line 5 \"Twin\" has that of \"Beach\" (31.50, -7.00)", s.Warnings[1])
	assert.Contains(t, s.Sources, "Names: invented")
	again, err := s.Changed(s.Tables)
	require.NoError(t, err)
	assert.Equal(t, s.Trip.Stops[1].Position, again.Trip.Stops[1].Position)
	_, err = FromFiles("x", s.Tables.Files())
	assert.ErrorContains(t, err, "trip.csv:2: latitude: is blank; the first stop needs latitude and longitude", "without a gazetteer")
}

func TestNamesThatSayTooLittleAreOneError(t *testing.T) {
	for row, want := range map[string]string{
		"2026-10-03,Twin,,,100,":    "there are 2 places called \"Twin\": Twin, North (31.50, -7.00); Twin, Far (-20.00, 100.00); write which in place",
		"2026-10-03,Lonetwon,,,,":   "no place called \"Lonetwon\" is known (did you mean Lonetown, North (31.00, -7.00)?); give latitude and longitude",
		"2026-10-03,Lonetown,31,,,": "is blank but the other coordinate is given",
	} {
		_, err := named(t, row)
		assert.ErrorContains(t, err, want)
		assert.Len(t, err, 1)
	}
	s, err := named(t, "2026-10-03,Lonetown,,,100,", ",Triplet,,,,3")
	require.NoError(t, err)
	require.Len(t, s.Warnings, 2)
	assert.Contains(t, s.Warnings[0]+s.Warnings[1], "trip.csv:3: latitude: is blank, and there are 2 places called \"Triplet\" within reach: Triplet, East")
}

// After a longer drive the vehicle is elsewhere: the position above would be wrong
// without a word.
func TestAPlaceThatALongDriveLeadsToShouldBeKnown(t *testing.T) {
	const first = "2026-10-03,Start,30,-7,100,"
	for row, want := range map[string]string{
		",Lonetwon,,,,4.5": `trip.csv:3: latitude: is blank, and no place called "Lonetwon" is known (did you mean Lonetown, North (31.00, -7.00)?); give latitude and longitude, or as place`,
		",Faraway,,,,4.5":  `trip.csv:3: latitude: is blank, and no place called "Faraway" can be reached in 4.5 h of driving: Faraway, West (10.00, -60.00) is`,
	} {
		s, err := named(t, first, row)
		require.NoError(t, err)
		require.Len(t, s.Warnings, 1)
		assert.Contains(t, s.Warnings[0], want)
		assert.Contains(t, s.Warnings[0], `the row has the position of "Start" (30.00, -7.00)`)
		assert.Equal(t, s.Trip.Stops[0].Position, s.Trip.Stops[1].Position)
	}
	for _, rows := range [][]string{
		{first, ",START,,,,8"},           // a tour that comes back
		{first, ",Lonetown,30,-7,100,3"}, // as given
	} {
		s, err := named(t, rows...)
		require.NoError(t, err)
		assert.Empty(t, s.Warnings)
	}
	files := baseFiles(t)
	files["trip.csv"] = []byte("date,place,latitude,longitude,elevation_m,drive_hours\n" + first + "\n,Lonetown,,,,4\n")
	s, err := FromFiles("x", files)
	require.NoError(t, err, "nothing to look it up in")
	require.Len(t, s.Warnings, 1)
	assert.Contains(t, s.Warnings[0], `line 3 "Lonetown" has that of "Start" (30.00, -7.00)`)
}

func TestSwappedCoordinatesAreNoticed(t *testing.T) {
	s, err := named(t, "2026-10-03,Faraway,-60.01,10.02,100,", ",Elsewhere,-60,10,100,", ",Faraway,10,-60,100,9", ",Lonetown,-30,-7,100,9")
	require.NoError(t, err)
	var swapped []string
	for _, w := range s.Warnings {
		if strings.Contains(w, "swapped") {
			swapped = append(swapped, w)
		}
	}
	require.Len(t, swapped, 1)
	assert.Regexp(t, `^trip\.csv: latitude and longitude swapped\? line 2 "Faraway" at -60\.01, 10\.02 is \d+ km from Faraway, West \(10\.00, -60\.00\)$`, swapped[0])
}
