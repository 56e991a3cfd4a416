package chart

import (
	"bytes"
	"flag"
	"image"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

var lookDir = flag.String("look", "", "write every picture of the tests to this folder, to be looked at")

// look writes a picture where somebody can look at it.
func (p *Picture) look(t *testing.T, name string) {
	if *lookDir == "" {
		return
	}
	t.Helper()
	require.NoError(t, os.MkdirAll(*lookDir, 0o755))
	pixels, err := p.PNG(110)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(*lookDir, name+".png"), pixels, 0o644))
	img, err := p.Image(110)
	require.NoError(t, err)
	grey := image.NewGray(img.Bounds())
	draw.Draw(grey, grey.Bounds(), img, image.Point{}, draw.Src)
	var buf bytes.Buffer
	require.NoError(t, png.Encode(&buf, grey))
	require.NoError(t, os.WriteFile(filepath.Join(*lookDir, name+"-grey.png"), buf.Bytes(), 0o644))
	svg, err := p.SVG()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(*lookDir, name+".svg"), svg, 0o644))
	pdf, err := p.PDF()
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(*lookDir, name+".pdf"), pdf, 0o644))
}

func TestLookSoC(t *testing.T) {
	for name, trip := range inventedTrips() {
		r := trip.result()
		p, err := StateOfCharge(r, inventedRisk(r))
		require.NoError(t, err)
		p.look(t, "soc-"+name)
	}
}

func TestLookEnergy(t *testing.T) {
	for name, trip := range inventedTrips() {
		r := trip.result()
		p, err := EnergyByDay(r)
		require.NoError(t, err)
		p.look(t, "energy-"+name)
		p, err = TypicalDay(r)
		require.NoError(t, err)
		p.look(t, "typical-"+name)
	}
}

func TestLookAdvice(t *testing.T) {
	for name, draw := range advicePictures() {
		p, err := draw()
		require.NoError(t, err, name)
		p.look(t, name)
	}
}
