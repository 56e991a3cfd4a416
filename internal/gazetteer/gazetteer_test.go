package gazetteer

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Positions of the shipped example trips and of well-known towns as atlases
// print them, to a few hundredths of a degree (from memory).
func TestPlacesLieWhereAtlasesHaveThem(t *testing.T) {
	for query, want := range map[string][2]float64{
		"Zagora, Morocco":         {30.33, -5.84},
		"Ouarzazate":              {30.92, -6.91},
		"Tromsø":                  {69.65, 18.96},
		"Reine":                   {67.93, 13.09},
		"Beaufort West":           {-32.35, 22.58},
		"Fraserburg":              {-31.91, 21.51},
		"Uyuni":                   {-20.46, -66.83},
		"San Pedro de Atacama":    {-22.91, -68.20},
		"El Chaltén":              {-49.33, -72.89},
		"Punta Arenas":            {-53.16, -70.92},
		"Quito":                   {-0.22, -78.51},
		"Longyearbyen":            {78.22, 15.65},
		"Alice Springs":           {-23.70, 133.88},
		"Reykjavík":               {64.15, -21.94},
		"Wellington, NZ":          {-41.29, 174.78},
		"Honolulu":                {21.31, -157.86},
		"Svolvær, Norway":         {68.23, 14.57},
		"Springfield, Illinois":   {39.80, -89.64},
		"springfield , US,Ill":    {39.80, -89.64},
		"San Luis Potosí, Mexiko": {0, 0},
	} {
		found := Find(query)
		if want == [2]float64{} {
			assert.Empty(t, found, "the names of countries are English")
			continue
		}
		require.NotEmpty(t, found, query)
		assert.InDelta(t, want[0], found[0].LatDeg, 0.05, query)
		assert.InDelta(t, want[1], found[0].LonDeg, 0.05, query)
	}
}

func TestNamesAreFoundWithoutDiacriticsAndCase(t *testing.T) {
	for _, same := range [][]string{
		{"Tromsø", "tromso", "TROMSØ", " Tromso "},
		{"Svolvær", "svolvaer"},
		{"Chaitén", "chaiten"},
		{"São Tomé", "sao tome"},
		{"Saint-Malo", "st malo", "Saint Malo", "St. Malo"},
		{"Åndalsnes", "andalsnes"},
		{"Łódź", "lodz"},
	} {
		want := Find(same[0])
		require.NotEmpty(t, want, same[0])
		for _, other := range same[1:] {
			assert.Equal(t, want, Find(other), other)
		}
	}
	assert.Equal(t, "ait ben haddou", Fold("Aït Ben-Haddou"))
	assert.Equal(t, Fold("Nar'yan-Mar"), Fold("Nar’yan Mar"))
}

func TestNamesakesComeLargestFirstAndCanBeToldApart(t *testing.T) {
	found := Find("Zagora")
	require.Len(t, found, 2)
	assert.Equal(t, "Zagora, Drâa-Tafilalet, Morocco", found[0].Label())
	assert.Equal(t, "GR", found[1].Country)
	many := Find("Springfield")
	require.Greater(t, len(many), 10)
	for i := 1; i < len(many); i++ {
		assert.GreaterOrEqual(t, many[i-1].People, many[i].People)
	}
	for _, p := range many {
		assert.Contains(t, Find(p.Label()), p, "a label finds its place again")
	}
}

func TestSuggestionsForSlipsOfThePen(t *testing.T) {
	for slip, want := range map[string]string{
		"Ouarzazat": "Ouarzazate", "Trmoso": "Tromsø", "Marakesh": "Marrakesh",
		"San Pedro de Atacma": "San Pedro de Atacama", "Longyearb": "Longyearbyen",
	} {
		got := Suggest(slip, 3)
		require.NotEmpty(t, got, slip)
		assert.Equal(t, want, got[0].Name)
		assert.LessOrEqual(t, len(got), 3)
	}
	assert.Empty(t, Suggest("xqzzyw", 3))
	assert.Empty(t, Suggest("", 3))
	assert.Empty(t, Find(""))
	assert.Empty(t, Find(",Morocco"))
}

