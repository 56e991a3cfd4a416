package quote

import (
	"bytes"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chequered is a picture with a transparent corner.
func chequered(w, h int) image.Image {
	img := image.NewNRGBA64(image.Rect(0, 0, w, h)) // 16 bits a channel
	for y := range h {
		for x := range w {
			if x > 2 || y > 2 {
				img.Set(x, y, color.NRGBA{uint8(x), uint8(y), 99, 255})
			}
		}
	}
	return img
}

func plainLogo(t *testing.T) *Logo {
	var b bytes.Buffer
	require.NoError(t, png.Encode(&b, chequered(120, 40)))
	l, err := NewLogo("logo.png", b.Bytes())
	require.NoError(t, err)
	return l
}

func TestLogoIsRedrawnOnWhite(t *testing.T) {
	l := plainLogo(t)
	img, err := png.Decode(bytes.NewReader(l.PNG))
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 120, 40), img.Bounds())
	r, g, b, a := img.At(0, 0).RGBA()
	assert.Equal(t, []uint32{0xffff, 0xffff, 0xffff, 0xffff}, []uint32{r, g, b, a}, "what was transparent is white")
	_, eight := img.(*image.RGBA)
	assert.True(t, eight, "eight bits a channel, as the PDF takes")
}

func TestLogoOfEveryKind(t *testing.T) {
	var j bytes.Buffer
	require.NoError(t, jpeg.Encode(&j, chequered(3000, 1000), nil))
	l, err := NewLogo("logo.JPEG", j.Bytes())
	require.NoError(t, err)
	assert.Equal(t, []int{900, 300}, []int{l.WidthPx, l.HeightPx}, "shrunk")

	svg := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 10"><rect width="20" height="10" fill="#00f"/><circle cx="5" cy="5" r="3" fill="red"/></svg>`
	l, err = NewLogo("logo.svg", []byte(svg))
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(l.PNG))
	require.NoError(t, err)
	assert.Equal(t, []int{900, 450}, []int{l.WidthPx, l.HeightPx})
	r, g, b, _ := img.At(225, 225).RGBA()
	assert.Equal(t, []uint32{0xffff, 0, 0}, []uint32{r, g, b})
	_, _, b, _ = img.At(800, 100).RGBA()
	assert.Equal(t, uint32(0xffff), b)
}

func TestLogoThatCannotBeUsedIsRefused(t *testing.T) {
	var g bytes.Buffer
	require.NoError(t, gif.Encode(&g, chequered(10, 10), nil))
	for _, row := range []struct {
		file, want string
		data       []byte
	}{
		{"big.png", "1025 KiB are too many", make([]byte, LogoMaxBytes+1024)},
		{"text.png", "neither a PNG nor a JPEG", []byte("hello")},
		{"anim.png", "neither a PNG nor a JPEG", g.Bytes()},
		{"empty.jpg", "neither a PNG nor a JPEG", nil},
		{"script.svg", "cannot be drawn", []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><script>alert(1)</script></svg>`)},
		{"letters.svg", "turn letters into paths", []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><text>Hi</text></svg>`)},
		{"sizeless.svg", "add a viewBox", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><rect width="2" height="2"/></svg>`)},
		{"broken.svg", "cannot be drawn", []byte(`<svg viewBox="0 0 9 9"><path d="M0 0 L x y z"/></svg`)},
	} {
		_, err := NewLogo(row.file, row.data)
		assert.ErrorContains(t, err, row.want, row.file)
		assert.ErrorContains(t, err, row.file)
	}
	huge := append([]byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x00\x01\x00\x00\x00\x01\x00\x00\x08\x06\x00\x00\x00"), make([]byte, 4)...)
	_, err := NewLogo("huge.png", huge)
	assert.Error(t, err)
}

func TestLogoStandsInBothDocuments(t *testing.T) {
	in := holding(t)
	in.Job.Logo = plainLogo(t)
	d := build(t, in)
	page, err := d.HTML()
	require.NoError(t, err)
	assert.Equal(t, 1, strings.Count(string(page), `<img class="logo wide" src="data:image/png;base64,`))
	data, err := d.PDF()
	require.NoError(t, err)
	assert.Equal(t, 1, bytes.Count(data, []byte("/Subtype /Image")))
}
