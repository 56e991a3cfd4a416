package chart

import (
	"image/color"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"codeberg.org/go-fonts/dejavu/dejavusans"
	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
)

// Sizes of the page and the type, for a picture set across an A4 text column.
const (
	pageWidthMM = 170.0

	titlePt = 11.0
	textPt  = 8.5
	smallPt = 8.0 // nothing is set smaller
)

// Spacing, mm.
const (
	padMM    = 1.0 // between a mark and its text
	marginMM = 1.5 // between anything and the edge of the page
)

// Line weights, points.
const (
	hairPt   = 0.35
	thinPt   = 0.5
	rulePt   = 0.8
	curvePt  = 1.3
	strongPt = 1.8
)

// Categorical colours of Okabe & Ito (2008): told apart with every common form
// of colour blindness. Each is always paired with a pattern, a shape or a label.
var (
	orange     = rgb(0xE69F00)
	skyBlue    = rgb(0x56B4E9)
	green      = rgb(0x009E73)
	yellow     = rgb(0xF0E442)
	blue       = rgb(0x0072B2)
	vermillion = rgb(0xD55E00)
	purple     = rgb(0xCC79A7)
)

// Neutral tones, and tints of the colours above. Texts are set in ink or
// mutedInk only: at least 7:1 on white and 4.5:1 on every tint used here.
var (
	paper      = rgb(0xFFFFFF)
	ink        = rgb(0x1A1A1A)
	mutedInk   = rgb(0x454545)
	gridGrey   = rgb(0xDADADA)
	frameGrey  = rgb(0x8A8A8A)
	darkGrey   = rgb(0x4D4D4D)
	midGrey    = rgb(0x9A9A9A)
	paleGrey   = rgb(0xD4D4D4)
	paleBlue   = rgb(0xCFE3F2) // 5-95 % band
	softBlue   = rgb(0x8FC1E3) // 25-75 % band
	paleRed    = rgb(0xF8DDCC) // behind the hatch of a flat spell
	nightVeil  = color.NRGBA{R: 0x1B, G: 0x2A, B: 0x49, A: 26}
	paperVeil  = color.NRGBA{R: 0xFF, G: 0xFF, B: 0xFF, A: 225}
	nightShade = rgb(0xDDE1E8) // opaque night, in heat maps
)

// dashes, in points.
var (
	dashed = []vg.Length{4, 2}
	dotted = []vg.Length{1, 1.6}
)

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{R: uint8(hex >> 16), G: uint8(hex >> 8), B: uint8(hex), A: 0xFF}
}

// pattern is the black-and-white half of a category: what tells it from its
// neighbours when the colour is gone.
type pattern int

const (
	plain    pattern = iota
	rising           // ////
	falling          // \\\\
	crossing         // xxxx
	dots
	level // ====
)

// look is how one category is filled.
type look struct {
	fill    color.Color
	hatch   color.Color
	pattern pattern
}

// The categories of the energy account.
var (
	lookSolar      = look{orange, nil, plain}
	lookAlternator = look{skyBlue, ink, rising}
	lookMains      = look{green, paper, falling}
	lookTransfer   = look{purple, ink, dots}
	lookBattery    = look{paper, mutedInk, level}
	lookDC         = look{darkGrey, nil, plain}
	lookAC         = look{midGrey, paper, rising}
	lookHeater     = look{vermillion, ink, falling}
	lookLoss       = look{paleGrey, mutedInk, dots}
	lookSpilled    = look{nil, nil, plain}
	lookUnserved   = look{paper, vermillion, crossing}
	lookFlat       = look{paleRed, ink, rising}
	lookDriving    = look{ink, nil, plain}
	lookSite       = look{paper, ink, falling}
	lookGenerator  = look{paper, ink, crossing}
)

// The faces, without kerning: pixels, SVG and PDF then agree on every width.
var (
	regularTTF = withoutKerning(liberationsansregular.TTF)
	boldTTF    = withoutKerning(liberationsansbold.TTF)
	moreTTF    = withoutKerning(dejavusans.TTF)
)

// fonts holds the two faces every text is set in, and the one for what they lack.
var fonts = font.NewCache(font.Collection{
	{Font: faceOf(false, 0), Face: mustParse(regularTTF)},
	{Font: faceOf(true, 0), Face: mustParse(boldTTF)},
	{Font: moreFace(0), Face: mustParse(moreTTF)},
})

var handler = text.Plain{Fonts: fonts}

func mustParse(ttf []byte) *opentype.Font {
	f, err := opentype.Parse(ttf)
	if err != nil {
		panic("chart: the built-in font does not parse: " + err.Error())
	}
	return f
}

func faceOf(bold bool, sizePt float64) font.Font {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Length(sizePt)}
	if bold {
		f.Weight = xfont.WeightBold
	}
	return f
}

// moreFace is the face for letters that the others lack.
func moreFace(sizePt float64) font.Font {
	return font.Font{Typeface: "DejaVu", Variant: "Sans", Size: vg.Length(sizePt)}
}

// letter is the style of a text.
type letter struct {
	sizePt float64
	bold   bool
	colour color.Color
}

var (
	titleLetter = letter{titlePt, true, ink}
	textLetter  = letter{textPt, false, ink}
	boldLetter  = letter{textPt, true, ink}
	smallLetter = letter{smallPt, false, mutedInk}
	inkLetter   = letter{smallPt, false, ink}
	alertLetter = letter{smallPt, true, ink}
)

func (l letter) in(c color.Color) letter { l.colour = c; return l }

// widthMM measures a text.
func (l letter) widthMM(s string) float64 {
	sum := 0.0
	for _, p := range piecesOf(s) {
		face := p.face(l)
		sum += toMM(face.Width(p.s))
	}
	return sum
}

// heightMM is from the descenders to the top of the capitals.
func (l letter) heightMM() float64 { return toMM(vg.Length(l.sizePt) * (capHeight + descent)) }

// Capital height and descent of the face, in units of its size.
const (
	capHeight = 0.73
	descent   = 0.212
)

func toMM(l vg.Length) float64    { return float64(l / vg.Millimeter) }
func fromMM(mm float64) vg.Length { return vg.Length(mm) * vg.Millimeter }
