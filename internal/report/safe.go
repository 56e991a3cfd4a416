package report

import (
	"regexp"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/width"
)

// escapes matches terminal control sequences (ECMA-48: CSI and the string
// commands such as OSC), so that they vanish whole rather than leave litter.
var escapes = regexp.MustCompile("(?:\x1b\\[|\u009b)[0-?]*[ -/]*[@-~]|" +
	"(?:\x1b[\\]PX^_]|[\u0090\u0098\u009d\u009e\u009f])[^\x07\x1b\u009c]*(?:\x07|\x1b\\\\|\u009c)?|" +
	"\x1b[ -/]*[0-~]")

// maxMarks bounds the combining marks on one letter: more than any living
// script needs, less than what draws over the lines above and below.
const maxMarks = 4

// Clean makes text that a person wrote safe to print on one line: terminal
// control sequences, control characters and bidirectional overrides are taken
// out, white space of any kind becomes one space, broken UTF-8 becomes the
// replacement character. Letters of every script, emoji and punctuation stay.
func Clean(s string) string {
	if isPlain(s) {
		return s
	}
	s = escapes.ReplaceAllString(strings.ToValidUTF8(s, "\ufffd"), "")
	var b strings.Builder
	var before rune // last rune written
	marks := 0
	for _, r := range s {
		switch {
		case unicode.IsSpace(r):
			if before != ' ' && before != 0 {
				b.WriteByte(' ')
				before, marks = ' ', 0
			}
			continue
		case r == '\u200c' || r == '\u200d': // joiners shape letters of some scripts
			if !unicode.IsLetter(before) && !unicode.IsMark(before) {
				continue
			}
		case unicode.IsMark(r):
			if marks++; marks > maxMarks {
				continue
			}
		case !unicode.IsGraphic(r):
			continue
		default:
			marks = 0
		}
		b.WriteRune(r)
		before = r
	}
	return strings.TrimRight(b.String(), " ")
}

// isPlain reports whether Clean would leave s alone, for the common case.
func isPlain(s string) bool {
	for i := range len(s) {
		if s[i] < ' ' || s[i] > '~' || s[i] == ' ' && (i == 0 || i == len(s)-1 || s[i-1] == ' ') {
			return false
		}
	}
	return true
}

// Width returns the number of terminal columns that s takes: two for East
// Asian wide characters and emoji, none for combining marks and joiners.
func Width(s string) int {
	n := 0
	for _, r := range s {
		n += runeWidth(r)
	}
	return n
}

func runeWidth(r rune) int {
	switch {
	case r < ' ' || r == '\u200b' || r == '\u200c' || r == '\u200d' || r == '\u200e':
		return 0
	case r < 0x300:
		return 1
	case unicode.In(r, unicode.Mn, unicode.Me):
		return 0
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 2
	}
	return 1
}

// Short cuts s to at most columns terminal columns, with an ellipsis when
// something had to go.
func Short(s string, columns int) string {
	if Width(s) <= columns {
		return s
	}
	n := 0
	for i, r := range s {
		w := runeWidth(r)
		if n+w > columns-1 {
			return strings.TrimRight(s[:i], " ") + "…"
		}
		n += w
	}
	return s
}

// wrap breaks s into lines of at most columns terminal columns, at spaces where
// it can (a no-break space is not one) and inside a word where it must.
func wrap(s string, columns int) []string {
	columns = max(columns, 2)
	var lines []string
	line, lineW := "", 0
	flush := func() {
		lines = append(lines, line)
		line, lineW = "", 0
	}
	for word := range strings.FieldsFuncSeq(s, func(r rune) bool { return r == ' ' }) {
		w := Width(word)
		if line != "" {
			if lineW+1+w <= columns {
				line += " " + word
				lineW += 1 + w
				continue
			}
			flush()
		}
		for w > columns {
			cut := cutAt(word, columns)
			lines = append(lines, word[:cut])
			word = word[cut:]
			w = Width(word)
		}
		line, lineW = word, w
	}
	if line != "" || len(lines) == 0 {
		flush()
	}
	return lines
}

// cutAt returns the byte index at which the first columns terminal columns of s
// end, with the marks that belong to the last letter.
func cutAt(s string, columns int) int {
	n := 0
	for i, r := range s {
		if n += runeWidth(r); n > columns {
			if i == 0 {
				_, size := utf8.DecodeRuneInString(s)
				return size
			}
			return i
		}
	}
	return len(s)
}

// isolated guards the order of what follows a right-to-left name: the mark has
// no width and tells terminals that reorder text where the name ends.
func isolated(s string) string {
	for _, r := range s {
		if r >= 0x590 && unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko) {
			return s + "\u200e"
		}
	}
	return s
}

// plainSpaces turns the no-break spaces of numbers into ordinary ones once the
// lines are broken: copied text then behaves.
var plainSpaces = strings.NewReplacer("\u00a0", " ", "\u202f", " ")

// isWord reports whether r may stand in a file name: letters, digits and the
// marks on them.
func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || unicode.IsMark(r) }
