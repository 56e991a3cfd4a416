package quote

import (
	"strings"
	"sync"
	"unicode"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// face is a typeface of the PDF. Letters that the first two lack are taken from
// the third.
type face int

const (
	regular face = iota
	bold
	fallback
)

var faceFiles = [...][]byte{liberationsansregular.TTF, liberationsansbold.TTF, dejavusans.TTF}

// faceNames are family and style under which the PDF knows the faces.
var faceNames = [...][2]string{{"text", ""}, {"text", "B"}, {"more", ""}}

var faceTables = sync.OnceValue(func() (out [3]*sfnt.Font) {
	for i, file := range faceFiles {
		f, err := sfnt.Parse(file)
		if err != nil {
			panic("quote: a built-in typeface does not parse: " + err.Error())
		}
		out[i] = f
	}
	return out
})

// frag is a piece of a line in one face.
type frag struct {
	s    string
	face face
}

// missingSign stands for what no face has.
const missingSign = '□'

// typesetter knows which letters the faces have, and whether one was missing.
type typesetter struct {
	buf     sfnt.Buffer
	known   map[rune]face
	missing bool
	used    [3]bool
}

func newTypesetter() *typesetter { return &typesetter{known: map[rune]face{}} }

func (t *typesetter) has(f face, r rune) bool {
	g, err := faceTables()[f].GlyphIndex(&t.buf, r)
	return err == nil && g != 0
}

// faceFor picks the face for a letter; ok is false when none has it. The PDF
// library takes letters of the basic plane only.
func (t *typesetter) faceFor(r rune, strong bool) (f face, ok bool) {
	if r >= 0xFFFF {
		return regular, false
	}
	f, seen := t.known[r]
	if !seen {
		f = -1
		if t.has(regular, r) && t.has(bold, r) {
			f = regular
		} else if t.has(fallback, r) {
			f = fallback
		}
		t.known[r] = f
	}
	switch {
	case f < 0:
		return regular, false
	case f == regular && strong:
		f = bold
	}
	return f, true
}

// letter is a rune of a text with its style.
type letter struct {
	r      rune
	face   face
	strong bool
}

// letters prepares a text for the faces: composed, joined, signs without a look
// of their own left out, and what is missing replaced.
func (t *typesetter) letters(text Text) []letter {
	var out []letter
	for _, span := range text {
		s := span.S
		if span.Name {
			s = norm.NFC.String(s)
		}
		runes := []rune(s)
		if strings.ContainsFunc(s, func(r rune) bool { return unicode.Is(unicode.Arabic, r) }) {
			runes = joinArabic(runes)
		}
		for _, r := range runes {
			switch {
			case r == '\u202f' || r == '\u2009':
				r = '\u00a0'
			case unicode.Is(unicode.Cf, r), unicode.Is(unicode.Variation_Selector, r), unicode.IsControl(r):
				continue
			}
			f, ok := t.faceFor(r, span.Strong)
			if !ok {
				t.missing = true
				r = missingSign
				f, _ = t.faceFor(r, span.Strong)
			}
			out = append(out, letter{r, f, span.Strong})
		}
	}
	return out
}

// visual orders the letters of a line from left to right as they are to stand,
// and joins them to pieces of one face.
func (t *typesetter) visual(line []letter) []frag {
	line = reorder(line)
	var out []frag
	for i := 0; i < len(line); {
		j := i
		for j < len(line) && line[j].face == line[i].face {
			j++
		}
		var b strings.Builder
		for _, l := range line[i:j] {
			b.WriteRune(l.r)
		}
		t.used[line[i].face] = true
		out = append(out, frag{b.String(), line[i].face})
		i = j
	}
	return out
}
