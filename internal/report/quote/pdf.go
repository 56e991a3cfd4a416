package quote

import (
	"bytes"
	"fmt"
	"maps"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// colour is a colour of the document, red, green and blue.
type colour [3]int

// The colours; all texts have at least 7:1 on white and 4.5:1 on the tints.
var (
	ink     = colour{0x1a, 0x1a, 0x1a}
	muted   = colour{0x4d, 0x4d, 0x4d}
	accent  = colour{0x12, 0x3f, 0x63}
	rule    = colour{0xc9, 0xce, 0xd6}
	hair    = colour{0xe2, 0xe5, 0xea}
	tint    = colour{0xee, 0xf4, 0xf9}
	warm    = colour{0xfb, 0xf1, 0xea}
	alert   = colour{0xa6, 0x3e, 0x00}
	flagRed = colour{0xd5, 0x5e, 0x00}
	white   = colour{0xff, 0xff, 0xff}
)

// style is how a text is set. leadMM is from line to line.
type style struct {
	sizePt float64
	strong bool
	colour colour
	leadMM float64
}

func size(pt float64) style { return style{sizePt: pt, colour: ink, leadMM: pt * 0.352778 * 1.38} }

func (s style) bold() style       { s.strong = true; return s }
func (s style) in(c colour) style { s.colour = c; return s }
func (s style) tight() style      { s.leadMM = s.sizePt * 0.352778 * 1.2; return s }
func (s style) ascentMM() float64 { return s.sizePt * 0.352778 * 0.73 }
func (s style) smaller(by float64) style {
	s.leadMM *= (s.sizePt - by) / s.sizePt
	s.sizePt -= by
	return s
}

// The scale of type.
var (
	bodyStyle     = size(9.5)
	noteStyle     = size(8).in(muted)
	captionStyle  = size(8.5).bold().tight()
	cellStyle     = size(8.3).tight()
	denseStyle    = size(7.5).tight()
	headingStyle  = size(13.5).bold().in(accent).tight()
	headStyle     = size(10).bold().in(accent).tight()
	titleStyle    = size(21).bold().in(accent).tight()
	kindStyle     = size(10.5).in(muted)
	footStyle     = size(8).in(muted)
	colophonStyle = size(7.5).in(muted)
)

// Margins of a page, mm.
const (
	sideMM   = 20.0
	topMM    = 22.0
	bottomMM = 20.0
	footMM   = 11.0 // baseline of the foot above the edge of the paper
)

// pdf is a document being laid out.
type pdf struct {
	doc                      *fpdf.Fpdf
	d                        *Document
	set                      *typesetter
	face                     face
	sizePt                   float64
	more                     bool // the fallback face is in the file
	left, right, top, bottom float64
	y                        float64
	pages                    int            // in all; 0 = not yet known
	pageOf                   map[string]int // of every section, as laid out before
	begun                    map[string]int // and now
	links                    map[string]int
	note                     bool // the note on missing letters stands in the document
}

// PDF paints the document as a PDF with its own typefaces, pictures drawn as
// lines and letters. It is laid out until number of pages and notes agree with
// what stands on the pages.
func (d *Document) PDF() ([]byte, error) {
	pages, note := 0, false
	var pageOf map[string]int
	for range 4 {
		p := newPDF(d, pages, note)
		p.pageOf = pageOf
		p.document()
		if err := p.doc.Error(); err != nil {
			return nil, fmt.Errorf("quote as PDF: %w", err)
		}
		if p.doc.PageCount() == pages && p.set.missing == note && maps.Equal(pageOf, p.begun) {
			var out bytes.Buffer
			if err := p.doc.Output(&out); err != nil {
				return nil, fmt.Errorf("quote as PDF: %w", err)
			}
			return out.Bytes(), nil
		}
		pages, note, pageOf = p.doc.PageCount(), p.set.missing, p.begun
	}
	return nil, fmt.Errorf("quote as PDF: the number of pages does not settle")
}

func newPDF(d *Document, pages int, note bool) *pdf {
	paper := d.Paper
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: paper.WidthMM, Ht: paper.HeightMM}})
	p := &pdf{
		doc: doc, d: d, set: newTypesetter(), pages: pages, note: note,
		left: sideMM, right: paper.WidthMM - sideMM, top: topMM, bottom: paper.HeightMM - bottomMM,
	}
	if spare := p.right - p.left - 170; spare > 0 { // pictures are 170 mm wide
		p.left += spare / 2
		p.right -= spare / 2
	}
	p.begun, p.links = map[string]int{}, map[string]int{}
	for i := range d.Sections {
		p.links[d.Sections[i].ID] = doc.AddLink()
	}
	doc.SetCatalogSort(true)
	stamp := d.Stamp.Date.Add(12 * time.Hour)
	doc.SetCreationDate(stamp)
	doc.SetModificationDate(stamp)
	doc.SetTitle(d.Stamp.Title, true)
	doc.SetAuthor(d.Stamp.Author, true)
	doc.SetSubject(d.Stamp.Subject, true)
	doc.SetCreator(d.Stamp.Program, true)
	doc.SetProducer(d.Stamp.Program, true)
	doc.SetKeywords(d.Stamp.Hash, true)
	doc.SetLang(d.Language)
	doc.SetAutoPageBreak(false, 0)
	doc.SetMargins(0, 0, 0)
	doc.SetCellMargin(0)
	doc.SetDisplayMode("fullwidth", "continuous")
	for f := range faceFiles[:fallback] {
		doc.AddUTF8FontFromBytes(faceNames[f][0], faceNames[f][1], faceFiles[f])
	}
	return p
}

