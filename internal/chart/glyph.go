package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/vg"
)

func line2(a, b vg.Point) []vg.Point { return []vg.Point{a, b} }

// glyph draws the k-th of a row of signs that differ in shape and in colour.
func (n *nib) glyph(k int, at vg.Point, radiusMM float64) {
	fill := glyphColours[(k+k/len(glyphShapes))%len(glyphColours)]
	corners := glyphShapes[k%len(glyphShapes)]
	if corners == nil {
		n.circle(at, radiusMM, fill, ink, thinPt)
		return
	}
	pts := make([]vg.Point, len(corners))
	for i, c := range corners {
		pts[i] = at.Add(mm(c[0]*radiusMM, c[1]*radiusMM))
	}
	n.polygon(pts, fill)
	n.polygonOutline(pts, ink, thinPt)
}

var glyphColours = []color.NRGBA{blue, green, yellow, purple, orange, skyBlue}

// lineColours are those that stand out as a line on white; vermillion and
// dashes alone are kept for limits.
var lineColours = []color.NRGBA{blue, green, ink, purple, orange, skyBlue}

var lineDashes = [][]vg.Length{nil, dotted, {6, 1.5, 1, 1.5}, {1, 3}, {10, 2}, {6, 1.5, 1, 1.5, 1, 1.5}}

// glyphShapes hold corners in units of the radius; the first is the circle.
var glyphShapes = [10][][2]float64{
	nil,
	{{-0.9, -0.9}, {0.9, -0.9}, {0.9, 0.9}, {-0.9, 0.9}},
	{{-1.1, -0.8}, {1.1, -0.8}, {0, 1.15}},
	{{0, -1.25}, {1.25, 0}, {0, 1.25}, {-1.25, 0}},
	{{-1.1, 0.8}, {0, -1.15}, {1.1, 0.8}},
	{
		{-0.45, -1.2},
		{0.45, -1.2},
		{0.45, -0.45},
		{1.2, -0.45},
		{1.2, 0.45},
		{0.45, 0.45},
		{0.45, 1.2},
		{-0.45, 1.2},
		{-0.45, 0.45},
		{-1.2, 0.45},
		{-1.2, -0.45},
		{-0.45, -0.45},
	},
	{{-0.9, -1.1}, {1.1, 0}, {-0.9, 1.1}},
	{{0.9, -1.1}, {-1.1, 0}, {0.9, 1.1}},
	{{-1.2, -1}, {0, 0}, {-1.2, 1}, {1.2, 1}, {0, 0}, {1.2, -1}},
	{{-0.5, -1.25}, {0.5, -1.25}, {0.5, 1.25}, {-0.5, 1.25}},
}

// fiveStar marks the best of a field.
func (n *nib) fiveStar(at vg.Point, radiusMM float64) {
	pts := make([]vg.Point, 10)
	for i := range pts {
		r := radiusMM
		if i%2 == 1 {
			r *= 0.45
		}
		sin, cos := math.Sincos(math.Pi/2 + float64(i)*math.Pi/5)
		pts[i] = at.Add(mm(r*cos, r*sin))
	}
	n.polygon(pts, yellow)
	n.polygonOutline(pts, ink, rulePt)
}

// corner marks the upper right corner of a cell.
func (n *nib) corner(at vg.Point, sizeMM float64, c color.Color) {
	n.polygon([]vg.Point{at.Add(mm(-0.25, -0.25)), at.Add(mm(-sizeMM, -0.25)), at.Add(mm(-0.25, -sizeMM))}, c)
}
