package chart

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
)

// stay is a run of days at one place.
type stay struct {
	name        string
	left, right float64 // mm
}

func (a *daysBelow) stays() []stay {
	var out []stay
	days := a.t.r.Days
	for i := range days {
		name := nameOr(days[i].Place, "stop "+strconv.Itoa(days[i].Stop+1))
		left, right := a.edges(i)
		if n := len(out); n > 0 && out[n-1].name == name {
			out[n-1].right = right
			continue
		}
		out = append(out, stay{name, left, right})
	}
	return out
}

// bracketMM is the height of the bracket that gathers the days of a stay.
const bracketMM = 1.6

// places draws a bracket under the days of each stay and its name below; names
// for which there is no room are numbered and listed.
func (a *daysBelow) places() {
	stays := a.stays()
	room := span{marginMM + 0.5, a.sheet.box.Right - marginMM - 0.2}
	all, list := numbering(stays, arrange(stays, room))
	lineMM := smallLetter.heightMM() + 0.7
	deepest := 0
	for i, s := range stays {
		p := all[i]
		top := a.y + bracketMM
		bottom := top + 0.2 + lineMM*float64(p.line+1)
		a.sheet.add("place", func(n *nib) {
			pad := min(0.5, 0.15*(s.right-s.left))
			n.line(s.left+pad, top, s.right-pad, top, frameGrey, thinPt, nil)
			for _, x := range []float64{s.left + pad, s.right - pad} {
				n.line(x, top-0.7, x, top, frameGrey, thinPt, nil)
			}
			if p.text != "" {
				n.line(p.leader, top, p.leader, bottom-smallLetter.heightMM()-0.15, frameGrey, hairPt, nil)
			}
		})
		if p.text == "" {
			continue
		}
		deepest = max(deepest, p.line+1)
		letter := inkLetter
		if p.number > 0 {
			letter = alertLetter
		}
		a.sheet.text(letter, p.left+(p.wide-letter.widthMM(p.text))/2, bottom-descentMM(letter), p.text, atLeft)
	}
	a.y += bracketMM + 0.2 + lineMM*float64(deepest)
	a.listed(list, lineMM)
}

// The list of names is at most this long; what is left over is counted.
const placeListLines = 24

// listed writes the numbered names in lines below the axis.
func (a *daysBelow) listed(names []string, lineMM float64) {
	if len(names) == 0 {
		return
	}
	left, right := a.f.box.Left, a.sheet.box.Right-marginMM
	x, lines := left, 1
	a.y += 0.8
	base := func() float64 { return a.y + lineMM*float64(lines) - descentMM(inkLetter) }
	for i, name := range names {
		number := strconv.Itoa(i + 1)
		name = shorten(name, inkLetter, 60)
		gap := alertLetter.widthMM(number) + 1
		if x+gap+inkLetter.widthMM(name) > right && x > left {
			x, lines = left, lines+1
		}
		if lines == placeListLines && i < len(names)-1 {
			a.sheet.text(smallLetter, x, base(), fmt.Sprintf(wordMorePlaces, len(names)-i), atLeft)
			break
		}
		a.sheet.text(alertLetter, x, base(), number, atLeft)
		a.sheet.text(inkLetter, x+gap, base(), name, atLeft)
		x += gap + inkLetter.widthMM(name) + 3.5
	}
	a.y += lineMM * float64(lines)
}

// numbering gives the stays without their name their numbers and returns the
// names for the list. Where not even all numbers fit, every stay is numbered in
// turn and as many numbers are written as fit.
func numbering(stays []stay, all []placed) ([]placed, []string) {
	var list []string
	if slices.ContainsFunc(all, func(p placed) bool { return p.text == "" && p.number == 0 }) {
		return countedOff(stays)
	}
	for i := range all {
		if all[i].number == 0 {
			continue
		}
		k := slices.Index(list, stays[i].name)
		if k < 0 {
			list, k = append(list, stays[i].name), len(list)
		}
		all[i].number, all[i].text = k+1, strconv.Itoa(k+1)
	}
	return all, list
}

// countedOff numbers all stays and leaves out the numbers that find no room.
func countedOff(stays []stay) (all []placed, list []string) {
	every, free := 1, 0.0
	for _, k := range []int{1, 2, 5, 10, 20, 50} {
		every = k
		if n := len(stays); (stays[n-1].right-stays[0].left)/float64(n)*float64(k) > alertLetter.widthMM(strconv.Itoa(n))+1.5 {
			break
		}
	}
	for i, s := range stays {
		list = append(list, s.name)
		p := placed{leader: (s.left + s.right) / 2}
		text := strconv.Itoa(i + 1)
		p.wide = alertLetter.widthMM(text)
		p.left = p.leader - p.wide/2
		if (i == 0 || (i+1)%every == 0) && p.left >= free {
			p.text, p.number = text, i+1
			free = p.left + p.wide + placeGapMM
		}
		all = append(all, p)
	}
	return all, list
}