// document writes everything.
func (p *pdf) document() {
	p.newPage()
	p.letterhead()
	for i := range p.d.Sections {
		p.section(&p.d.Sections[i])
		if i == 0 {
			p.contents()
		}
	}
	p.colophon()
}

// newPage begins a page with its head and foot.
func (p *pdf) newPage() {
	p.doc.AddPage()
	p.y = p.top
	n := p.doc.PageNo()
	_, height := p.doc.GetPageSize()
	y := height - footMM
	p.line(p.left, y-4.2, p.right, y-4.2, hair, 0.15)
	if p.pages > 0 {
		number := p.lines(plain(fmt.Sprintf(textPageOf, n, p.pages)), footStyle, 40)
		p.put(number[0], p.right-p.width(number[0], footStyle), y, footStyle)
	}
	p.put(p.oneLine(p.d.Running, footStyle, p.right-p.left-30), p.left, y, footStyle)
	if n > 1 {
		p.put(p.oneLine(Text{{S: p.d.Title, Name: true}}, footStyle, p.right-p.left), p.left, 13, footStyle)
	}
}

// need begins a new page unless heightMM are left on this one.
func (p *pdf) need(heightMM float64) {
	if p.y+heightMM > p.bottom && p.y > p.top {
		p.newPage()
	}
}

// letterhead is the top of the first page.
func (p *pdf) letterhead() {
	const highMM, wideMM = 16.0, 55.0
	x, base := p.left, 12.0
	if logo := p.d.Logo; logo != nil {
		w, h := wideMM, wideMM*float64(logo.HeightPx)/float64(logo.WidthPx)
		if h > highMM {
			w, h = highMM*float64(logo.WidthPx)/float64(logo.HeightPx), highMM
		}
		opt := fpdf.ImageOptions{ImageType: "PNG"}
		p.doc.RegisterImageOptionsReader("logo", opt, bytes.NewReader(logo.PNG))
		p.doc.ImageOptions("logo", x, base+(highMM-h)/2, w, h, false, opt, 0, "")
		x += w + 6
	}
	contact := p.lines(p.d.Contact, size(8.5).in(muted), 68)
	business := p.lines(p.d.Business, size(12.5).bold().tight(), p.right-x-72)
	height := max(highMM, p.heightOf(business, size(12.5).bold().tight()), p.heightOf(contact, size(8.5)))
	p.column(business, x, base+(height-p.heightOf(business, size(12.5).bold().tight()))/2, size(12.5).bold().tight())
	s := size(8.5).in(muted)
	y := base + (height-p.heightOf(contact, s))/2
	for _, l := range contact {
		p.put(l, p.right-p.width(l, s), y+p.baseline(s), s)
		y += s.leadMM
	}
	p.y = base + height + 3
	p.line(p.left, p.y, p.right, p.y, accent, 0.55)
	p.y += 8
	p.write(plain(p.d.Kind), kindStyle, p.left, p.right-p.left)
	p.y += 0.5
	p.write(Text{{S: p.d.Title, Name: true, Strong: true}}, titleStyle, p.left, p.right-p.left)
	p.y += 3
	p.facts(p.d.Facts)
	p.y += 2
}

