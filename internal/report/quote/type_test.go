package quote

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/unicode/norm"
	"golang.org/x/text/unicode/runenames"
)

func reordered(s string) string {
	var line []letter
	for _, r := range s {
		line = append(line, letter{r: r})
	}
	out := ""
	for _, l := range reorder(line) {
		out += string(l.r)
	}
	return out
}

// Unicode Standard Annex 9: the rules by their examples, with Hebrew letters in
// the place of the capitals there ("car means CAR." in section 3.4; numbers in
// sections 3.3.4, brackets in 3.3.5; from memory), and what follows from them.
func TestOrderOfMixedDirections(t *testing.T) {
	for in, want := range map[string]string{
		"car means אבג.":   "car means גבא.",
		"plain text":       "plain text",
		"אבג":              "גבא",
		"אב גד":            "דג בא",
		"אבג 123":          "123 גבא",
		"אבג 1,234.5 דה":   "הד 1,234.5 גבא",
		"abc 12 אב":        "abc 12 בא",
		"אב - abc":         "בא - abc",
		"אב (גד)":          "(דג) בא",
		"abc (אב) def":     "abc (בא) def",
		"(אב)":             "(בא)",
		"אב<גד>הו":         "וה<דג>בא",
		"price אב 50% גד.": "price דג 50% בא.",
		"abc אב ":          "abc בא ",
	} {
		assert.Equal(t, want, reordered(in), in)
	}
}

// The names of the shapes are those of the Unicode Character Database.
func TestArabicLettersTakeTheShapeOfTheirPlace(t *testing.T) {
	for _, row := range []struct {
		word  string
		names []string
	}{
		{"بيت", []string{"ARABIC LETTER BEH INITIAL FORM", "ARABIC LETTER YEH MEDIAL FORM", "ARABIC LETTER TEH FINAL FORM"}},
		{"دار", []string{"ARABIC LETTER DAL ISOLATED FORM", "ARABIC LETTER ALEF ISOLATED FORM", "ARABIC LETTER REH ISOLATED FORM"}},
		{"سلام", []string{"ARABIC LETTER SEEN INITIAL FORM", "ARABIC LIGATURE LAM WITH ALEF FINAL FORM", "ARABIC LETTER MEEM ISOLATED FORM"}},
		{"لا", []string{"ARABIC LIGATURE LAM WITH ALEF ISOLATED FORM"}},
		{"گل", []string{"ARABIC LETTER GAF INITIAL FORM", "ARABIC LETTER LAM FINAL FORM"}},
		{"ماء", []string{"ARABIC LETTER MEEM INITIAL FORM", "ARABIC LETTER ALEF FINAL FORM", "ARABIC LETTER HAMZA ISOLATED FORM"}},
		{"ب", []string{"ARABIC LETTER BEH ISOLATED FORM"}},
	} {
		var got []string
		for _, r := range joinArabic([]rune(row.word)) {
			got = append(got, runenames.Name(r))
		}
		assert.Equal(t, row.names, got, row.word)
	}
}

// Compatibility decomposition (Unicode Standard Annex 15) takes every shape
// back to its letter: none may be the shape of another.
func TestArabicShapesBelongToTheirLetters(t *testing.T) {
	for letter, forms := range arabicForms {
		for _, f := range forms {
			if f != 0 {
				assert.Equal(t, string(letter), norm.NFKC.String(string(f)), "%U", f)
			}
		}
	}
	for _, text := range []string{"حزمة الصحراء الكبرى", "السلام عليكم", "قافلة آمنة", "پژچگک ی", "الأولى والإثنان"} {
		assert.Equal(t, text, norm.NFKC.String(string(joinArabic([]rune(text)))))
	}
	assert.Equal(t, norm.NFKC.String("محمد"), norm.NFKC.String(string(joinArabic([]rune("مُحَمَّد")))), "vowel marks go")
}

func TestFacesHaveWhatIsCommon(t *testing.T) {
	s := newTypesetter()
	for _, r := range "ABCabc0123äöüßéèçñŁşİőΩαβЖщא…–—“”‘’·×°²½€%‰+−±≤≥" {
		_, ok := s.faceFor(r, false)
		assert.True(t, ok, string(r))
	}
	for _, r := range "旅행🚐" {
		_, ok := s.faceFor(r, false)
		assert.False(t, ok, string(r))
	}
	_, ok := s.faceFor(missingSign, false)
	require.True(t, ok)
}

func TestTextsWithPieces(t *testing.T) {
	x := say("%s of %s, %s", "one", name("<two>"), strong(plain("three")))
	assert.Equal(t, "one of <two>, three", x.String())
	assert.Equal(t, Text{{S: "one of "}, {S: "<two>", Name: true}, {S: ", "}, {S: "three", Strong: true}}, x)
	assert.Panics(t, func() { say("%s", "a", "b") })
	assert.Equal(t, "50\u00a0% of it", say("50 % of %s", "it").String())
	assert.Nil(t, name(" \t "))
	assert.Equal(t, "a; b", join([]Text{plain("a"), plain("b")}, "; ").String())
}

func TestRounding(t *testing.T) {
	assert.Equal(t, 1200.0, roundTo(1234, 2))
	assert.InDelta(t, 0.012, roundTo(0.01234, 2), 1e-12)
	assert.Equal(t, 0.0, roundTo(0, 2))
}
