package chart

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"image"
	"image/color"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

var update = flag.Bool("update", false, "write the golden files anew")

// everyPicture draws all kinds of picture over the invented trips and advice,
// the results of single runs with their risk.
func everyPicture(t testing.TB, opts ...Option) map[string]*Picture {
	t.Helper()
	out := map[string]*Picture{}
	keep := func(name string, p *Picture, err error) {
		require.NoError(t, err, name)
		out[name] = p
	}
	for name, trip := range inventedTrips() {
		r := trip.result()
		p, err := StateOfCharge(r, inventedRisk(r), opts...)
		keep("soc-"+name, p, err)
		p, err = EnergyByDay(r, opts...)
		keep("energy-"+name, p, err)
		p, err = TypicalDay(r, opts...)
		keep("typical-"+name, p, err)
	}
	r := inventedTrips()["three-weeks"].result()
	p, err := StateOfCharge(r, nil, opts...)
	keep("soc-without-risk", p, err)
	for name, draw := range advicePictures(opts...) {
		p, err := draw()
		keep(name, p, err)
	}
	return out
}

func eachPicture(t *testing.T, check func(t *testing.T, p *Picture)) {
	pictures := everyPicture(t)
	names := make([]string, 0, len(pictures))
	for name := range pictures {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		t.Run(name, func(t *testing.T) { check(t, pictures[name]) })
	}
}

// summary is what the golden files hold: every text with its place, and for
// each kind of mark how many there are and the box around them, in mm.
type summary struct {
	Title, Alt string
	Size       [2]float64
	Texts      []summaryText
	Marks      []summaryMark
}

type summaryText struct {
	Text string
	At   [2]float64 // left, baseline side
}

type summaryMark struct {
	Kind  string
	Count int
	Box   [4]float64
}

func summarise(p *Picture) summary {
	s := p.Structure()
	out := summary{Title: p.Title, Alt: p.AltText, Size: [2]float64{s.WidthMM, s.HeightMM}}
	for _, x := range s.Texts {
		out.Texts = append(out.Texts, summaryText{x.Text, [2]float64{tenth(x.Box.Left), tenth(x.Box.Bottom)}})
	}
	kinds := map[string]int{}
	for _, m := range s.Marks {
		i, ok := kinds[m.Kind]
		if !ok {
			i = len(out.Marks)
			kinds[m.Kind] = i
			out.Marks = append(out.Marks, summaryMark{Kind: m.Kind, Box: [4]float64{m.Box.Left, m.Box.Top, m.Box.Right, m.Box.Bottom}})
		}
		k := &out.Marks[i]
		k.Count++
		k.Box = [4]float64{min(k.Box[0], m.Box.Left), min(k.Box[1], m.Box.Top), max(k.Box[2], m.Box.Right), max(k.Box[3], m.Box.Bottom)}
	}
	for i := range out.Marks {
		for j, v := range out.Marks[i].Box {
			out.Marks[i].Box[j] = tenth(v)
		}
	}
	return out
}

func tenth(v float64) float64 { return math.Round(v*10) / 10 }

func TestPicturesHoldWhatTheGoldenFilesSay(t *testing.T) {
	eachPicture(t, func(t *testing.T, p *Picture) {
		got := summarise(p)
		file := filepath.Join("testdata", strings.TrimPrefix(t.Name(), "TestPicturesHoldWhatTheGoldenFilesSay/")+".json")
		if *update {
			require.NoError(t, os.MkdirAll("testdata", 0o755))
			data, err := json.MarshalIndent(got, "", " ")
			require.NoError(t, err)
			require.NoError(t, os.WriteFile(file, append(compact(data), '\n'), 0o644))
		}
		data, err := os.ReadFile(file)
		require.NoError(t, err, "run the test with -update and look at the pictures")
		var want summary
		require.NoError(t, json.Unmarshal(data, &want))
		assert.Equal(t, want.Title, got.Title)
		assert.Equal(t, want.Alt, got.Alt)
		assert.Equal(t, want.Size, got.Size)
		require.Equal(t, len(want.Texts), len(got.Texts), "number of texts")
		for i, w := range want.Texts {
			assert.Equal(t, w.Text, got.Texts[i].Text)
			assert.InDeltaSlice(t, w.At[:], got.Texts[i].At[:], 0.5, "place of %q", w.Text)
		}
		require.Equal(t, len(want.Marks), len(got.Marks), "kinds of mark")
		for i, w := range want.Marks {
			assert.Equal(t, w.Kind, got.Marks[i].Kind)
			assert.Equal(t, w.Count, got.Marks[i].Count, w.Kind)
			assert.InDeltaSlice(t, w.Box[:], got.Marks[i].Box[:], 0.5, "box of %s", w.Kind)
		}
	})
}