// section is a heading and what stands below it.
func (p *pdf) section(s *Section) {
	if s.Number > 0 {
		p.heading(s)
	}
	for i, b := range s.Blocks {
		if par, ok := b.(Paragraph); ok && par.Kind == Head {
			p.need(3 + headStyle.leadMM + 2 + p.opening(s.Blocks[i+1:]))
		}
		p.block(b)
	}
}

// contents lists the sections with their pages, in two columns.
func (p *pdf) contents() {
	const gap, rowMM = 10.0, 5.6
	listed := p.d.Contents()
	if len(listed) < 3 {
		return
	}
	rows := (len(listed) + 1) / 2
	p.need(8 + float64(rows)*rowMM)
	p.y += 2
	p.write(plain(titleContents), headStyle, p.left, p.right-p.left)
	p.y += 1
	width, top, s := (p.right-p.left-gap)/2, p.y, bodyStyle
	for i, c := range listed {
		x, y := p.left+float64(i/rows)*(width+gap), top+float64(i%rows)*rowMM
		p.put(p.oneLine(plain(fmt.Sprint(c.Number)), s.in(muted), 8), x, y+p.baseline(s), s.in(muted))
		p.put(p.oneLine(plain(c.Title), s, width-18), x+8, y+p.baseline(s), s)
		if n := p.pageOf[c.ID]; n > 0 {
			page := p.oneLine(plain(fmt.Sprint(n)), s, 10)
			p.put(page, x+width-p.width(page, s), y+p.baseline(s), s)
		}
		p.line(x, y+rowMM-0.4, x+width, y+rowMM-0.4, hair, 0.15)
		p.doc.Link(x, y, width, rowMM-0.4, p.links[c.ID])
	}
	p.y = top + float64(rows)*rowMM + afterBlock
}

// heading keeps a section's title together with the beginning of its text.
func (p *pdf) heading(s *Section) {
	lines := p.lines(plain(s.Title), headingStyle, p.right-p.left-9)
	height := 9 + p.heightOf(lines, headingStyle) + 3
	keep := p.opening(s.Blocks)
	if last := &p.d.Sections[len(p.d.Sections)-1]; s == last { // the end stays in one piece
		keep = p.colophonHeight()
		for _, b := range s.Blocks {
			keep += p.wholeHeight(b)
		}
	}
	p.need(height + min(keep, (p.bottom-p.top)*0.75))
	if p.y > p.top {
		p.y += 6
	}
	p.line(p.left, p.y, p.right, p.y, accent, 0.25)
	p.y += 2.6
	p.begun[s.ID] = p.doc.PageNo()
	p.doc.SetLink(p.links[s.ID], p.y, p.doc.PageNo())
	p.doc.Bookmark(fmt.Sprintf("%d  %s", s.Number, s.Title), 0, p.y)
	p.put(p.oneLine(plain(fmt.Sprint(s.Number)), headingStyle.in(muted), 9), p.left, p.y+p.baseline(headingStyle), headingStyle.in(muted))
	p.column(lines, p.left+9, p.y, headingStyle)
	p.y += p.heightOf(lines, headingStyle) + 2.4
}

// opening is how much of some blocks has to stay with the heading above: all
// text up to the first block of another kind, and the beginning of that.
func (p *pdf) opening(blocks []Block) float64 {
	keep := 0.0
	for i, b := range blocks {
		par, ok := b.(Paragraph)
		if !ok || i+1 == len(blocks) {
			return keep + p.firstPart(b)
		}
		keep += p.wholeHeight(b)
		if par.Kind == Head {
			keep += 2
		}
	}
	return keep
}

// colophon closes the document.
func (p *pdf) colophon() {
	lines, s := p.colophonTexts(), colophonStyle
	p.need(p.colophonHeight())
	p.y += 4
	p.line(p.left, p.y, p.right, p.y, rule, 0.2)
	p.y += 2
	for _, t := range lines {
		p.write(t, s, p.left, p.right-p.left)
		p.y += 0.8
	}
}

func (p *pdf) colophonTexts() []Text {
	lines := p.d.Colophon
	if p.note {
		lines = append(lines[:len(lines):len(lines)], plain(textMissing))
	}
	return lines
}

func (p *pdf) colophonHeight() float64 {
	height := 7.0
	for _, t := range p.colophonTexts() {
		height += p.heightOf(p.lines(t, colophonStyle, p.right-p.left), colophonStyle) + 0.8
	}
	return height
}
