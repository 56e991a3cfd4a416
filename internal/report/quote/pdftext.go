package quote

import "unicode"

// textLine is a line ready to be set, from left to right.
type textLine []frag

// lines breaks a text into lines of widthMM: at spaces where it can, inside a
// word where it must. A text with nothing in it has no line.
func (p *pdf) lines(t Text, s style, widthMM float64) []textLine {
	letters := p.set.letters(styled(t, s))
	var out []textLine
	for len(letters) > 0 {
		for len(letters) > 0 && letters[0].r == ' ' {
			letters = letters[1:]
		}
		if len(letters) == 0 {
			break
		}
		cut, next := p.breakAt(letters, s, widthMM)
		out = append(out, p.set.visual(letters[:cut]))
		letters = letters[next:]
	}
	return out
}

// breakAt finds how many letters go on a line, and where the next one begins.
func (p *pdf) breakAt(letters []letter, s style, widthMM float64) (cut, next int) {
	wide, space := 0.0, -1
	for i, l := range letters {
		wide += p.letterMM(l, s)
		switch {
		case wide > widthMM+0.01 && l.r != ' ':
			switch {
			case space > 0:
				return trimmed(letters, space), space + 1
			case i == 0:
				return 1, 1
			}
			for i > 1 && unicode.Is(unicode.Mn, letters[i].r) {
				i--
			}
			return i, i
		case l.r == ' ':
			space = i
		case (l.r == '-' || l.r == '/' || l.r == '–') && i+1 < len(letters) && i > 0 && wide <= widthMM && breaksAfter(letters, i):
			space = -1 // a later space is better, but this will do
			if rest := p.wordMM(letters[i+1:], s); wide+rest > widthMM {
				return i + 1, i + 1
			}
		}
	}
	return trimmed(letters, len(letters)), len(letters)
}

// trimmed is end without the spaces before it.
func trimmed(letters []letter, end int) int {
	for end > 0 && letters[end-1].r == ' ' {
		end--
	}
	return end
}

// breaksAfter allows a break after a hyphen or slash between letters.
func breaksAfter(letters []letter, i int) bool {
	return unicode.IsLetter(letters[i-1].r) && unicode.IsLetter(letters[i+1].r)
}

// wordMM is the width up to the next place for a break.
func (p *pdf) wordMM(letters []letter, s style) float64 {
	wide := 0.0
	for i, l := range letters {
		if l.r == ' ' {
			break
		}
		wide += p.letterMM(l, s)
		if (l.r == '-' || l.r == '/') && i > 0 && i+1 < len(letters) && breaksAfter(letters, i) {
			break
		}
	}
	return wide
}

// styled makes every piece bold when the style is.
func styled(t Text, s style) Text {
	if s.strong {
		return strong(t)
	}
	return t
}

// letterMM is the width of a letter.
func (p *pdf) letterMM(l letter, s style) float64 {
	if unicode.Is(unicode.Mn, l.r) {
		return 0
	}
	p.setFace(l.face, s.sizePt)
	return p.doc.GetStringWidth(string(l.r))
}

// setFace chooses a face; the third is added to the file when it is first used.
func (p *pdf) setFace(f face, sizePt float64) {
	n := faceNames[f]
	if f == fallback && !p.more {
		p.doc.AddUTF8FontFromBytes(n[0], n[1], faceFiles[f])
		p.more = true
	}
	if p.face != f || p.sizePt != sizePt {
		p.doc.SetFont(n[0], n[1], sizePt)
		p.face, p.sizePt = f, sizePt
	}
}

// width of a line, mm.
func (p *pdf) width(l textLine, s style) float64 {
	wide := 0.0
	for _, f := range l {
		for _, r := range f.s {
			wide += p.letterMM(letter{r: r, face: f.face}, s)
		}
	}
	return wide
}

// put sets a line with its baseline at y.
func (p *pdf) put(l textLine, x, y float64, s style) {
	p.doc.SetTextColor(s.colour[0], s.colour[1], s.colour[2])
	for _, f := range l {
		p.setFace(f.face, s.sizePt)
		p.doc.Text(x, y, f.s)
		x += p.width(textLine{f}, s)
	}
}

// baseline is where the first line stands below the top of its box.
func (p *pdf) baseline(s style) float64 { return s.leadMM/2 + s.ascentMM()/2 }

// column sets lines from the top y on.
func (p *pdf) column(lines []textLine, x, y float64, s style) {
	for _, l := range lines {
		p.put(l, x, y+p.baseline(s), s)
		y += s.leadMM
	}
}

func (p *pdf) heightOf(lines []textLine, s style) float64 { return float64(len(lines)) * s.leadMM }

// write sets running text at the place of writing, over pages if need be. Two
// lines at least stay together.
func (p *pdf) write(t Text, s style, x, widthMM float64) {
	lines := p.lines(t, s, widthMM)
	for i, l := range lines {
		switch left := len(lines) - i; {
		case i == 0 && left > 1:
			p.need(min(2, float64(left)) * s.leadMM)
		case left == 2:
			p.need(2 * s.leadMM)
		default:
			p.need(s.leadMM)
		}
		p.put(l, x, p.y+p.baseline(s), s)
		p.y += s.leadMM
	}
}

// oneLine is the beginning of a text that fits on a line.
func (p *pdf) oneLine(t Text, s style, widthMM float64) textLine {
	lines := p.lines(t, s, widthMM)
	switch len(lines) {
	case 0:
		return nil
	case 1:
		return lines[0]
	}
	return append(p.lines(t, s, widthMM-4)[0], frag{"…", lines[0][0].face})
}

// line draws a straight line.
func (p *pdf) line(x1, y1, x2, y2 float64, c colour, widthMM float64) {
	p.doc.SetDrawColor(c[0], c[1], c[2])
	p.doc.SetLineWidth(widthMM)
	p.doc.Line(x1, y1, x2, y2)
}

// fill draws a filled box.
func (p *pdf) fill(x, y, w, h float64, c colour) {
	p.doc.SetFillColor(c[0], c[1], c[2])
	p.doc.Rect(x, y, w, h, "F")
}