// compact puts each text and each mark on one line.
func compact(indented []byte) []byte {
	s := string(indented)
	lines := strings.Split(s, "\n")
	var out []string
	for _, l := range lines {
		depth := len(l) - len(strings.TrimLeft(l, " "))
		if depth >= 3 || (depth == 2 && strings.HasPrefix(strings.TrimSpace(l), "}")) {
			out[len(out)-1] += strings.TrimSpace(l)
			continue
		}
		out = append(out, l)
	}
	return []byte(strings.Join(out, "\n"))
}

func TestTextsDoNotOverlapAndStayOnThePage(t *testing.T) {
	eachPicture(t, func(t *testing.T, p *Picture) {
		s := p.Structure()
		page := Box{0, 0, s.WidthMM, s.HeightMM}.grow(-0.5)
		for i, a := range s.Texts {
			assert.True(t, a.Box.Within(page), "%q at %+v leaves the page of %v × %v mm", a.Text, a.Box, s.WidthMM, s.HeightMM)
			for _, b := range s.Texts[i+1:] {
				assert.False(t, a.Box.grow(-0.1).Overlaps(b.Box.grow(-0.1)), "%q at %+v overlaps %q at %+v", a.Text, a.Box, b.Text, b.Box)
			}
		}
		for _, m := range s.Marks {
			assert.True(t, m.Box.Within(page.grow(0.5)), "%s at %+v leaves the page", m.Kind, m.Box)
		}
	})
}

func TestTextsAreLargeEnoughToRead(t *testing.T) {
	eachPicture(t, func(t *testing.T, p *Picture) {
		assert.NotEmpty(t, p.AltText)
		for _, x := range p.Structure().Texts {
			assert.GreaterOrEqual(t, x.SizePt, 8.0, "%q", x.Text)
			assert.NotContains(t, x.Text, "%!", "a format without its value")
		}
	})
}

// textless paints everything but the texts.
type textless struct{ *vgimg.Canvas }

func (textless) FillString(font.Face, vg.Point, string) {}

// Contrast: W3C, Web Content Accessibility Guidelines 2.1 (2018), criterion
// 1.4.3 asks for 4.5:1. What is compared is the colour of the text and what
// was really painted behind it; thin lines may cross up to a quarter of a text.
func TestTextsStandOutFromWhatIsBehindThem(t *testing.T) {
	const dpi = 100
	eachPicture(t, func(t *testing.T, p *Picture) {
		c := vgimg.NewWith(vgimg.UseWH(fromMM(p.WidthMM), fromMM(p.HeightMM)), vgimg.UseDPI(dpi))
		p.paint(textless{c})
		img := c.Image()
		for _, x := range p.Structure().Texts {
			low, all := 0, 0
			for py := int(x.Box.Top * dpi / 25.4); py <= int(x.Box.Bottom*dpi/25.4); py++ {
				for px := int(x.Box.Left * dpi / 25.4); px <= int(x.Box.Right*dpi/25.4); px++ {
					all++
					if contrast(x.Colour, opaqueAt(img, px, py)) < 4.5 {
						low++
					}
				}
			}
			assert.LessOrEqual(t, float64(low)/float64(all), 0.25, "%q at %+v", x.Text, x.Box)
		}
	})
}

