package chart

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"
)

func TestHatchesStayInTheirRectangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := func(name string) vg.Length { return vg.Length(rapid.Float64Range(-200, 600).Draw(t, name)) }
		x, y := at("x"), at("y")
		r := vg.Rectangle{Min: vg.Point{X: x, Y: y}, Max: vg.Point{X: x + vg.Length(rapid.Float64Range(0.1, 300).Draw(t, "w")), Y: y + vg.Length(rapid.Float64Range(0.1, 300).Draw(t, "h"))}}
		var path vg.Path
		diagonals(&path, r, 1)
		diagonals(&path, r, -1)
		levels(&path, r)
		speckle(&path, r)
		for _, c := range path {
			if c.Type == vg.CloseComp {
				continue
			}
			require.True(t, c.Pos.X >= r.Min.X-1e-6 && c.Pos.X <= r.Max.X+1e-6 && c.Pos.Y >= r.Min.Y-1e-6 && c.Pos.Y <= r.Max.Y+1e-6)
		}
	})
}

// Okabe & Ito (2008), "Color Universal Design": the published sRGB values.
func TestColoursAreThePublishedOnes(t *testing.T) {
	for want, got := range map[[3]uint8]color.NRGBA{
		{230, 159, 0}: orange, {86, 180, 233}: skyBlue, {0, 158, 115}: green, {240, 228, 66}: yellow,
		{0, 114, 178}: blue, {213, 94, 0}: vermillion, {204, 121, 167}: purple,
	} {
		assert.Equal(t, want, [3]uint8{got.R, got.G, got.B})
	}
}

// WCAG 2.1: black on white is 21:1; #767676 on white is the lightest grey that
// reaches 4.5:1 (W3C, Understanding success criterion 1.4.3; from memory).
func TestContrastRatio(t *testing.T) {
	assert.InDelta(t, 21, contrast(rgb(0), paper), 1e-9)
	assert.InDelta(t, 4.54, contrast(rgb(0x767676), paper), 0.005)
	assert.Less(t, contrast(rgb(0x777777), paper), 4.5)
	assert.GreaterOrEqual(t, contrast(mutedInk, paper), 7.0)
	for i := range 101 {
		shade := riskRamp.at(float64(i) / 100)
		assert.GreaterOrEqual(t, contrast(inkOn(shade), shade), 4.5)
	}
}

func TestRampsKeepTheirOrderInGrey(t *testing.T) {
	for _, r := range []ramp{riskRamp, sunRamp} {
		last := 2.0
		for i := range 101 {
			l := luminance(r.at(float64(i) / 100))
			assert.LessOrEqual(t, l, last)
			last = l
		}
	}
}

func TestNoTwoLayersOfAStackShareAPattern(t *testing.T) {
	for _, stack := range [][]energyPart{energyIn, energyOut} {
		seen := map[pattern]string{}
		for _, p := range stack {
			if p.look.pattern == plain && p.edge {
				continue // dashed outline
			}
			key := p.look.pattern
			if other, dup := seen[key]; dup {
				a, b := p.look.fill.(color.NRGBA), lookOf(stack, other).fill.(color.NRGBA)
				assert.Greater(t, contrast(a, b), 1.25, "%s and %s", p.name, other)
			}
			seen[key] = p.name
		}
	}
}

func lookOf(stack []energyPart, name string) look {
	for _, p := range stack {
		if p.name == name {
			return p.look
		}
	}
	return look{fill: paper}
}
