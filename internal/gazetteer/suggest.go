package gazetteer

import (
	"sort"
	"strings"
)

// Suggest returns up to most places whose name is near the query's: those that
// begin with it, then those a few letters off, the nearest and largest first.
func Suggest(query string, most int) []Place {
	name, within := split(query)
	if name == "" {
		return nil
	}
	g := loaded()
	type near struct {
		place     int32
		distance  int
		sameStart bool
	}
	var list []near
	allowed := min(3, 1+len([]rune(name))/5)
	for i, folded := range g.folded {
		d := allowed + 1
		switch {
		case strings.HasPrefix(folded, name) && len(name) >= 3:
			d = 1
		case len(folded) <= len(name)+allowed && len(name) <= len(folded)+allowed:
			d = distance(name, folded, allowed)
		}
		if d <= allowed && g.places[g.at[i]].inside(within) {
			list = append(list, near{g.at[i], d, folded[0] == name[0]})
		}
	}
	sort.SliceStable(list, func(i, j int) bool {
		a, b := list[i], list[j]
		if a.distance != b.distance {
			return a.distance < b.distance
		}
		if a.sameStart != b.sameStart { // the first letter is rarely the slip
			return a.sameStart
		}
		return g.places[a.place].People > g.places[b.place].People
	})
	var out []Place
	for _, n := range list[:min(most, len(list))] {
		out = append(out, g.places[n.place])
	}
	return out
}

// distance is the number of letters to insert, delete, replace or swap with a
// neighbour (optimal string alignment); most+1 when there are more.
func distance(a, b string, most int) int {
	x, y := []rune(a), []rune(b)
	before, last := make([]int, len(y)+1), make([]int, len(y)+1)
	row := make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	leastBefore := 0
	for i := 1; i <= len(x); i++ {
		row[0] = i
		least := i
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
			least = min(least, row[j])
		}
		if least > most && leastBefore > most { // a swap reaches back two rows
			return most + 1
		}
		leastBefore = least
		before, last, row = last, row, before
	}
	return min(last[len(y)], most+1)
}
