package chart

import (
	"image"
	"image/color"
	"math"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// Structure is what a picture consists of, for tests and for people who want
// to know: texts and marks with their places, mm from the top-left corner.
type Structure struct {
	WidthMM, HeightMM float64
	Texts             []TextMark
	Marks             []Mark
}

// TextMark is one text as drawn.
type TextMark struct {
	Text   string
	SizePt float64
	Bold   bool
	Colour color.NRGBA
	Box    Box
}

// Mark is everything drawn under one kind at one time.
type Mark struct {
	Kind  string
	Paths int
	Box   Box
}

// Box is a rectangle on the page, mm from the top-left corner, y downwards.
type Box struct{ Left, Top, Right, Bottom float64 }

// Overlaps reports whether two boxes share an area.
func (b Box) Overlaps(o Box) bool {
	return b.Left < o.Right && o.Left < b.Right && b.Top < o.Bottom && o.Top < b.Bottom
}

// Within reports whether b lies in o.
func (b Box) Within(o Box) bool {
	return b.Left >= o.Left && b.Right <= o.Right && b.Top >= o.Top && b.Bottom <= o.Bottom
}

func (b Box) grow(mm float64) Box {
	return Box{b.Left - mm, b.Top - mm, b.Right + mm, b.Bottom + mm}
}

var emptyBox = Box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}

func (b *Box) include(x, y float64) {
	b.Left, b.Right = min(b.Left, x), max(b.Right, x)
	b.Top, b.Bottom = min(b.Top, y), max(b.Bottom, y)
}

// Count returns how many marks of a kind there are.
func (s *Structure) Count(kind string) int {
	n := 0
	for _, m := range s.Marks {
		if m.Kind == kind {
			n++
		}
	}
	return n
}

// Structure paints the picture on a canvas that only takes notes.
func (p *Picture) Structure() *Structure {
	c := &noteCanvas{pen: newPen(topLeft(p.heightPt()))}
	p.paint(c)
	return &Structure{WidthMM: p.WidthMM, HeightMM: p.HeightMM, Texts: c.texts, Marks: c.marks}
}

// noteCanvas is a vg.Canvas that records what is drawn.
type noteCanvas struct {
	pen
	texts    []TextMark
	typeface font.Typeface // of the last text
	marks    []Mark
	open     []Mark
}

func (c *noteCanvas) beginMark(kind string) { c.open = append(c.open, Mark{Kind: kind, Box: emptyBox}) }

func (c *noteCanvas) endMark() {
	m := c.open[len(c.open)-1]
	c.open = c.open[:len(c.open)-1]
	if m.Paths > 0 {
		c.marks = append(c.marks, m)
	}
}

func (c *noteCanvas) Fill(path vg.Path) { c.note(path) }

func (c *noteCanvas) Stroke(path vg.Path) { c.note(path) }

func (c *noteCanvas) note(path vg.Path) {
	if len(c.open) == 0 {
		return
	}
	top := &c.open[len(c.open)-1]
	top.Paths++
	c.follow(path, noteTrack{&top.Box})
}

func (c *noteCanvas) FillString(f font.Face, pt vg.Point, s string) {
	size := f.Font.Size.Points()
	x, y, w := pt.X.Points(), pt.Y.Points(), f.Width(s).Points()
	box := emptyBox
	for _, corner := range [][2]float64{{x, y - descent*size}, {x + w, y - descent*size}, {x, y + capHeight*size}, {x + w, y + capHeight*size}} {
		px, py := c.now.m.apply(corner[0], corner[1])
		box.include(px*mmPerPt, py*mmPerPt)
	}
	if n := len(c.texts); n > 0 && f.Font.Typeface != c.typeface && math.Abs(box.Left-c.texts[n-1].Box.Right) < 1e-6 && box.Top == c.texts[n-1].Box.Top {
		last := &c.texts[n-1] // the same text goes on in another face
		last.Text += s
		last.Box.Right = box.Right
		c.typeface = f.Font.Typeface
		return
	}
	c.typeface = f.Font.Typeface
	c.texts = append(c.texts, TextMark{s, size, f.Font.Weight >= xfont.WeightBold, c.now.colour, box})
}

// DrawImage is part of vg.Canvas.
func (c *noteCanvas) DrawImage(vg.Rectangle, image.Image) {}

const mmPerPt = 25.4 / 72

type noteTrack struct{ box *Box }

func (t noteTrack) move(x, y float64) { t.box.include(x*mmPerPt, y*mmPerPt) }
func (t noteTrack) line(x, y float64) { t.box.include(x*mmPerPt, y*mmPerPt) }
func (t noteTrack) shut()             {}
func (t noteTrack) cube(_, _, _, _, x, y float64) { // the curves here bulge less than a pen's width
	t.box.include(x*mmPerPt, y*mmPerPt)
}