func opaqueAt(img image.Image, x, y int) color.NRGBA {
	return color.NRGBAModel.Convert(img.At(x, y)).(color.NRGBA)
}

func TestSVGIsWellFormedAndFetchesNothing(t *testing.T) {
	eachPicture(t, func(t *testing.T, p *Picture) {
		data, err := p.SVG()
		require.NoError(t, err)
		d := xml.NewDecoder(strings.NewReader(string(data)))
		d.Strict = true
		depth, roots := 0, 0
		for {
			tok, err := d.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			require.NoError(t, err)
			switch e := tok.(type) {
			case xml.StartElement:
				if depth == 0 {
					roots++
				}
				depth++
				assert.NotContains(t, []string{"script", "image", "use", "a", "foreignObject", "link", "iframe"}, e.Name.Local)
				for _, a := range e.Attr {
					assert.NotContains(t, strings.ToLower(a.Name.Local), "href")
					assert.False(t, strings.HasPrefix(strings.ToLower(a.Name.Local), "on"), "%s is a handler", a.Name.Local)
				}
			case xml.EndElement:
				depth--
			}
		}
		assert.Equal(t, 1, roots)
		for _, from := range strings.Split(string(data), "url(")[1:] {
			assert.True(t, strings.HasPrefix(from, "data:"), "a url that is not data")
		}
		text := strings.ReplaceAll(string(data), `xmlns="http://www.w3.org/2000/svg"`, "")
		assert.NotContains(t, text, "://")
		assert.NotContains(t, text, "@import")
		assert.Less(t, len(data), 900_000)
	})
}

func TestTheSameInputGivesTheSameBytes(t *testing.T) {
	first, second := everyPicture(t), everyPicture(t)
	for _, name := range []string{"soc-week", "soc-three-weeks", "energy-clocks-back", "typical-week", "compare-10", "season-weeks", "sizes-20", "vary-4", "reliability", "sun-polar"} {
		for _, format := range []func(p *Picture) ([]byte, error){(*Picture).SVG, (*Picture).PDF, func(p *Picture) ([]byte, error) { return p.PNG(72) }} {
			a, err := format(first[name])
			require.NoError(t, err)
			b, err := format(second[name])
			require.NoError(t, err)
			again, err := format(first[name])
			require.NoError(t, err)
			assert.True(t, string(a) == string(b), "%s differs between two drawings", name)
			assert.True(t, string(a) == string(again), "%s differs when painted twice", name)
		}
	}
}

func TestEveryLocaleFitsThePage(t *testing.T) {
	for _, tag := range []string{"de", "fr", "es", "en-US"} {
		l, ok := LocaleFor(tag)
		require.True(t, ok)
		for name, p := range everyPicture(t, In(l)) {
			s := p.Structure()
			page := Box{0, 0, s.WidthMM, s.HeightMM}
			for i, a := range s.Texts {
				assert.True(t, a.Box.Within(page), "%s %s: %q leaves the page", tag, name, a.Text)
				for _, b := range s.Texts[i+1:] {
					assert.False(t, a.Box.grow(-0.1).Overlaps(b.Box.grow(-0.1)), "%s %s: %q overlaps %q", tag, name, a.Text, b.Text)
				}
			}
		}
	}
}

func TestOtherWidthsFitThePage(t *testing.T) {
	for _, mm := range []float64{160, 190, 260} {
		for name, p := range everyPicture(t, Width(mm), Untitled()) {
			s := p.Structure()
			assert.Equal(t, mm, s.WidthMM)
			for i, a := range s.Texts {
				assert.True(t, a.Box.Within(Box{0, 0, s.WidthMM, s.HeightMM}), "%v mm %s: %q leaves the page", mm, name, a.Text)
				for _, b := range s.Texts[i+1:] {
					assert.False(t, a.Box.grow(-0.1).Overlaps(b.Box.grow(-0.1)), "%v mm %s: %q overlaps %q", mm, name, a.Text, b.Text)
				}
			}
		}
	}
}
