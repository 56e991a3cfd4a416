package quote

import (
	"slices"

	"golang.org/x/text/unicode/bidi"
)

// reorder puts the letters of a line in the order in which they stand, from
// left to right, in a paragraph that runs from left to right: the Unicode
// Bidirectional Algorithm (Unicode Standard Annex 9) without explicit
// embeddings, which report.Clean takes out. The names of its rules stand at
// their lines. (The library's own ordering takes the paragraph's direction from
// its first letter, and gives runs in the order of reading.)
func reorder(line []letter) []letter {
	classes := make([]bidi.Class, len(line))
	turned := false
	for i, l := range line {
		p, _ := bidi.LookupRune(l.r)
		classes[i] = p.Class()
		turned = turned || classes[i] == bidi.R || classes[i] == bidi.AL || classes[i] == bidi.AN
	}
	if !turned {
		return line
	}
	end := len(line) // L1: spaces at the end follow the paragraph
	for end > 0 && (classes[end-1] == bidi.WS || classes[end-1] == bidi.S) {
		end--
	}
	weak(classes[:end])
	brackets(line[:end], classes[:end])
	neutral(classes[:end])

	levels := make([]int, len(line))
	for i, c := range classes[:end] { // I1
		switch c {
		case bidi.R:
			levels[i] = 1
		case bidi.AN, bidi.EN:
			levels[i] = 2
		}
	}
	out := slices.Clone(line)
	for i := range out { // L4
		if levels[i] == 1 {
			out[i].r = mirrored(out[i].r)
		}
	}
	for level := 2; level >= 1; level-- { // L2
		for i := 0; i < len(out); {
			j := i
			for j < len(out) && levels[j] >= level {
				j++
			}
			slices.Reverse(out[i:j])
			slices.Reverse(levels[i:j])
			i = max(j, i+1)
		}
	}
	return out
}

func mirrored(r rune) rune {
	if p, _ := bidi.LookupRune(r); p.IsBracket() {
		return []rune(bidi.ReverseString(string(r)))[0]
	}
	switch r {
	case '<':
		return '>'
	case '>':
		return '<'
	case '«':
		return '»'
	case '»':
		return '«'
	}
	return r
}

// weak resolves numbers and what stands with them: rules W1 to W7.
func weak(c []bidi.Class) {
	strong := bidi.Class(bidi.L)
	for i := range c {
		if c[i] == bidi.NSM { // W1
			c[i] = bidi.ON
			if i > 0 {
				c[i] = c[i-1]
			}
		}
		switch c[i] {
		case bidi.L, bidi.R, bidi.AL:
			strong = c[i]
		case bidi.EN:
			if strong == bidi.AL { // W2
				c[i] = bidi.AN
			}
		}
	}
	for i := range c {
		if c[i] == bidi.AL { // W3
			c[i] = bidi.R
		}
	}
	for i := 1; i+1 < len(c); i++ { // W4
		if before := c[i-1]; before == c[i+1] && (c[i] == bidi.CS && (before == bidi.EN || before == bidi.AN) || c[i] == bidi.ES && before == bidi.EN) {
			c[i] = before
		}
	}
	for i := 0; i < len(c); { // W5
		j := i
		for j < len(c) && c[j] == bidi.ET {
			j++
		}
		if j > i && (i > 0 && c[i-1] == bidi.EN || j < len(c) && c[j] == bidi.EN) {
			for k := i; k < j; k++ {
				c[k] = bidi.EN
			}
		}
		i = max(j, i+1)
	}
	strong = bidi.L
	for i := range c {
		switch c[i] {
		case bidi.ET, bidi.ES, bidi.CS: // W6
			c[i] = bidi.ON
		case bidi.L, bidi.R:
			strong = c[i]
		case bidi.EN:
			if strong == bidi.L { // W7
				c[i] = bidi.L
			}
		}
	}
}

// side is the direction that a resolved class counts as beside neutrals; ON
// when it has none.
func side(c bidi.Class) bidi.Class {
	switch c {
	case bidi.L:
		return bidi.L
	case bidi.R, bidi.EN, bidi.AN:
		return bidi.R
	}
	return bidi.ON
}

// brackets gives both brackets of a pair one direction: rule N0.
func brackets(line []letter, c []bidi.Class) {
	var open []int
	type pair struct{ from, to int }
	var pairs []pair
	for i := range line {
		p, _ := bidi.LookupRune(line[i].r)
		if !p.IsBracket() || c[i] != bidi.ON {
			continue
		}
		if p.IsOpeningBracket() {
			open = append(open, i)
			continue
		}
		for k := len(open) - 1; k >= 0; k-- {
			if mirrored(line[open[k]].r) == line[i].r {
				pairs = append(pairs, pair{open[k], i})
				open = open[:k]
				break
			}
		}
	}
	slices.SortFunc(pairs, func(a, b pair) int { return a.from - b.from })
	for _, p := range pairs {
		within := bidi.Class(bidi.ON)
		for i := p.from + 1; i < p.to && within != bidi.L; i++ {
			if s := side(c[i]); s != bidi.ON {
				within = s
			}
		}
		if within == bidi.R {
			before := bidi.Class(bidi.L)
			for i := p.from - 1; i >= 0; i-- {
				if s := side(c[i]); s != bidi.ON {
					before = s
					break
				}
			}
			within = before
		}
		if within != bidi.ON {
			c[p.from], c[p.to] = within, within
		}
	}
}

// neutral resolves what has no direction of its own: rules N1 and N2.
func neutral(c []bidi.Class) {
	for i := 0; i < len(c); {
		j := i
		for j < len(c) && side(c[j]) == bidi.ON {
			j++
		}
		if j > i {
			to := bidi.Class(bidi.L)
			if i > 0 && j < len(c) && side(c[i-1]) == bidi.R && side(c[j]) == bidi.R {
				to = bidi.R
			}
			for k := i; k < j; k++ {
				c[k] = to
			}
		}
		i = max(j, i+1)
	}
}
