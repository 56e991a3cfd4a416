package chart

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestContourOfAConeIsACircle(t *testing.T) {
	const n, radius = 61, 20.0
	var xs []float64
	var z [][]float64
	for i := range n {
		xs = append(xs, float64(i)-30)
	}
	for j := range n {
		line := make([]float64, n)
		for i := range n {
			line[i] = math.Hypot(xs[i], xs[j])
		}
		z = append(z, line)
	}
	lines := contours(xs, xs, z, radius)
	require.Len(t, lines, 1)
	ring := lines[0]
	assert.Equal(t, ring[0], ring[len(ring)-1], "closed")
	for _, p := range ring {
		assert.InDelta(t, radius, math.Hypot(p.x, p.y), 0.01)
	}
}

func TestContoursCrossEachCellEdgeOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nx, ny := rapid.IntRange(2, 7).Draw(t, "nx"), rapid.IntRange(2, 7).Draw(t, "ny")
		xs, ys := make([]float64, nx), make([]float64, ny)
		for i := range xs {
			xs[i] = float64(i)
		}
		for j := range ys {
			ys[j] = float64(j)
		}
		z := make([][]float64, ny)
		for j := range z {
			z[j] = rapid.SliceOfN(rapid.Float64Range(0, 1), nx, nx).Draw(t, "z")
		}
		level := rapid.Float64Range(0.01, 0.99).Draw(t, "level")
		for _, row := range z {
			if slices.Contains(row, level) {
				t.Skip("a line through a grid point meets several edges in one point")
			}
		}
		crossings := 0
		for j := range ny {
			for i := range nx {
				if i+1 < nx && (z[j][i] >= level) != (z[j][i+1] >= level) {
					crossings++
				}
				if j+1 < ny && (z[j][i] >= level) != (z[j+1][i] >= level) {
					crossings++
				}
			}
		}
		got := 0
		for _, line := range contours(xs, ys, z, level) {
			got += len(line)
			if line[0] == line[len(line)-1] {
				got--
			}
		}
		require.Equal(t, crossings, got)
	})
}
