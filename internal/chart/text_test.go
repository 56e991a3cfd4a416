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
	face := fonts.Lookup(faceOf(false, 1), 1).Face
	bold := fonts.Lookup(faceOf(true, 1), 1).Face
	rapid.Check(t, func(t *rapid.T) {
		for _, r := range printable(rapid.String().Draw(t, "text")) {
			var buf sfnt.Buffer
			g, err := face.GlyphIndex(&buf, r)
			require.NoError(t, err)
			require.NotZero(t, g, "%U", r)
			b, err := bold.GlyphIndex(&buf, r)
			require.NoError(t, err)
			require.NotZero(t, b, "%U in bold", r)
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
		"  much   space ":  "much space",
		"<b>&\"'</b>":      "<b>&\"'</b>",
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
	for share, want := range map[float64]string{0: "0 %", 0.0004: "<0.1 %", 0.001: "0.1 %", 0.034: "3.4 %", 0.05: "5 %", 0.128: "13 %",
		0.994: "99.4 %", 0.9999: ">99.9 %", 1: "100 %", 0.0999: "10 %"} {
		assert.Equal(t, want, strings.ReplaceAll(English.percent(share), nbsp, " "), "%v", share)
	}
	assert.Equal(t, "−1,200", English.number(-1200, 0))
	assert.Equal(t, "0", English.number(-0.2, 0))
}
