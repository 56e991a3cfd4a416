package quote

import (
	"fmt"

	"codeberg.org/go-pdf/fpdf"

	"tripsim/internal/report"
)

// Spaces below blocks, mm.
const (
	afterBody  = 2.0
	afterBlock = 4.5
	textMM     = 165.0 // longest line of running text
	listIndent = 5.0
	labelMM    = 34.0 // of facts
)

func (p *pdf) block(b Block) {
	switch v := b.(type) {
	case Paragraph:
		p.paragraph(v)
	case List:
		p.list(v)
	case Facts:
		p.facts(v.Facts)
		p.y += afterBody
	case Callout:
		p.callout(v)
	case Figures:
		p.figures(v)
	case *Table:
		p.table(v)
	case Picture:
		p.picture(v)
	}
}

func paragraphStyle(k ParagraphKind) style {
	switch k {
	case Note:
		return noteStyle
	case Head:
		return headStyle
	}
	return bodyStyle
}

func (p *pdf) textWidth() float64 { return min(textMM, p.right-p.left) }

func (p *pdf) paragraph(v Paragraph) {
	if v.Kind == Head && p.y > p.top {
		p.y += 2
	}
	p.write(v.Text, paragraphStyle(v.Kind), p.left, p.textWidth())
	p.y += afterBody
}

// firstPart is how much of a block has to stay with the heading above it, mm.
func (p *pdf) firstPart(b Block) float64 {
	switch v := b.(type) {
	case Paragraph:
		s := paragraphStyle(v.Kind)
		return float64(min(3, len(p.lines(v.Text, s, p.textWidth())))) * s.leadMM
	case List:
		if len(v.Items) > 0 {
			return p.heightOf(p.lines(v.Items[0], bodyStyle, p.textWidth()-listIndent), bodyStyle)
		}
	case *Table:
		return p.tableTop(v)
	}
	return p.wholeHeight(b)
}

// wholeHeight is the height of a block that is not broken, mm.
func (p *pdf) wholeHeight(b Block) float64 {
	switch v := b.(type) {
	case Paragraph:
		s := paragraphStyle(v.Kind)
		return p.heightOf(p.lines(v.Text, s, p.textWidth()), s) + afterBody
	case Picture:
		w, h := p.pictureSize(v)
		return h + p.heightOf(p.lines(p.pictureCaption(v), noteStyle, w), noteStyle) + 1.5
	case List:
		height := afterBody
		for _, item := range v.Items {
			height += p.heightOf(p.lines(item, bodyStyle, p.textWidth()-listIndent), bodyStyle) + 1.1
		}
		return height
	case Facts:
		height := 1 + afterBody
		for _, f := range v.Facts {
			_, _, h := p.factLines(f)
			height += h + 0.3
		}
		return height
	}
	return 20
}

func (p *pdf) list(v List) {
	for _, item := range v.Items {
		lines := p.lines(item, bodyStyle, p.textWidth()-listIndent)
		p.need(min(p.heightOf(lines, bodyStyle), 4*bodyStyle.leadMM))
		p.sign(v.Mark, p.left+0.5, p.y+p.baseline(bodyStyle))
		for _, l := range lines {
			p.need(bodyStyle.leadMM)
			p.put(l, p.left+listIndent, p.y+p.baseline(bodyStyle), bodyStyle)
			p.y += bodyStyle.leadMM
		}
		p.y += 1.1
	}
	p.y += afterBody
}

// sign stands in front of a line of a list, on its baseline.
func (p *pdf) sign(m report.Mark, x, base float64) {
	switch m {
	case report.BadMark:
		p.pennant(x, base)
	case report.WarnMark:
		p.shape(accent, "F", [2]float64{x, base - 2.3}, [2]float64{x + 1.9, base - 1.2}, [2]float64{x, base - 0.1})
	default:
		p.shape(ink, "F", [2]float64{x, base - 1.7}, [2]float64{x + 1, base - 1.7}, [2]float64{x + 1, base - 0.7}, [2]float64{x, base - 0.7})
	}
}

// pennant is the flag of a flat day, standing on a baseline.
func (p *pdf) pennant(x, base float64) {
	p.doc.SetDrawColor(ink[0], ink[1], ink[2])
	p.doc.SetLineWidth(0.15)
	p.shape(flagRed, "FD", [2]float64{x, base - 2.6}, [2]float64{x + 1.9, base - 1.85}, [2]float64{x, base - 1.1})
	p.line(x, base, x, base-2.6, ink, 0.25)
}

func (p *pdf) shape(c colour, how string, corners ...[2]float64) {
	points := make([]fpdf.PointType, len(corners))
	for i, k := range corners {
		points[i] = fpdf.PointType{X: k[0], Y: k[1]}
	}
	p.doc.SetFillColor(c[0], c[1], c[2])
	p.doc.Polygon(points, how)
}

