package gazetteer

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// letters are the Latin letters that no decomposition takes apart, as people
// write them without the letter on their keyboard.
var letters = strings.NewReplacer("ø", "o", "ö", "o", "æ", "ae", "œ", "oe", "ß", "ss", "đ", "d", "ð", "d", "þ", "th",
	"ł", "l", "ı", "i", "ħ", "h", "ŋ", "n", "ə", "e", "ǝ", "e", "ɓ", "b", "ɗ", "d", "ƙ", "k", "ŧ", "t")

// Fold is a name without case, diacritics and punctuation: "Ait-Ben Haddou" and
// "Aït Ben-Haddou" fold to the same. Saint and Sainte fold to st.
func Fold(name string) string {
	var b strings.Builder
	space := false
	for _, r := range norm.NFD.String(letters.Replace(strings.ToLower(name))) {
		switch {
		case unicode.Is(unicode.Mn, r) || r == '\'' || r == '’' || r == '‘' || r == 'ʼ' || r == '`' || r == '.':
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if space && b.Len() > 0 {
				b.WriteByte(' ')
			}
			space = false
			b.WriteRune(r)
		default:
			space = true
		}
	}
	words := strings.Fields(b.String())
	for i, w := range words {
		if w == "saint" || w == "sainte" {
			words[i] = "st"
		}
	}
	return strings.Join(words, " ")
}
