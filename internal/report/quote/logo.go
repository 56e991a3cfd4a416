package quote

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	_ "image/jpeg" // registers the format
	"image/png"
	"path/filepath"
	"strings"

	"github.com/srwiley/oksvg"
	"github.com/srwiley/rasterx"
	xdraw "golang.org/x/image/draw"
)

// Limits of a logo.
const (
	LogoMaxBytes = 1 << 20
	logoMaxPx    = 6000 // of a side, as it comes
	logoPx       = 900  // of the longer side, as it is kept: 50 mm at 450 dots per inch
)

// Logo is a business's picture, redrawn as a PNG on white: whatever else the
// file held is gone, and HTML and PDF show the same.
type Logo struct {
	PNG               []byte
	WidthPx, HeightPx int
}

// NewLogo checks a picture file (PNG, JPEG or SVG by its name's ending) and
// makes a logo of it. An SVG has to do with shapes: one with letters, pictures
// or anything else that is not drawn here is refused, with what to do.
func NewLogo(file string, data []byte) (*Logo, error) {
	if len(data) > LogoMaxBytes {
		return nil, fmt.Errorf(textLogoBig, file, len(data)>>10, LogoMaxBytes>>10)
	}
	var img image.Image
	var err error
	if strings.EqualFold(filepath.Ext(file), ".svg") {
		img, err = drawSVG(data)
	} else {
		img, err = readPixels(data)
	}
	if err != nil {
		return nil, fmt.Errorf(textLogoBad, file, err)
	}
	flat := shrink(img)
	var out bytes.Buffer
	if err := png.Encode(&out, flat); err != nil {
		return nil, fmt.Errorf(textLogoBad, file, err)
	}
	return &Logo{out.Bytes(), flat.Bounds().Dx(), flat.Bounds().Dy()}, nil
}

func readPixels(data []byte) (image.Image, error) {
	c, kind, err := image.DecodeConfig(bytes.NewReader(data))
	switch {
	case err != nil || kind != "png" && kind != "jpeg":
		return nil, errors.New(textLogoKind)
	case c.Width < 1 || c.Height < 1 || c.Width > logoMaxPx || c.Height > logoMaxPx:
		return nil, fmt.Errorf(textLogoPixels, c.Width, c.Height, logoMaxPx)
	}
	img, _, err := image.Decode(bytes.NewReader(data))
	return img, err
}

// drawSVG paints an SVG at the size that is kept. The library panics on some
// broken files.
func drawSVG(data []byte) (img image.Image, err error) {
	defer func() {
		if recover() != nil {
			err = errors.New(textLogoSVG)
		}
	}()
	icon, err := oksvg.ReadIconStream(bytes.NewReader(data), oksvg.StrictErrorMode)
	if err != nil {
		return nil, fmt.Errorf("%s (%w)", textLogoSVG, err)
	}
	w, h := icon.ViewBox.W, icon.ViewBox.H
	if !(w > 0 && h > 0 && w < 1e6 && h < 1e6 && w/h < 100 && h/w < 100) {
		return nil, errors.New(textLogoBox)
	}
	scale := logoPx / max(w, h)
	wide, high := max(1, int(w*scale+0.5)), max(1, int(h*scale+0.5))
	icon.SetTarget(0, 0, float64(wide), float64(high))
	rgba := image.NewRGBA(image.Rect(0, 0, wide, high))
	draw.Draw(rgba, rgba.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	icon.Draw(rasterx.NewDasher(wide, high, rasterx.NewScannerGV(wide, high, rgba, rgba.Bounds())), 1)
	return rgba, nil
}

// shrink puts a picture on white, no larger than it is kept.
func shrink(img image.Image) *image.RGBA {
	b := img.Bounds()
	scale := min(1, float64(logoPx)/float64(max(b.Dx(), b.Dy())))
	wide, high := max(1, int(float64(b.Dx())*scale+0.5)), max(1, int(float64(b.Dy())*scale+0.5))
	out := image.NewRGBA(image.Rect(0, 0, wide, high))
	draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	xdraw.CatmullRom.Scale(out, out.Bounds(), img, b, xdraw.Over, nil)
	return out
}
