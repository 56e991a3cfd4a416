package chart

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestDaysOf23And25HoursKeepTheirLength(t *testing.T) {
	back := inventedTrips()["clocks-back"].result()
	tr, err := newTrail(back)
	require.NoError(t, err)
	// European rule: the clocks of Oslo go back on 25 October 2026 (Directive
	// 2000/84/EC, last Sunday in October).
	assert.Equal(t, day(2026, time.October, 25), back.Days[2].Date)
	assert.InDelta(t, 25, tr.day(2).to-tr.day(2).from, 1e-9)
	assert.InDelta(t, 7*24+1, tr.endH, 1e-9)
	p, err := StateOfCharge(back, nil)
	require.NoError(t, err)
	assert.True(t, hasText(p, "25 Oct (25 h)"))

	spring := inventedTrips()["clocks-forward"].result()
	p, err = StateOfCharge(spring, nil)
	require.NoError(t, err)
	assert.True(t, hasText(p, "29 Mar (23 h)"))
}

func hasText(p *Picture, want string) bool {
	want = strings.ReplaceAll(want, " ", nbsp)
	for _, x := range p.Structure().Texts {
		if strings.ReplaceAll(x.Text, " ", nbsp) == want {
			return true
		}
	}
	return false
}

func TestFlatSpellsAndDaysShowWithoutColour(t *testing.T) {
	r := inventedTrips()["three-weeks"].result()
	p, err := StateOfCharge(r, nil)
	require.NoError(t, err)
	s := p.Structure()
	assert.Equal(t, len(r.Flats), s.Count("flat spell"))
	assert.Equal(t, r.FlatDays, s.Count("flat day"))
	for _, m := range s.Marks {
		if m.Kind == "flat spell" {
			assert.Equal(t, 3, m.Paths, "a fill, a hatch and an outline")
		}
	}
	assert.True(t, hasText(p, "flat 3 days"))
}

func TestNoFlatSpellNoFlag(t *testing.T) {
	p, err := StateOfCharge(inventedTrips()["week"].result(), nil)
	require.NoError(t, err)
	assert.Zero(t, p.Structure().Count("flat day"))
	assert.Zero(t, p.Structure().Count("flat spell"))
}

func TestBarsOfADayAreEquallyHigh(t *testing.T) {
	tr, err := newTrail(inventedTrips()["three-weeks"].result())
	require.NoError(t, err)
	for i, g := range tr.energyGroups() {
		in, out := g.stack(energyIn[:5]), g.stack(energyOut[:5])
		assert.InDelta(t, in, out, 1e-6*in+1e-6, "day %d", i+1)
	}
}

func TestSpansJoinStepsThatAreActiveInPart(t *testing.T) {
	r := inventedTrips()["one-day"].result()
	for i := range r.Slots {
		r.Slots[i].DriveH = 0
	}
	r.Slots[40].DriveH, r.Slots[41].DriveH, r.Slots[42].DriveH = 0.1, 0.25, 0.05 // 10:09 to 10:33
	r.Slots[60].DriveH = 0.2
	tr, err := newTrail(r)
	require.NoError(t, err)
	got := tr.driving()
	require.Len(t, got, 2)
	assert.InDelta(t, 10.15, got[0].from, 1e-9)
	assert.InDelta(t, 10.55, got[0].to, 1e-9)
	assert.InDelta(t, 0.2, got[1].to-got[1].from, 1e-9)
}

func TestThinKeepsEndsAndExtremes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(0, 100), 2, 3000).Draw(t, "y")
		n := rapid.IntRange(1, 200).Draw(t, "n")
		pts := make([]point, len(y))
		lo, hi := math.Inf(1), math.Inf(-1)
		for i, v := range y {
			pts[i] = point{float64(i), v}
			lo, hi = min(lo, v), max(hi, v)
		}
		out := thin(pts, n)
		gotLo, gotHi := math.Inf(1), math.Inf(-1)
		for i, p := range out {
			gotLo, gotHi = min(gotLo, p.y), max(gotHi, p.y)
			if i > 0 {
				require.Greater(t, p.x, out[i-1].x)
			}
		}
		require.Equal(t, pts[0], out[0])
		require.Equal(t, pts[len(pts)-1], out[len(out)-1])
		require.Equal(t, lo, gotLo)
		require.Equal(t, hi, gotHi)
		require.LessOrEqual(t, len(out), 4*n+8)
	})
}
