package quote

import (
	"slices"

	"tripsim/internal/report"
)

// grid is a table laid out for a width.
type grid struct {
	t      *Table
	s      style
	padMM  float64 // left and right of a cell
	airMM  float64 // above and below
	widths []float64
	head   [][]textLine
	badges bool
}

// Widths that a column is given at least and at most before it wraps, mm.
const (
	wordMost = 26.0
	cellMost = 62.0
	flagMM   = 3.0
)

// layGrid finds column widths: what the longest word needs, and a share of what
// the longest text would like. A table that is still too wide is set smaller,
// and at last its words are broken.
func (p *pdf) layGrid(t *Table) *grid {
	g := &grid{t: t, s: cellStyle, padMM: 1.6, airMM: 1.0}
	if t.Dense {
		g.s, g.padMM, g.airMM = denseStyle, 1.1, 0.65
	}
	total := p.right - p.left
	for {
		least, liked := p.measure(g)
		if sum(least) <= total || g.s.sizePt <= 6.5 {
			g.widths = share(least, liked, total)
			if t.Even {
				g.level(least, total)
			}
			break
		}
		g.s, g.padMM = g.s.smaller(0.25), max(0.7, g.padMM-0.15)
	}
	for i := range t.Columns {
		g.badges = g.badges || t.Columns[i].Badge != ""
		g.head = append(g.head, p.lines(t.Columns[i].Head, g.s.bold(), g.inner(i)))
	}
	return g
}

// level makes all columns but the first equally wide, where words allow it.
func (g *grid) level(least []float64, total float64) {
	n := len(least) - 1
	first := min(g.widths[0], total*0.3)
	width := min((total-first)/float64(n), total*0.27)
	if first < least[0] || slices.Max(least[1:]) > width {
		return
	}
	g.widths[0] = total - width*float64(n)
	for i := range n {
		g.widths[i+1] = width
	}
}

func (g *grid) inner(i int) float64 { return g.widths[i] - 2*g.padMM }

// measure gives for each column the width of its longest word and of its
// longest text, with the padding.
func (p *pdf) measure(g *grid) (least, liked []float64) {
	n := len(g.t.Columns)
	least, liked = make([]float64, n), make([]float64, n)
	note := func(i int, t Text, s style, extra float64) {
		whole, word := 0.0, 0.0
		for _, l := range p.set.letters(styled(t, s)) {
			w := p.letterMM(l, s)
			whole += w
			if word += w; l.r == ' ' {
				word = 0
			}
			least[i] = max(least[i], min(word, wordMost)+2*g.padMM+extra)
		}
		liked[i] = max(liked[i], min(whole, cellMost)+2*g.padMM+extra+0.1)
	}
	for i := range g.t.Columns {
		note(i, g.t.Columns[i].Head, g.s.bold(), 0)
		if b := g.t.Columns[i].Badge; b != "" {
			note(i, plain(b), badgeStyle(g.s).bold(), 2.4)
		}
	}
	for r := range g.t.Rows {
		row := &g.t.Rows[r]
		if row.Kind == GroupRow {
			continue
		}
		for i, cell := range row.Cells {
			extra := 0.0
			if i == 0 && row.Mark == report.BadMark {
				extra = flagMM
			}
			note(i, cell, rowStyle(g.s, row), extra)
		}
	}
	for i := range least {
		liked[i] = max(liked[i], least[i])
	}
	return least, liked
}

func badgeStyle(s style) style { return size(max(6.5, s.sizePt-1.2)).tight() }

func rowStyle(s style, r *Row) style {
	if r.Kind != PlainRow {
		return s.bold()
	}
	return s
}

func sum(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s += x
	}
	return s
}

// share spreads a width over columns between what they need and what they like.
func share(least, liked []float64, total float64) []float64 {
	out := make([]float64, len(least))
	need, like := sum(least), sum(liked)
	for i := range out {
		switch {
		case need >= total:
			out[i] = least[i] * total / need
		case like <= total:
			out[i] = liked[i] * total / like
		default:
			out[i] = least[i] + (liked[i]-least[i])*(total-need)/(like-need)
		}
	}
	return out
}

