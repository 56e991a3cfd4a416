package chart

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The maps of these tests are invented.

func contourLines(s *Structure) (n int) {
	for _, m := range s.Marks {
		if strings.HasPrefix(m.Kind, "contour") {
			n++
		}
	}
	return n
}

func textsOf(s *Structure) string {
	var all []string
	for _, x := range s.Texts {
		all = append(all, x.Text)
	}
	return strings.Join(all, "\n")
}

func TestWhereCellsAreOfTwoKindsNoLineIsInterpolated(t *testing.T) {
	g := inventedSizes(6, 5)
	for j := range g.NotCarried {
		for i := range g.NotCarried[j] {
			g.NotCarried[j][i] = 0
			if i+j < 4 {
				g.NotCarried[j][i] = 1
			}
		}
	}
	p, err := SizeMap(g)
	require.NoError(t, err)
	s := p.Structure()
	assert.Zero(t, contourLines(s))
	assert.Equal(t, 1, s.Count("edge"))
	assert.NotContains(t, textsOf(s), "interpolate")
	assert.Contains(t, textsOf(s), "thick edge: accepted risk 5"+nbsp+"%")
}

func TestTheMapSaysThatLinesInterpolateAndWhereSizesBegin(t *testing.T) {
	g := inventedSizes(12, 6)
	p, err := SizeMap(g)
	require.NoError(t, err)
	s := p.Structure()
	assert.Positive(t, contourLines(s))
	assert.Zero(t, s.Count("edge"))
	assert.Contains(t, textsOf(s), "Sizes tried: from 20"+nbsp+"A and 80"+nbsp+"Ah upwards, at the dots. Lines interpolate between the dots.")
}

// Cropping leaves sizes out of the picture, not out of what was tried.
func TestACroppedMapStillNamesTheSmallestSizeTried(t *testing.T) {
	g := inventedSizes(12, 6)
	for j := range g.NotCarried {
		for i := range 4 {
			g.NotCarried[j][i] = 1
		}
	}
	g.Best, g.Own = nil, nil
	c := g.Cropped()
	require.Greater(t, c.X.Values[0], 80.0)
	p, err := SizeMap(c)
	require.NoError(t, err)
	assert.Contains(t, textsOf(p.Structure()), "and 80"+nbsp+"Ah upwards")
}

func TestAMapWithoutAnEdgeSaysWhichSideOfTheAcceptedRiskItIsOn(t *testing.T) {
	for word, share := range map[string]float64{"no size is within the accepted 5": 0.6, "all sizes are within the accepted 5": 0.01} {
		g := inventedSizes(4, 3)
		for j := range g.NotCarried {
			for i := range g.NotCarried[j] {
				g.NotCarried[j][i] = share
			}
		}
		p, err := SizeMap(g)
		require.NoError(t, err)
		assert.Contains(t, textsOf(p.Structure()), word)
	}
}
