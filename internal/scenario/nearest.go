package scenario

import (
	"strings"

	"tripsim/internal/spelling"
)

// nearest returns the known name closest to name, "" if none is close: at most
// a third of the letters differ, counting neighbours swapped as one, or one
// name begins with the other.
func nearest(name string, known []string) string {
	name = simplified(name)
	if name == "" || len(name) > 200 {
		return ""
	}
	best, bestCost := "", len([]rune(name))/3+1
	for _, k := range known {
		s := simplified(k)
		if s == name {
			return k
		}
		cost := spelling.Distance(name, s, bestCost)
		if len(name) >= 3 && len(s) >= 3 && (strings.HasPrefix(s, name) || strings.HasPrefix(name, s)) {
			cost = min(cost, 1)
		}
		if cost < bestCost || cost == bestCost && best == "" && cost <= 2 {
			best, bestCost = k, cost
		}
	}
	if best == "" {
		best = sharedWord(name, known)
	}
	return best
}

// sharedWord returns the known name that has most words in common with name.
func sharedWord(name string, known []string) string {
	best, bestShare := "", 0.0
	words := strings.Split(name, "_")
	for _, k := range known {
		theirs, common := strings.Split(simplified(k), "_"), 0
		for _, w := range words {
			for _, t := range theirs {
				if len(w) > 2 && strings.TrimSuffix(w, "s") == strings.TrimSuffix(t, "s") {
					common++
				}
			}
		}
		if share := float64(common) / float64(len(words)+len(theirs)-common); share > bestShare {
			best, bestShare = k, share
		}
	}
	if bestShare < 0.5 {
		return ""
	}
	return best
}

// didYouMean phrases the suggestion, or lists what is known.
func didYouMean(name string, known []string) string {
	if n := nearest(name, known); n != "" {
		return "did you mean " + n + "?"
	}
	if len(known) > 12 {
		return "known are " + strings.Join(known[:12], ", ") + ", ..."
	}
	return "known are " + strings.Join(known, ", ")
}

func simplified(s string) string {
	return strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(strings.TrimSpace(s)))
}
