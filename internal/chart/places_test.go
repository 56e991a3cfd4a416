package chart

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The stays of these tests are invented.

const staysLeftMM = 17.0

func staysOf(dayMM float64, lengths []int, names []string) (stays []stay, room span) {
	at := staysLeftMM
	for i, n := range lengths {
		stays = append(stays, stay{names[i], at, at + dayMM*float64(n)})
		at += dayMM * float64(n)
	}
	return stays, span{2, at + 28}
}

func TestNamesOfTheUsualLengthAreWholeAtOneDayEach(t *testing.T) {
	names := []string{"Harbour", "Thistledown", "Inch", "Foal Ridge", "Lake Ashby", "Sandgate", "Tall Gorge", "Aldersea", "Upper Brackenby", "Westerhaven"}
	stays, room := staysOf(8.8, []int{1, 1, 1, 1, 2, 1, 1, 1, 1, 1}, names)
	all, list := numbering(stays, arrange(stays, room))
	assert.Empty(t, list)
	for i, p := range all {
		assert.Equal(t, names[i], p.text)
	}
}

func TestEveryStayIsNamedOrNumberedAndNoNamesTouch(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		lengths := rapid.SliceOfN(rapid.IntRange(1, 5), 1, 25).Draw(rt, "days")
		var names []string
		for range lengths {
			names = append(names, rapid.StringMatching(`[A-Z][a-z]{3,9}( [A-Za-z]{2,8}){0,3}`).Draw(rt, "name"))
		}
		stays, room := staysOf(rapid.Float64Range(0.4, 20).Draw(rt, "mm"), lengths, names)
		all, list := numbering(stays, arrange(stays, room))
		require.Len(rt, all, len(stays))
		var boxes, leaders []Box
		for i, p := range all {
			switch {
			case p.text == "":
				require.Contains(rt, list, names[i], "neither named nor listed")
				continue
			case p.number > 0:
				require.Equal(rt, names[i], list[p.number-1])
			default:
				begin := strings.TrimRight(p.text, ellipsis)
				require.True(rt, strings.HasPrefix(names[i], begin) && len(begin) >= 3, "%q for %q", p.text, names[i])
			}
			line := float64(p.line)
			boxes = append(boxes, Box{p.left, line, p.left + p.wide, line + 1})
			leaders = append(leaders, Box{p.leader - 0.1, 0, p.leader + 0.1, line})
			require.True(rt, p.leader >= stays[i].left && p.leader <= stays[i].right, "the leader leaves its bracket")
		}
		for i, b := range boxes {
			require.True(rt, b.Left >= room.from-1e-9 && b.Right <= room.to+1e-9, "%+v leaves the page", b)
			for j := range boxes {
				if i != j {
					require.False(rt, b.Overlaps(boxes[j]), "names %d and %d", i, j)
					require.False(rt, b.Overlaps(leaders[j]), "name %d and leader %d", i, j)
				}
			}
		}
	})
}

// A year with a stop a day: the numbers go on in turn and the list says how many
// names it leaves out.
func TestTheListOfAYearOfPlacesCountsWhatItLeavesOut(t *testing.T) {
	v := inventedTrips()["year"]
	v.stay, v.places = 1, nil
	for i := range v.days {
		v.places = append(v.places, fmt.Sprintf("Invented place %d", i+1))
	}
	p, err := EnergyByDay(v.result())
	require.NoError(t, err)
	s := p.Structure()
	assert.Equal(t, 366, s.Count("place"), "brackets")
	assert.Less(t, s.HeightMM, 200.0)
	listed, more := 0, 0
	for _, x := range s.Texts {
		if strings.HasPrefix(x.Text, "Invented place") {
			listed++
		}
		_, _ = fmt.Sscanf(x.Text, wordMorePlaces, &more)
	}
	assert.Equal(t, 366, listed+more)
}
