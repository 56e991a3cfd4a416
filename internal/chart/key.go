package chart

import (
	"image/color"

	"gonum.org/v1/plot/vg"
)

// keyEntry is a swatch and its name, for pictures whose parts are too many or
// too narrow to be labelled in place.
type keyEntry struct {
	name   string
	look   look
	dash   bool        // outline dashed
	colour color.Color // outline; ink when nil
	line   bool        // a line instead of a box
}

// key writes a heading and entries in rows of widthMM and returns the height.
func key(sheet *frame, x, y, widthMM float64, heading string, entries []keyEntry) float64 {
	const swatch, gap = 5.0, 4.0
	if len(entries) == 0 {
		return y
	}
	line := smallLetter.heightMM() + 1.2
	at := x
	base := y + smallLetter.heightMM() - descentMM(smallLetter)
	if heading != "" {
		sheet.text(alertLetter, at, base, heading, atLeft)
		at += alertLetter.widthMM(heading) + 3
	}
	start := at
	for _, e := range entries {
		w := swatch + 1 + inkLetter.widthMM(e.name)
		if at+w > x+widthMM && at > start {
			at = start
			base += line
			y += line
		}
		left := at
		top, bottom := base-2.4, base+0.2
		sheet.add("key", func(n *nib) { n.swatch(e, n.rect(left, top, left+swatch, bottom)) })
		sheet.text(inkLetter, left+swatch+1, base, e.name, atLeft)
		at += w + gap
	}
	return base + descentMM(smallLetter) + 0.8
}

func (n *nib) swatch(e keyEntry, r vg.Rectangle) {
	edge := e.colour
	if edge == nil {
		edge = ink
	}
	var dash []vg.Length
	if e.dash {
		dash = []vg.Length{2, 1.2}
	}
	if e.line {
		mid := (r.Min.Y + r.Max.Y) / 2
		n.strokePoints([]vg.Point{{X: r.Min.X, Y: mid}, {X: r.Max.X, Y: mid}}, edge, strongPt, dash)
		return
	}
	n.fillLook(e.look, r)
	n.outline(r, edge, thinPt, dash)
}
