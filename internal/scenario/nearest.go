package scenario

import "strings"

// nearest returns the known name closest to name, "" if none is close: at most
// a third of the letters differ, counting neighbours swapped as one, or one
// name begins with the other.
func nearest(name string, known []string) string {
	name = simplified(name)
	if name == "" {
		return ""
	}
	best, bestCost := "", len([]rune(name))/3+1
	for _, k := range known {
		s := simplified(k)
		if s == name {
			return k
		}
		cost := editDistance(name, s)
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

// editDistance counts inserted, deleted, changed and swapped letters (the
// restricted form of Damerau 1964 and Levenshtein 1966).
func editDistance(a, b string) int {
	s, t := []rune(a), []rune(b)
	if len(s) > 64 || len(t) > 64 {
		return 64
	}
	var two, one, now [65]int
	for j := range t {
		one[j+1] = j + 1
	}
	for i := range s {
		now[0] = i + 1
		for j := range t {
			change := 1
			if s[i] == t[j] {
				change = 0
			}
			d := min(one[j+1]+1, now[j]+1, one[j]+change)
			if i > 0 && j > 0 && s[i] == t[j-1] && s[i-1] == t[j] {
				d = min(d, two[j-1]+1)
			}
			now[j+1] = d
		}
		two, one = one, now
	}
	return one[len(t)]
}
