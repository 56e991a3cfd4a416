package chart

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The stays of these tests are invented.

func staysBelow(dayMM float64, lengths []int, names []string) (*daysBelow, []stay) {
	const left = 17.0
	var stays []stay
	day := 0
	for i, n := range lengths {
		stays = append(stays, stay{name: names[i], first: day, last: day + n - 1, left: left + dayMM*float64(day), right: left + dayMM*float64(day+n)})
		day += n
	}
	right := left + dayMM*float64(day)
	return &daysBelow{sheet: newFrame(Box{0, 0, right + 30, 200}, 0, 1, 0, 1), f: newFrame(Box{left, 10, right, 60}, 0, 1, 0, 1), y: 70}, stays
}

func namesOf(placed []placed) (out []string) {
	for _, p := range placed {
		out = append(out, p.name)
	}
	return out
}

// A short first stay with a long name overhangs; the long stay behind it keeps
// its own name all the same.
func TestLongStaysBehindAnOverhangingNameKeepTheirs(t *testing.T) {
	a, stays := staysBelow(7, []int{1, 2, 1, 2, 1}, []string{"Invented mountain pass", "Fjord end", "Ferry landing at the fjord", "Upper camp", "Home"})
	got := namesOf(a.named(stays, 3.4))
	assert.Contains(t, got, "Fjord end")
	assert.Contains(t, got, "Upper camp")
}

func TestNoLongStayLosesItsNameAndNoneOverlap(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		lengths := rapid.SliceOfN(rapid.IntRange(1, 5), 1, 30).Draw(rt, "days")
		var names []string
		for range lengths {
			names = append(names, rapid.StringMatching(`[A-Z][a-z]{3,9}( [A-Za-z]{2,8}){0,3}`).Draw(rt, "name"))
		}
		a, stays := staysBelow(rapid.Float64Range(1.5, 20).Draw(rt, "mm"), lengths, names)
		placed := a.named(stays, 3.4)
		for i := range stays {
			named := false
			for _, p := range placed {
				named = named || p.stay == stays[i]
			}
			if stays[i].long() {
				require.True(rt, named, "%+v", stays[i])
			}
		}
		for i, p := range placed {
			for _, q := range placed[i+1:] {
				if p.line == q.line {
					first, second := p, q
					if second.stay.left < first.stay.left {
						first, second = q, p
					}
					require.LessOrEqual(rt, first.stay.left+0.9+inkLetter.widthMM(first.name), second.stay.left+0.7, "%q and %q", first.name, second.name)
				}
			}
		}
	})
}
