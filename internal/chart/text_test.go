package chart

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/sfnt"
	"pgregory.net/rapid"
)

func TestShortenedTextsFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "text")
		width := rapid.Float64Range(0, 60).Draw(t, "width")
		got := shorten(s, textLetter, width)
		require.LessOrEqual(t, textLetter.widthMM(got), width+1e-9)
		require.Equal(t, got, printable(got), "shortening again changes nothing")
		for _, line := range wrap(s, textLetter, width, 2) {
			require.LessOrEqual(t, textLetter.widthMM(line), width+1e-9)
		}
	})
}

func TestPrintableHasNoLetterTheFontLacks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for _, p := range piecesOf(printable(rapid.String().Draw(t, "text"))) {
			for _, r := range p.s {
				var buf sfnt.Buffer
				if p.more {
					require.True(t, has(moreFace(1), r, &buf), "%U", r)
					continue
				}
				require.True(t, has(faceOf(false, 1), r, &buf), "%U", r)
				require.True(t, has(faceOf(true, 1), r, &buf), "%U in bold", r)
			}
		}
	})
	for in, want := range map[string]string{
		"São João":         "São João",
		"Sa\u0303o":        "São", // composed
		"京都 camp":          "? camp",
		"שלום":             "?",
		"a\x00b\tc\nd":     "ab c d",
		"\u202Eevil\u202C": "evil",
		"🚐🏕️ van":          "? van",
		"bad \xff utf":     "bad ? utf",
		"рейс Ωμέγα":       "рейс Ωμέγα",
		"ⴰⴳⴰⴷⵉⵔ თბილისი":  "ⴰⴳⴰⴷⵉⵔ თბილისი", // from the further face
		"  much   space ": "much space",
		"<b>&\"'</b>":     "<b>&\"'</b>",
	} {
		assert.Equal(t, want, printable(in))
	}
	assert.Equal(t, "stop 3", nameOr("京都", "stop 3"))
	assert.Equal(t, "stop 3", nameOr(" \u200b", "stop 3"))
}

// Forms of the Unicode Common Locale Data Repository for the four languages.
func TestNumbersAndDatesFollowTheLocale(t *testing.T) {
	d := day(2026, time.March, 4)
	for tag, want := range map[string][3]string{
		"en":    {"4 Mar 2026", "12,345.7", "4 Mar"},
		"en-US": {"Mar 4, 2026", "12,345.7", "Mar 4"},
		"de-CH": {"4. März 2026", "12.345,7", "4. März"},
		"fr_FR": {"4 mars 2026", "12 345,7", "4 mars"},
		"es":    {"4 mar 2026", "12.345,7", "4 mar"},
	} {
		l, ok := LocaleFor(tag)
		require.True(t, ok)
		got := [3]string{l.date(d), l.number(12345.67, 1), l.day(d)}
		for i := range got {
			got[i] = strings.ReplaceAll(got[i], nbsp, " ")
		}
		assert.Equal(t, want, got, tag)
	}
	_, ok := LocaleFor("tlh")
	assert.False(t, ok)
}

func TestPercentNeverRoundsToNeverOrAlways(t *testing.T) {
	for share, want := range map[float64]string{
		0: "0 %", 0.0004: "< 0.1 %", 0.001: "0.1 %", 0.034: "3.4 %", 0.05: "5 %", 0.128: "13 %",
		0.994: "99.4 %", 0.9999: "> 99.9 %", 1: "100 %", 0.0999: "10 %",
		0.325: "33 %", 0.914: "91.4 %",
	} {
		assert.Equal(t, want, strings.ReplaceAll(English.percent(share), nbsp, " "), "%v", share)
	}
	assert.Equal(t, "−1,200", English.number(-1200, 0))
	assert.Equal(t, "0", English.number(-0.2, 0))
}

// Letters that the first faces lack come from another, in every format, and are
// one text for whoever reads the picture.
func TestLettersOfOtherScriptsAreDrawn(t *testing.T) {
	trip := inventedTrips()["week"]
	trip.places = []string{"თბილისი", "ⴰⴳⴰⴷⵉⵔ camp"}
	r := trip.result()
	p, err := StateOfCharge(r, inventedRisk(r), OfTrip("Road to თბილისი and on"))
	require.NoError(t, err)
	p.look(t, "soc-other-scripts")
	var texts []string
	for _, x := range p.Structure().Texts {
		texts = append(texts, x.Text)
	}
	all := strings.Join(texts, "\n")
	assert.Contains(t, all, "\nთბილისი\n")
	assert.Contains(t, all, "\nⴰⴳⴰⴷⵉⵔ camp")
	assert.Contains(t, all, "Road to თბილისი and on")
	svg, err := p.SVG()
	require.NoError(t, err)
	assert.Equal(t, 3, strings.Count(string(svg), "@font-face"))
	pdf, err := p.PDF()
	require.NoError(t, err)
	assert.Equal(t, 3, strings.Count(string(pdf), "/FontFile2"))
	wide := textLetter.widthMM("Ah თბ")
	assert.InDelta(t, textLetter.widthMM("Ah ")+textLetter.widthMM("თბ"), wide, 1e-9)
	assert.Len(t, piecesOf("Ah თბ"), 2)
}

// Halves go away from zero, as in the tables beside the pictures: 325 of 1,000
// simulated trips are 33 %.
func TestHalvesAreRoundedAwayFromZero(t *testing.T) {
	for v, want := range map[float64]string{32.5: "33", 0.5: "1", 2.5: "3", -2.5: "−3", -0.4: "0"} {
		assert.Equal(t, want, English.number(v, 0), v)
	}
	assert.Equal(t, "2.9", English.number(2.85, 1))
	assert.Equal(t, "29"+nbsp+"%", English.percent(0.285), "100 times 0.285 is a hair less than 28.5 in binary")
	assert.Equal(t, "33"+nbsp+"%", English.whole(0.325))
}
