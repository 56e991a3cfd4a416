package gazetteer

import (
	"sort"
	"strings"

	"tripsim/internal/spelling"
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
			d = spelling.Distance(name, folded, allowed)
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