// headHeight is the height of the row of heads.
func (p *pdf) headHeight(g *grid) float64 {
	lines := 1
	for _, h := range g.head {
		lines = max(lines, len(h))
	}
	h := float64(lines)*g.s.leadMM + 2*g.airMM + 0.6
	if g.badges {
		h += badgeStyle(g.s).leadMM + 1.4
	}
	return h
}

// laidRow is a row broken into lines.
type laidRow struct {
	cells  [][]textLine
	height float64
}

func (p *pdf) layRow(g *grid, r *Row) laidRow {
	var out laidRow
	s := rowStyle(g.s, r)
	lines := 1
	for i, cell := range r.Cells {
		width := g.inner(i)
		if r.Kind == GroupRow {
			width = sum(g.widths) - 2*g.padMM
		}
		if i == 0 && r.Mark == report.BadMark {
			width -= flagMM
		}
		c := p.lines(cell, s, width)
		out.cells = append(out.cells, c)
		lines = max(lines, len(c))
	}
	out.height = float64(lines)*g.s.leadMM + 2*g.airMM
	if r.Kind == GroupRow {
		out.height += 1.6
	}
	return out
}

// keptShare is how much of a page a table may fill and still be kept whole; a
// comparison, whose columns are read downwards, may fill more.
const (
	keptShare     = 0.55
	keptEvenShare = 0.85
)

// tableTop is what of a table must not be torn, nor torn from the heading
// above: all of it when it is small, else caption, heads and first rows.
func (p *pdf) tableTop(t *Table) float64 {
	g := p.layGrid(t)
	h := p.heightOf(p.lines(t.Caption, captionStyle, p.right-p.left), captionStyle) + 2 + p.headHeight(g)
	top := 0.0
	for i := range t.Rows {
		if i == min(3, len(t.Rows)-1) {
			top = h
		}
		h += p.layRow(g, &t.Rows[i]).height
	}
	kept := keptShare
	if t.Even {
		kept = keptEvenShare
	}
	if h += p.notesHeight(t); h <= kept*(p.bottom-p.top) {
		return h
	}
	return top
}

func (p *pdf) notesHeight(t *Table) float64 {
	h := 1.2
	for _, n := range t.Notes {
		h += p.heightOf(p.lines(n, noteStyle, p.right-p.left), noteStyle) + 0.6
	}
	return h
}

// table draws caption, heads (again on every page), rows and notes. A row is
// never torn; the row of sums and a group's title stay with their neighbours.
func (p *pdf) table(t *Table) {
	g := p.layGrid(t)
	caption := p.lines(t.Caption, captionStyle, p.right-p.left)
	p.need(p.tableTop(t))
	p.column(caption, p.left, p.y, captionStyle)
	p.y += p.heightOf(caption, captionStyle) + 1.2
	p.drawHead(g)
	rows := make([]laidRow, len(t.Rows))
	for i := range t.Rows {
		rows[i] = p.layRow(g, &t.Rows[i])
	}
	for i := range rows {
		keep := rows[i].height
		if i+1 < len(rows) && (t.Rows[i].Kind == GroupRow || t.Rows[i+1].Kind == TotalRow) {
			keep += rows[i+1].height
		}
		if i == max(0, len(rows)-2) { // the last rows stay with the notes
			keep = rows[i].height + p.notesHeight(t)
			if i+1 < len(rows) {
				keep += rows[i+1].height
			}
		}
		if p.y+min(keep, p.bottom-p.top-p.headHeight(g)) > p.bottom {
			p.closeTable(g)
			p.newPage()
			p.drawHead(g)
		}
		p.drawRow(g, &t.Rows[i], rows[i], i == 0)
	}
	p.closeTable(g)
	p.y += 1.2
	for _, n := range t.Notes {
		p.write(n, noteStyle, p.left, p.right-p.left)
		p.y += 0.6
	}
	p.y += afterBlock - 0.6
}

