package chart

import (
	"image/color"
	"math"

	"gonum.org/v1/plot/palette/brewer"
)

// ramp is a sequential scale for a share of 0 to 1, light to dark, so that it
// keeps its order in grey.
type ramp []color.NRGBA

// riskRamp and sunRamp are ColorBrewer's nine-step YlOrBr (Harrower & Brewer
// 2003); risk starts at white, for never.
var (
	riskRamp = append(ramp{paper}, brewerRamp("YlOrBr")...)
	sunRamp  = brewerRamp("YlOrBr")
)

func brewerRamp(name string) ramp {
	p, err := brewer.GetPalette(brewer.TypeSequential, name, 9)
	if err != nil {
		panic("chart: " + err.Error())
	}
	var r ramp
	for _, c := range p.Colors() {
		r = append(r, color.NRGBAModel.Convert(c).(color.NRGBA))
	}
	return r
}

// at interpolates between the steps.
func (r ramp) at(share float64) color.NRGBA {
	pos := min(max(share, 0), 1) * float64(len(r)-1)
	i := min(int(pos), len(r)-2)
	k := pos - float64(i)
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + k*(float64(b)-float64(a)))) }
	return color.NRGBA{mix(r[i].R, r[i+1].R), mix(r[i].G, r[i+1].G), mix(r[i].B, r[i+1].B), 255}
}

// inkOn returns the colour for a text on a ground: black or white, whichever
// stands out more. One of them always reaches 4.58:1.
func inkOn(ground color.NRGBA) color.NRGBA {
	if black := rgb(0); contrast(black, ground) >= contrast(paper, ground) {
		return black
	}
	return paper
}

// contrast is the contrast ratio of two opaque colours, 1 to 21 (WCAG 2.1).
func contrast(a, b color.NRGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// luminance is the relative luminance of an sRGB colour (WCAG 2.1).
func luminance(c color.NRGBA) float64 {
	lin := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*lin(c.R) + 0.7152*lin(c.G) + 0.0722*lin(c.B)
}
