package chart

import (
	"bytes"
	"fmt"
	"image"
	"time"

	"codeberg.org/go-pdf/fpdf"
	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// pdfFamily is the name under which the picture's fonts are known to a PDF.
const pdfFamily = "chartsans"

// epoch stands in for the dates that PDF asks for: no clock is read.
var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// PDF returns the picture as a PDF of one page of its size, fonts embedded.
func (p *Picture) PDF() ([]byte, error) {
	doc := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: p.WidthMM, Ht: p.HeightMM}})
	doc.SetCatalogSort(true)
	doc.SetCreationDate(epoch)
	doc.SetModificationDate(epoch)
	doc.SetProducer("", true)
	doc.SetTitle(clean(p.Title), true)
	doc.SetSubject(clean(p.AltText), true)
	doc.SetAutoPageBreak(false, 0)
	doc.SetMargins(0, 0, 0)
	doc.AddPage()
	p.PaintPDF(doc, 0, 0, p.WidthMM)
	var out bytes.Buffer
	if err := doc.Output(&out); err != nil {
		return nil, fmt.Errorf("chart: %s: %w", p.Name, err)
	}
	return out.Bytes(), nil
}

// PaintPDF draws the picture, widthMM wide, on the current page of doc with its
// top-left corner at (leftMM, topMM), as lines and text, not as pixels. Line
// style, colours and font of doc are put back; its errors stay in doc.
func (p *Picture) PaintPDF(doc *fpdf.Fpdf, leftMM, topMM, widthMM float64) {
	doc.AddUTF8FontFromBytes(pdfFamily, "", regularTTF)
	doc.AddUTF8FontFromBytes(pdfFamily, "B", boldTTF)
	lineWidth, family, style := doc.GetLineWidth(), doc.GetFontFamily(), doc.GetFontStyle()
	size, _ := doc.GetFontSize()
	dr, dg, db := doc.GetDrawColor()
	fr, fg, fb := doc.GetFillColor()
	tr, tg, tb := doc.GetTextColor()

	k := widthMM / p.WidthMM
	base := matrix{k, 0, 0, -k, leftMM * 72 / 25.4, topMM*72/25.4 + k*p.heightPt()}
	p.paint(&pdfCanvas{pen: newPen(base), doc: doc, unitPt: doc.GetConversionRatio()})

	doc.SetLineWidth(lineWidth)
	doc.SetDashPattern(nil, 0)
	doc.SetAlpha(1, "Normal")
	doc.SetDrawColor(dr, dg, db)
	doc.SetFillColor(fr, fg, fb)
	doc.SetTextColor(tr, tg, tb)
	if family != "" {
		doc.SetFont(family, style, size)
	}
}

// pdfCanvas is a vg.Canvas on a PDF page.
type pdfCanvas struct {
	pen
	doc    *fpdf.Fpdf
	unitPt float64 // points per unit of doc
	alpha  uint8   // as last written; 0 = not yet
}

func (c *pdfCanvas) veil() {
	if c.alpha != c.now.colour.A {
		c.doc.SetAlpha(float64(c.now.colour.A)/255, "Normal")
		c.alpha = c.now.colour.A
	}
}

func (c *pdfCanvas) Fill(path vg.Path) {
	k := c.now.colour
	c.veil()
	c.doc.SetFillColor(int(k.R), int(k.G), int(k.B))
	c.follow(path, pdfTrack{c})
	c.doc.DrawPath("F")
}

func (c *pdfCanvas) Stroke(path vg.Path) {
	if c.now.widthPt <= 0 {
		return
	}
	k := c.now.colour
	c.veil()
	c.doc.SetDrawColor(int(k.R), int(k.G), int(k.B))
	c.doc.SetLineWidth(c.now.widthPt * c.now.m.scale() / c.unitPt)
	dash := make([]float64, len(c.now.dash))
	for i, d := range c.now.dash {
		dash[i] = d.Points() * c.now.m.scale() / c.unitPt
	}
	c.doc.SetDashPattern(dash, 0)
	c.follow(path, pdfTrack{c})
	c.doc.DrawPath("D")
}

func (c *pdfCanvas) FillString(f font.Face, pt vg.Point, s string) {
	style := ""
	switch {
	case f.Font.Typeface == moreFace(0).Typeface:
		style = "I"
		c.doc.AddUTF8FontFromBytes(pdfFamily, style, moreTTF) // once, when it is needed
	case f.Font.Weight >= xfont.WeightBold:
		style = "B"
	}
	k := c.now.colour
	c.veil()
	c.doc.SetTextColor(int(k.R), int(k.G), int(k.B))
	c.doc.SetFont(pdfFamily, style, f.Font.Size.Points()*c.now.m.scale())
	x, y := c.now.m.apply(pt.X.Points(), pt.Y.Points())
	x, y = x/c.unitPt, y/c.unitPt
	if a := c.angleDeg(); a < -0.01 || a > 0.01 {
		c.doc.TransformBegin()
		c.doc.TransformRotate(-a, x, y)
		defer c.doc.TransformEnd()
	}
	c.doc.Text(x, y, s)
}

// DrawImage is part of vg.Canvas; no picture here holds a raster image.
func (c *pdfCanvas) DrawImage(vg.Rectangle, image.Image) { panic("chart: no raster images in PDF") }

type pdfTrack struct{ c *pdfCanvas }

func (t pdfTrack) move(x, y float64) { t.c.doc.MoveTo(x/t.c.unitPt, y/t.c.unitPt) }
func (t pdfTrack) line(x, y float64) { t.c.doc.LineTo(x/t.c.unitPt, y/t.c.unitPt) }
func (t pdfTrack) shut()             { t.c.doc.ClosePath() }
func (t pdfTrack) cube(x1, y1, x2, y2, x, y float64) {
	u := t.c.unitPt
	t.c.doc.CurveBezierCubicTo(x1/u, y1/u, x2/u, y2/u, x/u, y/u)
}