// placed is where the name of a stay, or its number in the list, stands.
type placed struct {
	text       string
	number     int     // in the list; 0 = the name itself stands here
	line       int     // from the top
	left, wide float64 // mm
	leader     float64 // where a line leads down from the bracket, mm
}

const (
	placeLines  = 3    // of names
	placeGapMM  = 1.9  // between names
	leaderGapMM = 0.8  // between a name and a leader
	placeWideMM = 42.0 // no name is longer
)

// arrangement is a beginning of the stays with their names, the last one first.
type arrangement struct {
	edge   [placeLines]float64 // up to where each line is taken, mm
	cost   float64
	last   placed
	before *arrangement
}

// arrange finds places for the names between two edges of the page so that no
// name touches another or the leader of another: from the left to the right,
// keeping the best beginnings. Whole names on the first lines are best, then
// shortened names, then numbers; text "" without a number is the way out where
// nothing fits.
func arrange(stays []stay, room span) []placed {
	const kept = 120
	begin := &arrangement{}
	for k := range begin.edge {
		begin.edge[k] = room.from - placeGapMM
	}
	beam := []*arrangement{begin}
	for _, s := range stays {
		words := wordings(s.name, len(stays))
		var next []*arrangement
		for _, a := range beam {
			next = a.extended(next, s, words, room)
		}
		slices.SortStableFunc(next, func(a, b *arrangement) int { return cmp.Compare(a.cost, b.cost) })
		beam = beam[:0:0]
		for _, a := range next {
			if len(beam) == kept {
				break
			}
			if !slices.ContainsFunc(beam, func(b *arrangement) bool { return b.noWider(a) }) {
				beam = append(beam, a)
			}
		}
	}
	out := make([]placed, len(stays))
	for a, i := beam[0], len(stays)-1; i >= 0; a, i = a.before, i-1 {
		out[i] = a.last
	}
	return out
}

// noWider reports whether a leaves at least as much room as b on every line.
func (a *arrangement) noWider(b *arrangement) bool {
	for k := range a.edge {
		if a.edge[k] > b.edge[k] {
			return false
		}
	}
	return true
}

// wording is a way to name a stay, and what it costs the reader.
type wording struct {
	placed
	cost float64
}

func wordings(name string, stays int) []wording {
	var out []wording
	whole := len([]rune(shorten(name, inkLetter, placeWideMM)))
	for _, wide := range []float64{placeWideMM, 26, 20, 16, 13, 10.5, 8.5} {
		text := shorten(name, inkLetter, wide)
		if text == "" || len(out) > 0 && text == out[len(out)-1].text {
			continue
		}
		cost := 0.0
		if lost := whole - len([]rune(text)) + 1; text != name {
			cost = 5 + float64(lost)
		}
		out = append(out, wording{placed{text: text, wide: inkLetter.widthMM(text)}, cost})
	}
	number := "88"
	if stays > 99 {
		number = "888"
	}
	return append(out, wording{placed{text: number, number: 1, wide: alertLetter.widthMM(number)}, 12})
}

// extended adds to a list all ways in which a goes on with one more stay.
func (a *arrangement) extended(list []*arrangement, s stay, words []wording, room span) []*arrangement {
	mid := (s.left + s.right) / 2
	for _, w := range words {
		for line := range placeLines {
			for _, shift := range []float64{0, 0.15, 0.3, 0.45} { // to the left of the middle
				p := w.placed
				p.line = line
				p.left = min(max(mid-p.wide*(0.5+shift), a.edge[line]+placeGapMM), room.to-p.wide)
				if !a.reaches(&p, s) {
					continue
				}
				off := p.left + p.wide/2 - mid
				next := &arrangement{edge: a.edge, before: a, last: p, cost: a.cost + w.cost + 1.2*float64(line) + 0.06*off*off}
				for k := range line { // what comes next keeps its distance from the leader
					next.edge[k] = p.leader + leaderGapMM - placeGapMM
				}
				next.edge[line] = p.left + p.wide
				list = append(list, next)
			}
		}
	}
	blank := &arrangement{edge: a.edge, before: a, cost: a.cost + 1000}
	return append(list, blank)
}

// reaches leads a line from the bracket of s down to p, past the names of the
// lines between.
func (a *arrangement) reaches(p *placed, s stay) bool {
	if p.left < a.edge[p.line]+placeGapMM-1e-9 {
		return false
	}
	inset := min(0.8, 0.4*(s.right-s.left))
	free := p.left + p.wide/2
	for k := range p.line {
		free = max(free, a.edge[k]+leaderGapMM)
	}
	p.leader = min(max(free, s.left+inset), s.right-inset)
	return p.leader > p.left+0.4 && p.leader < p.left+p.wide-0.4 && a.passes(p)
}

// passes reports whether the leader of p is clear of the names above it.
func (a *arrangement) passes(p *placed) bool {
	for k := range p.line {
		if p.leader < a.edge[k]+leaderGapMM-1e-9 {
			return false
		}
	}
	return true
}
