package spelling

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// Damerau 1964, Communications of the ACM 7: 171-176 counts insertion, deletion,
// substitution and the swap of neighbours as one error each; kitten and sitting are
// the usual example of Levenshtein's distance (from memory).
func TestDistancesThatArePublished(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "abc", 3}, {"abc", "abc", 0}, {"rnu", "run", 1}, {"sed", "seed", 1}, {"kitten", "sitting", 3}, {"ab", "ba", 1}, {"ca", "abc", 3}} {
		assert.Equal(t, c.want, Distance(c.a, c.b, 100), "%s %s", c.a, c.b)
		assert.Equal(t, c.want, Distance(c.b, c.a, 100), "%s %s", c.b, c.a)
	}
}

func TestDistanceIsSymmetricAndZeroOnlyForTheSame(t *testing.T) {
	word := rapid.StringOfN(rapid.RuneFrom([]rune("abcø ")), 0, 8, -1)
	rapid.Check(t, func(r *rapid.T) {
		a, b := word.Draw(r, "a"), word.Draw(r, "b")
		d := Distance(a, b, 100)
		assert.Equal(r, d, Distance(b, a, 100))
		assert.Equal(r, a == b, d == 0)
		assert.LessOrEqual(r, d, max(len([]rune(a)), len([]rune(b))))
		for most := range d {
			assert.Equal(r, most+1, Distance(a, b, most), "cut off early")
		}
	})
}