// facts are labels and values in two columns.
func (p *pdf) facts(facts []Fact) {
	s := bodyStyle
	for _, f := range facts {
		labels, values, height := p.factLines(f)
		p.need(min(height, p.bottom-p.top))
		p.column(labels, p.left, p.y+0.5, s.in(muted))
		p.column(values, p.left+labelMM, p.y+0.5, s)
		p.y += height
		p.line(p.left, p.y, p.right, p.y, hair, 0.15)
		p.y += 0.3
	}
	p.y += 1
}

func (p *pdf) factLines(f Fact) (labels, values []textLine, height float64) {
	labels = p.lines(plain(f.Label), bodyStyle.in(muted), labelMM-3)
	values = p.lines(f.Value, bodyStyle, p.right-p.left-labelMM)
	return labels, values, max(p.heightOf(labels, bodyStyle), p.heightOf(values, bodyStyle)) + 1.4
}

// callout is the box with the answer; a double bar marks bad news.
func (p *pdf) callout(c Callout) {
	const bar, pad = 2.4, 5.0
	labelStyle, titled, main, back := size(8.5).bold().in(accent), size(15).bold().tight(), accent, tint
	if c.Mark == report.BadMark {
		labelStyle, main, back = labelStyle.in(alert), alert, warm
	}
	width := p.right - p.left - bar - 2*pad
	titles := p.lines(c.Title, titled, width)
	height := 3.5 + labelStyle.leadMM + 0.5 + p.heightOf(titles, titled) + 2
	var texts [][]textLine
	for _, t := range c.Texts {
		lines := p.lines(t, bodyStyle, width)
		texts = append(texts, lines)
		height += p.heightOf(lines, bodyStyle) + 1.8
	}
	height += 2
	p.need(height)
	p.fill(p.left, p.y, p.right-p.left, height, back)
	p.fill(p.left, p.y, bar, height, main)
	if c.Mark == report.BadMark {
		p.fill(p.left+bar/3, p.y, bar/3, height, white)
	}
	x, y := p.left+bar+pad, p.y+3.5
	p.column(p.lines(plain(c.Label), labelStyle, width), x, y, labelStyle)
	y += labelStyle.leadMM + 0.5
	p.column(titles, x, y, titled)
	y += p.heightOf(titles, titled) + 2
	for _, lines := range texts {
		p.column(lines, x, y, bodyStyle)
		y += p.heightOf(lines, bodyStyle) + 1.8
	}
	p.y += height + 4
}

// figures are large numbers side by side.
func (p *pdf) figures(v Figures) {
	const gap = 5.0
	n := float64(len(v.Figures))
	if n == 0 {
		return
	}
	width := (p.right - p.left - gap*(n-1)) / n
	number, label, note := size(17).bold().tight(), bodyStyle.bold(), noteStyle
	height := 0.0
	for _, f := range v.Figures {
		height = max(height, 1.5+number.leadMM+p.heightOf(p.lines(plain(f.Label), label, width), label)+
			p.heightOf(p.lines(plain(f.Note), note, width), note))
	}
	p.need(height)
	for i, f := range v.Figures {
		x, y := p.left+float64(i)*(width+gap), p.y
		p.line(x, y, x+width, y, accent, 0.3)
		y += 1.5
		value, s := plain(f.Value), number
		for len(p.lines(value, s, width)) > 1 && s.sizePt > 8 {
			s = s.smaller(1)
		}
		p.put(p.oneLine(value, s, width), x, y+p.baseline(number), s)
		y += number.leadMM
		lines := p.lines(plain(f.Label), label, width)
		p.column(lines, x, y, label)
		y += p.heightOf(lines, label)
		p.column(p.lines(plain(f.Note), note, width), x, y, note)
	}
	p.y += height + afterBlock
}

// pictureSize is the width and height of a picture on the page, mm: never
// wider or higher than there is room, never enlarged.
func (p *pdf) pictureSize(v Picture) (w, h float64) {
	w, h = v.Drawing.WidthMM, v.Drawing.HeightMM
	k := min(1, (p.right-p.left)/w, (p.bottom-p.top-30)/h)
	return w * k, h * k
}

func (p *pdf) pictureCaption(v Picture) Text {
	return sentences(strong(plain(fmt.Sprintf(textFigure, v.Number))), v.Caption)
}

// picture is painted as lines and letters.
func (p *pdf) picture(v Picture) {
	w, h := p.pictureSize(v)
	caption := p.lines(p.pictureCaption(v), noteStyle, p.right-p.left)
	p.need(h + 1.5 + p.heightOf(caption, noteStyle))
	v.Drawing.PaintPDF(p.doc, p.left, p.y, w)
	p.sizePt = 0 // the drawing has its own faces
	p.y += h + 1.5
	p.column(caption, p.left, p.y, noteStyle)
	p.y += p.heightOf(caption, noteStyle) + afterBlock
}
