package chart

import (
	"strings"
	"unicode"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// anchor says which point of a text its position means; vertically it is the
// baseline, or with the mid variants the middle of the capitals.
type anchor int

const (
	atLeft anchor = iota
	atCentre
	atRight
	midLeft
	midCentre
	midRight
)

// text writes s on the frame at data coordinates. No text is ever drawn
// without passing here, so none holds a letter the fonts lack.
func (f *frame) text(l letter, x, y float64, s string, a anchor) {
	f.textShift(l, x, y, 0, 0, s, a)
}

// textShift writes s at a distance of (dx, dy) mm, right and up, from (x, y).
func (f *frame) textShift(l letter, x, y, dx, dy float64, s string, a anchor) {
	s = printable(s)
	f.add("text", func(n *nib) { n.text(l, n.at(x, y).Add(mm(dx, dy)), s, a) })
}

func mm(x, y float64) vg.Point { return vg.Point{X: fromMM(x), Y: fromMM(y)} }

func (n *nib) text(l letter, at vg.Point, s string, a anchor) {
	if s == "" {
		return
	}
	switch a {
	case atCentre, midCentre:
		at.X -= fromMM(l.widthMM(s)) / 2
	case atRight, midRight:
		at.X -= fromMM(l.widthMM(s))
	}
	if a >= midLeft {
		at.Y -= vg.Length(l.sizePt * capHeight / 2)
	}
	n.c.SetColor(l.colour)
	for _, p := range piecesOf(s) {
		face := p.face(l)
		n.c.FillString(face, at, p.s)
		at.X += face.Width(p.s)
	}
}

// piece is a run of letters in one face.
type piece struct {
	s    string
	more bool // in the face for what the others lack
}

func (p piece) face(l letter) font.Face {
	if p.more {
		return fonts.Lookup(moreFace(l.sizePt), vg.Length(l.sizePt))
	}
	return fonts.Lookup(faceOf(l.bold, l.sizePt), vg.Length(l.sizePt))
}

// piecesOf cuts a text where the face changes.
func piecesOf(s string) []piece {
	var out []piece
	var buf sfnt.Buffer
	from, more := 0, false
	for i, r := range s {
		if lacks := r >= 0x80 && !has(faceOf(false, 1), r, &buf); lacks != more {
			if i > from {
				out = append(out, piece{s[from:i], more})
			}
			from, more = i, lacks
		}
	}
	if len(s) > from {
		out = append(out, piece{s[from:], more})
	}
	return out
}

// has reports whether a face holds a letter.
func has(f font.Font, r rune, buf *sfnt.Buffer) bool {
	g, err := fonts.Lookup(f, 1).Face.GlyphIndex(buf, r)
	return err == nil && g != 0
}

// textBox is the box in mm of a text whose anchor is at (x, y) mm on the page.
func textBox(l letter, x, y float64, s string, a anchor) Box {
	w := l.widthMM(printable(s))
	switch a {
	case atCentre, midCentre:
		x -= w / 2
	case atRight, midRight:
		x -= w
	}
	up, down := toMM(vg.Length(l.sizePt*capHeight)), descentMM(l)
	if a >= midLeft {
		y += up / 2
	}
	return Box{x, y - up, x + w, y + down}
}

const ellipsis = "…"

// clean drops what has no place in a line of text: control characters, marks
// that steer the direction of writing, line breaks, doubled spaces.
func clean(s string) string {
	s = norm.NFC.String(strings.ToValidUTF8(s, "?"))
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\u00a0' || r == '\u202f':
			b.WriteRune('\u00a0')
		case unicode.IsSpace(r):
			b.WriteByte(' ')
		case unicode.IsControl(r), unicode.Is(unicode.Cf, r), unicode.Is(unicode.Co, r),
			unicode.Is(unicode.Variation_Selector, r):
		default:
			b.WriteRune(r)
		}
	}
	return singleSpaced(b.String())
}

func singleSpaced(s string) string {
	return strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' }), " ")
}

// printable cleans s and puts one "?" for each run of letters that the fonts
// lack or that are written from right to left (their order would be wrong).
func printable(s string) string {
	var b strings.Builder
	var buf sfnt.Buffer
	lacking := false
	for _, r := range clean(s) {
		// The writers of PDF take letters of the basic plane only.
		known := r < 0xFFFF && (has(faceOf(false, 1), r, &buf) || has(moreFace(1), r, &buf))
		if !known || unicode.In(r, unicode.Hebrew, unicode.Arabic, unicode.Syriac, unicode.Thaana, unicode.Nko) {
			if !lacking {
				b.WriteByte('?')
			}
			lacking = true
			continue
		}
		if unicode.Is(unicode.Mn, r) { // an accent that has no letter to sit on
			continue
		}
		lacking = false
		b.WriteRune(r)
	}
	return singleSpaced(b.String())
}

// spoken turns a sentence set for print into one to be read out or searched.
func spoken(s string) string { return clean(strings.ReplaceAll(s, nbsp, " ")) }

// nameOr returns name as it can be printed, or fallback when nothing readable
// is left of it.
func nameOr(name, fallback string) string {
	s := printable(name)
	if strings.Trim(s, "? ") == "" {
		return fallback
	}
	return s
}

// shorten cuts s with an ellipsis so that it is no wider than widthMM; it
// returns "" when not even three letters fit.
func shorten(s string, l letter, widthMM float64) string {
	s = printable(s)
	if l.widthMM(s) <= widthMM {
		return s
	}
	runes := []rune(s)
	if len(runes) > 400 { // wider than any page
		runes = runes[:400]
	}
	lo, hi := 0, len(runes)
	for lo < hi { // the longest beginning that fits
		mid := (lo + hi + 1) / 2
		if l.widthMM(string(runes[:mid])+ellipsis) <= widthMM {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	if lo < 3 {
		return ""
	}
	return strings.TrimRight(string(runes[:lo]), " ,.-") + ellipsis
}

// wrap breaks s at spaces into at most lines lines of widthMM; what is left
// over is cut.
func wrap(s string, l letter, widthMM float64, lines int) []string {
	words := strings.Split(printable(s), " ")
	var out []string
	for len(words) > 0 && words[0] != "" {
		if len(out) == lines-1 {
			return append(out, shorten(strings.Join(words, " "), l, widthMM))
		}
		n := 1
		for n < len(words) && l.widthMM(strings.Join(words[:n+1], " ")) <= widthMM {
			n++
		}
		out = append(out, shorten(strings.TrimRight(strings.Join(words[:n], " "), nbsp+"·"), l, widthMM))
		words = words[n:]
	}
	return out
}