func TestTheWholeTableIsSound(t *testing.T) {
	places, err := decode(placesBin)
	require.NoError(t, err)
	assert.Less(t, len(placesBin), 1_000_000, "embedded size")
	assert.Greater(t, len(places), 80_000)
	countries := map[string]bool{}
	for _, p := range places {
		countries[p.Country] = true
		if p.Name == "" || Fold(p.Name) == "" || strings.ContainsAny(p.Name, "\n\t") || len(p.Country) != 2 ||
			p.LatDeg < -90 || p.LatDeg > 90 || p.LonDeg < -180 || p.LonDeg > 180 {
			assert.Fail(t, "bad place", "%+v", p)
		}
	}
	assert.Greater(t, len(countries), 230)
	assert.Equal(t, "Namibia", CountryName("NA"))
	assert.Equal(t, "??", CountryName("??"))
}

// Names in the countries' own languages, from memory.
func TestLargeTownsAreFoundByTheirLocalNames(t *testing.T) {
	for query, want := range map[string]string{
		"München": "Munich, Bavaria, Germany", "Muenchen": "Munich, Bavaria, Germany", "Roma": "Rome, Lazio, Italy", "Athen": "Athens, Attica, Greece",
		"Duesseldorf": "Düsseldorf, North Rhine-Westphalia, Germany", "Marrakech": "Marrakesh, Marrakesh-Safi, Morocco",
		"Roma, US": "Roma, Texas, United States", "Kapstadt": "Cape Town, Western Cape, South Africa",
	} {
		found, sure := Meant(query)
		if assert.NotEmpty(t, found, query) {
			assert.Equal(t, want, found[0].Label(), query)
			assert.True(t, sure, query)
		}
	}
	for local, listed := range localNames {
		assert.Equal(t, Fold(local), local, "folded")
		found, _ := Meant(listed)
		assert.Len(t, found, 1, "%s is %s", local, listed)
	}
}

// The Scandinavian letter å was written aa before 1917 in Norway and before 1948 in
// Denmark, and still is in many names (from memory).
func TestRingsAndPairsOfLettersFindEachOther(t *testing.T) {
	for query, want := range map[string]string{
		"Aarhus": "Århus", "aarhus, Denmark": "Århus", "Ålborg": "Aalborg", "A\u030alborg": "Aalborg", "Åbenrå": "Aabenraa", "Aalesund": "Ålesund",
		"Haarlem": "Haarlem", "Saarbrücken": "Saarbrücken",
	} {
		found, sure := Meant(query)
		if assert.NotEmpty(t, found, query) {
			assert.Equal(t, want, found[0].Name, query)
			assert.True(t, sure, query)
		}
	}
	assert.Empty(t, Find("Paaris"), "no ring in Paris")
	assert.Empty(t, Find("Aarhus, Norway"))
}

func TestADamagedTableIsNoticed(t *testing.T) {
	for _, cut := range []int{0, 1, 100, len(placesBin) / 2, len(placesBin) - 2000} {
		_, err := decode(placesBin[:cut])
		assert.Error(t, err, "%d bytes", cut)
	}
}

func BenchmarkLoad(b *testing.B) {
	for b.Loop() {
		if _, err := decode(placesBin); err != nil {
			b.Fatal(err)
		}
	}
}

func TestNamesThatGoOn(t *testing.T) {
	found := Longer("andorra")
	require.NotEmpty(t, found)
	assert.Equal(t, "Andorra la Vella", found[0].Name)
	assert.True(t, found[0].NamesCountry("ANDORRA"))
	sans := Longer("San")
	for i, p := range sans {
		assert.True(t, strings.HasPrefix(Fold(p.Name), "san "), p.Name)
		assert.GreaterOrEqual(t, sans[max(0, i-1)].People, p.People)
	}
	assert.Empty(t, Longer("Andorra, Spain"))
	assert.Empty(t, Longer(""))
}
