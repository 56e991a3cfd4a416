package chart

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"

	"gonum.org/v1/plot/vg/vgimg"
)

// PrintDPI is the resolution of a PNG meant for paper.
const PrintDPI = 300

// PNG returns the picture at the given resolution, dots per inch (24 to 1200),
// which is written into the file, so that it prints at its size.
func (p *Picture) PNG(dpi int) ([]byte, error) {
	img, err := p.Image(dpi)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := png.Encode(&out, img); err != nil {
		return nil, fmt.Errorf("chart: %s: %w", p.Name, err)
	}
	return withResolution(out.Bytes(), dpi), nil
}

// Image returns the picture as pixels.
func (p *Picture) Image(dpi int) (image.Image, error) {
	if dpi < 24 || dpi > 1200 {
		return nil, fmt.Errorf("chart: %s: %d dots per inch is out of range; use 24 to 1200, e.g. %d", p.Name, dpi, PrintDPI)
	}
	c := vgimg.NewWith(vgimg.UseWH(fromMM(p.WidthMM), fromMM(p.HeightMM)), vgimg.UseDPI(dpi))
	p.paint(c)
	return c.Image(), nil
}

// withResolution puts a pHYs chunk (W3C PNG, section 11.3.5.3: pixels per
// metre) right after the header, which is always 8 + 25 bytes long.
func withResolution(file []byte, dpi int) []byte {
	const headEnd = 8 + 25
	perMetre := uint32(float64(dpi)/0.0254 + 0.5)
	body := append([]byte("pHYs"), make([]byte, 9)...)
	binary.BigEndian.PutUint32(body[4:], perMetre)
	binary.BigEndian.PutUint32(body[8:], perMetre)
	body[12] = 1
	chunk := binary.BigEndian.AppendUint32(nil, 9)
	chunk = append(chunk, body...)
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(body))
	out := append([]byte(nil), file[:headEnd]...)
	return append(append(out, chunk...), file[headEnd:]...)
}
