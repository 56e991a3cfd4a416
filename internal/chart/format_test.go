package chart

import (
	"bytes"
	"encoding/binary"
	"image/png"
	"strings"
	"testing"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

func TestFontSubsetDrawsTheSameLetters(t *testing.T) {
	used := map[rune]bool{}
	for _, r := range "Ångström ñ é 200 Ah – 34 % · “ß” Ж Ω fi" {
		used[r] = true
	}
	small, err := subsetFont(liberationsansregular.TTF, used)
	require.NoError(t, err)
	assert.Less(t, len(small), 20_000)
	a, err := opentype.Parse(liberationsansregular.TTF)
	require.NoError(t, err)
	b, err := opentype.Parse(small)
	require.NoError(t, err)
	var buf sfnt.Buffer
	ppem := fixed.I(1000)
	for r := range used {
		ga, err := a.GlyphIndex(&buf, r)
		require.NoError(t, err)
		gb, err := b.GlyphIndex(&buf, r)
		require.NoError(t, err)
		require.NotZero(t, gb, "%q", r)
		wa, err := a.GlyphAdvance(&buf, ga, ppem, 0)
		require.NoError(t, err)
		wb, err := b.GlyphAdvance(&buf, gb, ppem, 0)
		require.NoError(t, err)
		assert.Equal(t, wa, wb, "%q", r)
		sa, err := a.LoadGlyph(&buf, ga, ppem, nil)
		require.NoError(t, err)
		outline := append(sfnt.Segments(nil), sa...)
		sb, err := b.LoadGlyph(&buf, gb, ppem, nil)
		require.NoError(t, err)
		assert.Equal(t, outline, append(sfnt.Segments(nil), sb...), "%q", r)
	}
	g, err := b.GlyphIndex(&buf, 'Q')
	require.NoError(t, err)
	assert.Zero(t, g)
	_, err = subsetFont([]byte("not a font"), used)
	assert.Error(t, err)
}

func TestPNGCarriesItsResolution(t *testing.T) {
	p, err := TypicalDay(inventedTrips()["week"].result())
	require.NoError(t, err)
	data, err := p.PNG(PrintDPI)
	require.NoError(t, err)
	img, err := png.Decode(bytes.NewReader(data))
	require.NoError(t, err)
	assert.Equal(t, 2008, img.Bounds().Dx()) // 170 mm / 25.4 * 300
	at := bytes.Index(data, []byte("pHYs"))
	require.Positive(t, at)
	assert.EqualValues(t, 11811, binary.BigEndian.Uint32(data[at+4:])) // 300 / 0.0254
	_, err = p.PNG(5)
	assert.Error(t, err)
}

func TestPDFHoldsNoClockAndItsFonts(t *testing.T) {
	p, err := StateOfCharge(inventedTrips()["hostile"].result(), nil)
	require.NoError(t, err)
	data, err := p.PDF()
	require.NoError(t, err)
	assert.Contains(t, string(data), "D:20000101000000")
	assert.NotContains(t, string(data), "D:202")
	assert.Equal(t, 2, strings.Count(string(data), "/FontFile2"))
}

func TestPaintPDFLeavesTheDocumentAsItWas(t *testing.T) {
	p, err := EnergyByDay(inventedTrips()["week"].result())
	require.NoError(t, err)
	doc := fpdf.New("P", "mm", "A4", "")
	doc.AddPage()
	doc.SetFont("Helvetica", "B", 13)
	doc.SetDrawColor(1, 2, 3)
	doc.SetTextColor(4, 5, 6)
	doc.SetLineWidth(0.7)
	p.PaintPDF(doc, 20, 30, 85)
	p.PaintPDF(doc, 20, 130, 170)
	require.NoError(t, doc.Error())
	size, _ := doc.GetFontSize()
	r, g, b := doc.GetDrawColor()
	assert.Equal(t, [3]int{1, 2, 3}, [3]int{r, g, b})
	r, g, b = doc.GetTextColor()
	assert.Equal(t, [3]int{4, 5, 6}, [3]int{r, g, b})
	assert.Equal(t, 13.0, size)
	assert.InDelta(t, 0.7, doc.GetLineWidth(), 1e-9)
	assert.Equal(t, "helvetica", doc.GetFontFamily())
	assert.Equal(t, 1, doc.PageNo())
	var out bytes.Buffer
	require.NoError(t, doc.Output(&out))
}

func BenchmarkPictures(b *testing.B) {
	r := inventedTrips()["three-weeks"].result()
	risk := inventedRisk(r)
	for name, paint := range map[string]func(p *Picture) ([]byte, error){
		"svg": (*Picture).SVG, "pdf": (*Picture).PDF,
		"png": func(p *Picture) ([]byte, error) { return p.PNG(PrintDPI) },
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				p, err := StateOfCharge(r, risk)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := paint(p); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