// closeTable draws the line below the last row on a page.
func (p *pdf) closeTable(g *grid) {
	p.line(p.left, p.y, p.right, p.y, ink, 0.3)
	if b := g.t.Best; b > 0 {
		x := p.left + sum(g.widths[:b])
		p.line(x, p.y, x+g.widths[b], p.y, accent, 0.7)
	}
}

func (p *pdf) drawHead(g *grid) {
	height := p.headHeight(g)
	p.bestBox(g, height)
	p.line(p.left, p.y, p.right, p.y, ink, 0.3)
	s := g.s.bold()
	x := p.left
	for i, lines := range g.head {
		y := p.y + height - g.airMM - 0.3 - p.heightOf(lines, s)
		p.cell(lines, x, y, g, i, s)
		if badge := g.t.Columns[i].Badge; badge != "" {
			bs := badgeStyle(g.s).bold().in(white)
			l := p.oneLine(plain(badge), bs, g.widths[i])
			p.fill(x+g.padMM, p.y+1.2, p.width(l, bs)+2.4, bs.leadMM+0.4, accent)
			p.put(l, x+g.padMM+1.2, p.y+1.4+p.baseline(bs), bs)
		}
		x += g.widths[i]
	}
	if b := g.t.Best; b > 0 {
		bx := p.left + sum(g.widths[:b])
		p.line(bx, p.y, bx+g.widths[b], p.y, accent, 0.7)
	}
	p.y += height
	p.line(p.left, p.y, p.right, p.y, ink, 0.2)
}

// bestBox is the ground and the sides of the recommended column.
func (p *pdf) bestBox(g *grid, height float64) {
	b := g.t.Best
	if b <= 0 {
		return
	}
	x := p.left + sum(g.widths[:b])
	p.fill(x, p.y, g.widths[b], height, tint)
	p.line(x, p.y, x, p.y+height, accent, 0.5)
	p.line(x+g.widths[b], p.y, x+g.widths[b], p.y+height, accent, 0.5)
}

func (p *pdf) drawRow(g *grid, r *Row, laid laidRow, first bool) {
	switch {
	case r.Kind == GroupRow:
	case r.Mark == report.BadMark:
		p.fill(p.left, p.y, p.right-p.left, laid.height, warm)
	case r.Mark == report.GoodMark:
		p.fill(p.left, p.y, p.right-p.left, laid.height, tint)
	}
	p.bestBox(g, laid.height)
	if r.Kind == TotalRow {
		p.line(p.left, p.y, p.right, p.y, ink, 0.2)
	} else if !first {
		p.line(p.left, p.y, p.right, p.y, hair, 0.15)
	}
	s := rowStyle(g.s, r)
	y := p.y + g.airMM
	if r.Kind == GroupRow {
		p.column(laid.cells[0], p.left+g.padMM/2, y+1.6, s.in(accent))
		p.y += laid.height
		return
	}
	x := p.left
	for i, lines := range laid.cells {
		shift := 0.0
		if i == 0 && r.Mark == report.BadMark {
			p.pennant(x+g.padMM/2+0.2, y+p.baseline(s))
			shift = flagMM
		}
		p.cell(lines, x+shift, y, g, i, s)
		x += g.widths[i]
	}
	p.y += laid.height
}

// cell sets the lines of a cell, numbers to the right.
func (p *pdf) cell(lines []textLine, x, y float64, g *grid, i int, s style) {
	pad := g.padMM
	if i == 0 {
		pad /= 2
	}
	for _, l := range lines {
		left := x + pad
		if g.t.Columns[i].Numbers {
			left = x + g.widths[i] - g.padMM - p.width(l, s)
		}
		p.put(l, left, y+p.baseline(s), s)
		y += s.leadMM
	}
}
