package quote

import "unicode"

// arabicForms maps a letter to its shapes: alone, at the end, at the beginning
// and in the middle of a joined run; 0 = does not join forwards. (The Unicode
// Standard, chapter 9.2; blocks Arabic Presentation Forms-A and -B.)
var arabicForms = func() map[rune][4]rune {
	forms := map[rune][4]rune{}
	next := rune(0xFE80)
	put := func(letters string, shapes int) {
		for _, r := range letters {
			var f [4]rune
			for i := range shapes {
				f[i] = next
				next++
			}
			forms[r] = f
		}
	}
	put("ء", 1)
	put("آأؤإ", 2)
	put("ئ", 4)
	put("ا", 2)
	put("ب", 4)
	put("ة", 2)
	put("تثجحخ", 4)
	put("دذرز", 2)
	put("سشصضطظعغ", 4)
	put("فقكلمنه", 4)
	put("وى", 2)
	put("ي", 4)
	for _, persian := range []struct{ letter, first, shapes rune }{
		{'پ', 0xFB56, 4}, {'چ', 0xFB7A, 4}, {'ژ', 0xFB8A, 2}, {'ک', 0xFB8E, 4}, {'گ', 0xFB92, 4}, {'ی', 0xFBFC, 4},
	} {
		var f [4]rune
		for i := range persian.shapes {
			f[i] = persian.first + i
		}
		forms[persian.letter] = f
	}
	return forms
}()

// lamAlef are the ligatures of lam with the letters of the alef, alone; the
// shape at the end of a joined run is the next one.
var lamAlef = map[rune]rune{'آ': 0xFEF5, 'أ': 0xFEF7, 'إ': 0xFEF9, 'ا': 0xFEFB}

const (
	lam     = 'ل'
	tatweel = 'ـ'
)

// joinArabic puts every Arabic letter in the shape that its neighbours ask for,
// in the order of reading. Vowel marks are left out: nothing here places them.
func joinArabic(s []rune) []rune {
	var letters []rune
	for _, r := range s {
		if !(unicode.Is(unicode.Mn, r) && r >= 0x0610 && r <= 0x06ED) {
			letters = append(letters, r)
		}
	}
	var out []rune
	joined := false // the letter before joins forwards
	for i := 0; i < len(letters); i++ {
		r := letters[i]
		f, known := arabicForms[r]
		switch {
		case r == tatweel:
			out, joined = append(out, r), true
			continue
		case !known:
			out, joined = append(out, r), false
			continue
		}
		if r == lam && i+1 < len(letters) {
			if ligature, ok := lamAlef[letters[i+1]]; ok {
				if joined {
					ligature++
				}
				out, joined = append(out, ligature), false
				i++
				continue
			}
		}
		forwards := f[2] != 0 && i+1 < len(letters) && joinsBackwards(letters[i+1])
		out = append(out, shapeOf(f, joined, forwards))
		joined = forwards
	}
	return out
}

func joinsBackwards(r rune) bool {
	f, known := arabicForms[r]
	return r == tatweel || known && f[1] != 0
}

func shapeOf(f [4]rune, backwards, forwards bool) rune {
	switch {
	case backwards && forwards:
		return f[3]
	case forwards:
		return f[2]
	case backwards && f[1] != 0:
		return f[1]
	}
	return f[0]
}
