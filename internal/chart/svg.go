package chart

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"encoding/xml"
	"fmt"
	"image"
	"image/color"
	"strconv"
	"strings"

	xfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// SVG returns the picture as a self-contained SVG document (W3C SVG 1.1): the
// letters it uses are embedded, nothing is fetched from anywhere, title and
// description carry the picture's title and alternative text.
func (p *Picture) SVG() ([]byte, error) {
	body, err := p.InlineSVG()
	if err != nil {
		return nil, err
	}
	return append([]byte(`<?xml version="1.0" encoding="UTF-8"?>`+"\n"), body...), nil
}

// InlineSVG returns the svg element alone, to be put inside an HTML page.
// Several pictures can share a page: each names its font after its content.
func (p *Picture) InlineSVG() ([]byte, error) {
	c := newSVGCanvas(p.heightPt())
	p.paint(c)
	return c.document(p)
}

// svgCanvas is a vg.Canvas that writes SVG.
type svgCanvas struct {
	pen
	out   strings.Builder
	runes [3]map[rune]bool // used in the regular, the bold and the further face
}

func newSVGCanvas(heightPt float64) *svgCanvas {
	c := &svgCanvas{pen: newPen(topLeft(heightPt))}
	for i := range c.runes {
		c.runes[i] = map[rune]bool{}
	}
	return c
}

func (c *svgCanvas) beginMark(kind string) {
	fmt.Fprintf(&c.out, "<g data-mark=\"%s\">\n", escapeXML(kind))
}

func (c *svgCanvas) endMark() { c.out.WriteString("</g>\n") }

func (c *svgCanvas) Fill(path vg.Path) {
	fmt.Fprintf(&c.out, `<path d="%s" fill="%s"`, c.data(path), hexColour(c.now.colour))
	c.opacity("fill-opacity")
	c.out.WriteString("/>\n")
}

func (c *svgCanvas) Stroke(path vg.Path) {
	if c.now.widthPt <= 0 {
		return
	}
	fmt.Fprintf(&c.out, `<path d="%s" fill="none" stroke="%s" stroke-width="%s"`,
		c.data(path), hexColour(c.now.colour), num(c.now.widthPt*c.now.m.scale()))
	c.opacity("stroke-opacity")
	if len(c.now.dash) > 0 {
		parts := make([]string, len(c.now.dash))
		for i, d := range c.now.dash {
			parts[i] = num(d.Points())
		}
		fmt.Fprintf(&c.out, ` stroke-dasharray="%s"`, strings.Join(parts, " "))
	}
	c.out.WriteString("/>\n")
}

func (c *svgCanvas) opacity(name string) {
	if c.now.colour.A != 255 {
		fmt.Fprintf(&c.out, ` %s="%s"`, name, num(float64(c.now.colour.A)/255))
	}
}

func (c *svgCanvas) FillString(f font.Face, pt vg.Point, s string) {
	x, y := c.now.m.apply(pt.X.Points(), pt.Y.Points())
	bold := f.Font.Weight >= xfont.WeightBold
	set := c.runes[0]
	weight := ""
	switch {
	case f.Font.Typeface == moreFace(0).Typeface:
		set = c.runes[2]
	case bold:
		set, weight = c.runes[1], ` font-weight="bold"`
	}
	for _, r := range s {
		set[r] = true
	}
	turn := ""
	if a := c.angleDeg(); a < -0.01 || a > 0.01 {
		turn = fmt.Sprintf(` transform="rotate(%s %s %s)"`, num(a), num(x), num(y))
	}
	fmt.Fprintf(&c.out, `<text x="%s" y="%s" font-size="%s"%s fill="%s"%s>%s</text>`+"\n",
		num(x), num(y), num(f.Font.Size.Points()*c.now.m.scale()), weight, hexColour(c.now.colour), turn, escapeXML(s))
}

// DrawImage is part of vg.Canvas; no picture here holds a raster image.
func (c *svgCanvas) DrawImage(vg.Rectangle, image.Image) { panic("chart: no raster images in SVG") }

// document wraps what was drawn with the head, the font and the texts.
func (c *svgCanvas) document(p *Picture) ([]byte, error) {
	body := c.out.String()
	sum := sha256.Sum256([]byte(p.Name + "\x00" + body))
	id := "chart-" + hex.EncodeToString(sum[:5])
	var head strings.Builder
	w, h := num(p.widthPt()), num(p.heightPt())
	fmt.Fprintf(&head, `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="%smm" height="%smm" viewBox="0 0 %s %s" role="img" aria-labelledby="%s-t %s-d">`+"\n",
		num(p.WidthMM), num(p.HeightMM), w, h, id, id)
	fmt.Fprintf(&head, "<title id=\"%s-t\">%s</title>\n<desc id=\"%s-d\">%s</desc>\n",
		id, escapeXML(clean(p.Title)), id, escapeXML(clean(p.AltText)))
	head.WriteString("<defs><style type=\"text/css\">\n")
	for i, ttf := range [][]byte{regularTTF, boldTTF, moreTTF} {
		if len(c.runes[i]) == 0 {
			continue
		}
		small, err := subsetFont(ttf, c.runes[i])
		if err != nil {
			return nil, fmt.Errorf("chart: %s: %w", p.Name, err)
		}
		fmt.Fprintf(&head, "@font-face{font-family:\"%s\";font-weight:%s;src:url(data:font/ttf;base64,%s) format(\"truetype\")}\n",
			id+[3]string{"", "", "-more"}[i], [3]string{"normal", "bold", "normal"}[i], base64.StdEncoding.EncodeToString(small))
	}
	fmt.Fprintf(&head, "</style></defs>\n<g font-family=\"%s, %s-more, 'Liberation Sans', sans-serif\" stroke-linejoin=\"round\">\n", id, id)
	return []byte(head.String() + body + "</g>\n</svg>\n"), nil
}

// data writes a path in SVG's path language.
func (c *svgCanvas) data(path vg.Path) string {
	t := svgTrack{}
	c.follow(path, &t)
	return t.String()
}

type svgTrack struct{ strings.Builder }

func (t *svgTrack) put(letter byte, v ...float64) {
	t.WriteByte(letter)
	for i, x := range v {
		if i > 0 {
			t.WriteByte(' ')
		}
		t.WriteString(num(x))
	}
}

func (t *svgTrack) move(x, y float64)             { t.put('M', x, y) }
func (t *svgTrack) line(x, y float64)             { t.put('L', x, y) }
func (t *svgTrack) cube(a, b, c, d, x, y float64) { t.put('C', a, b, c, d, x, y) }
func (t *svgTrack) shut()                         { t.WriteByte('Z') }

// num prints a number with two decimals (0.004 mm), without trailing zeros.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func hexColour(c color.NRGBA) string { return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B) }

func escapeXML(s string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(s)) // a strings.Builder never fails
	return b.String()
}
