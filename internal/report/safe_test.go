package report

import (
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Control sequences: ECMA-48 (5th edition, 1991), 5.4 and 5.6. Bidirectional
// controls: Unicode Standard Annex 9, table 4.
func TestCleanTakesOutWhatDrivesATerminal(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"plain", "plain"},
		{"", ""},
		{" two  words ", "two words"},
		{"\x1b[31mred\x1b[0m", "red"},
		{"\u009b31mred", "red"},
		{"\x1b]0;title\x07name", "name"},
		{"\x1b]8;;http://example.org\x1b\\link\x1b]8;;\x1b\\", "link"},
		{"\x1bPdevice\x1b\\x", "x"},
		{"\x1bcreset", "reset"},
		{"open\x1b]0;never closed", "open"},
		{"a\tb\r\nc\x00\x08d\x7f", "a b cd"},
		{"left\u202eright\u202c\u2066x\u2069\u200f", "leftrightx"},
		{"zero\u200bwidth\ufeff", "zerowidth"},
		{"bro\xffken", "bro\ufffdken"},
		{"l\u2028i\u2029ne", "l i ne"},
		{"日本 café Ελλάδα مدينة", "日本 café Ελλάδα مدينة"},
		{"می\u200cخواهم", "می\u200cخواهم"}, // the joiner belongs to the word
		{"no\u00a0break", "no break"},
		{"Z" + strings.Repeat("\u0301", 50) + "algo", "Z" + strings.Repeat("\u0301", 4) + "algo"},
		{"<b>&\"'", "<b>&\"'"}, // markup is the document's matter
	} {
		assert.Equal(t, c.want, Clean(c.in), "%q", c.in)
	}
}

func TestCleanTextIsSafeWhateverComesIn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) }),
			rapid.StringOf(rapid.SampledFrom([]rune("\x1b[]0;m\x07\\\u009b\u202e \t\n\u0301é日a")))).Draw(t, "in")
		out := Clean(in)
		if !utf8.ValidString(out) {
			t.Fatalf("%q is not UTF-8", out)
		}
		for _, r := range out {
			if unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || unicode.IsSpace(r) && r != ' ' {
				t.Fatalf("%q holds %U", out, r)
			}
		}
		if again := Clean(out); again != out {
			t.Fatalf("%q becomes %q when cleaned again", out, again)
		}
	})
}

// Widths: Unicode Standard Annex 11, East Asian Width, table 1 and section 5.
func TestWidthOfEastAsianTextIsTwo(t *testing.T) {
	for s, want := range map[string]int{
		"":         0,
		"abc":      3,
		"日本":       4,
		"ｱ":        1, // half width
		"Ａ":        2, // full width
		"é":        1,
		"e\u0301":  1,
		"👩":        2,
		"مدينة":    5,
		"a\u200db": 2,
		"±°²":      3,
	} {
		assert.Equal(t, want, Width(s), "%q", s)
	}
}

func TestShortKeepsToItsColumns(t *testing.T) {
	assert.Equal(t, "short", Short("short", 5))
	assert.Equal(t, "long…", Short("longer", 5))
	assert.Equal(t, "日…", Short("日本語", 4))
	assert.Equal(t, "two…", Short("two words", 5))
	rapid.Check(t, func(t *rapid.T) {
		s, n := Clean(rapid.String().Draw(t, "s")), rapid.IntRange(1, 40).Draw(t, "n")
		if w := Width(Short(s, n)); w > n {
			t.Fatalf("%q takes %d columns of %d", Short(s, n), w, n)
		}
	})
}

func TestWrappedLinesFitAndLoseNothing(t *testing.T) {
	assert.Equal(t, []string{"the quick", "brown fox"}, wrap("the quick brown fox", 9))
	assert.Equal(t, []string{"unbreak", "able"}, wrap("unbreakable", 7))
	assert.Equal(t, []string{"日本", "語"}, wrap("日本語", 5))
	assert.Equal(t, []string{"5\u00a0Wh of", "120\u00a0Wh"}, wrap("5\u00a0Wh of 120\u00a0Wh", 8))
	assert.Equal(t, []string{""}, wrap("", 5))
	rapid.Check(t, func(t *rapid.T) {
		s, n := Clean(rapid.String().Draw(t, "s")), rapid.IntRange(2, 40).Draw(t, "n")
		lines := wrap(s, n)
		for _, line := range lines {
			if Width(line) > n {
				t.Fatalf("%q is wider than %d", line, n)
			}
		}
		squeeze := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		if got := squeeze(strings.Join(lines, "")); got != squeeze(s) {
			t.Fatalf("%q became %q", s, got)
		}
	})
}

func TestSlugIsASafeFileName(t *testing.T) {
	for in, want := range map[string]string{
		"Weekend 100, with inverter": "weekend-100-with-inverter",
		"../../etc/passwd":           "etc-passwd",
		"":                           "unnamed",
		"=cmd()":                     "cmd",
		"Österreich 30 A":            "österreich-30-a",
		"日本":                         "日本",
		"CON.":                       "con-1", // a device on some systems
		"Com1":                       "com1-1",
		"console":                    "console",
		strings.Repeat("x", 300):     strings.Repeat("x", 40),
	} {
		assert.Equal(t, want, Slug(in), "%q", in)
	}
}
