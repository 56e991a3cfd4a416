// Package spelling tells how far two words are apart, so that a slip of the
// keyboard can be answered with the word that was meant. It knows no words itself.
package spelling

import "slices"

// Distance is the number of letters to insert, delete, replace or swap with a
// neighbour to make one word of the other, no letter touched twice (optimal string
// alignment, the restricted form of Damerau 1964 and Levenshtein 1966); most+1 when
// there are more than most.
func Distance(a, b string, most int) int {
	x, y := []rune(a), []rune(b)
	if apart := len(x) - len(y); apart > most || -apart > most {
		return most + 1
	}
	before, last, row := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = j
	}
	leastBefore := 0
	for i := 1; i <= len(x); i++ {
		row[0] = i
		for j := 1; j <= len(y); j++ {
			change := 1
			if x[i-1] == y[j-1] {
				change = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		least := slices.Min(row)
		if least > most && leastBefore > most { // a swap reaches back two rows
			return most + 1
		}
		leastBefore = least
		before, last, row = last, row, before
	}
	return min(last[len(y)], most+1)
}
