package chart

import (
	"bytes"
	"encoding/binary"
	"image/color"
	"image/png"
	"math"
	"strings"
	"testing"
	"time"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-pdf/fpdf"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"

	"tripsim/internal/sim"
)

func TestResultsThatCannotBeDrawnAreRefused(t *testing.T) {
	draw := func(r *sim.Result) error {
		_, err := StateOfCharge(r, nil)
		_, err2 := EnergyByDay(r)
		_, err3 := TypicalDay(r)
		require.Equal(t, err, err2)
		require.Equal(t, err, err3)
		return err
	}
	spoil := func(change func(r *sim.Result)) *sim.Result {
		r := inventedTrips()["week"].result()
		change(r)
		return r
	}
	assert.ErrorContains(t, draw(nil), "no result")
	assert.ErrorContains(t, draw(&sim.Result{}), "no result")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Rows, r.Slots, r.Days = nil, nil, nil })), "no steps")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Rows[7].SoC = math.NaN() })), "step 8 is NaN")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Rows[7].SoC = 1.2 })), "step 8 is 1.2")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Slots[3].Up = math.Inf(1) })), "step 4")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Days[2].FlatH = math.NaN() })), "day 3")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Days[2].FirstRow++ })), "day 3")
	assert.ErrorContains(t, draw(spoil(func(r *sim.Result) { r.Slots = r.Slots[1:] })), "slots")

	_, err := EnergyByDay(spoil(func(r *sim.Result) { r.Days[1].SolarWh = math.NaN() }))
	assert.ErrorContains(t, err, "day 2")
	_, err = TypicalDay(spoil(func(r *sim.Result) { r.Rows[1].SolarWh = math.NaN() }))
	assert.ErrorContains(t, err, "NaN")
	r := inventedTrips()["week"].result()
	risk := inventedRisk(r)
	risk.Bands[4].Q25 = math.NaN()
	_, err = StateOfCharge(r, risk)
	assert.ErrorContains(t, err, "hour 5")
	risk = inventedRisk(r)
	risk.ByDay = risk.ByDay[1:]
	_, err = StateOfCharge(r, risk)
	assert.ErrorContains(t, err, "6 days")
	_, err = StateOfCharge(r, nil, Width(20))
	assert.ErrorContains(t, err, "out of range")
}

func TestAdviceThatCannotBeDrawnIsRefused(t *testing.T) {
	nan := math.NaN()
	fail := func(want string, p *Picture, err error) {
		t.Helper()
		assert.Nil(t, p)
		assert.ErrorContains(t, err, want)
	}
	c := inventedComparison(3)
	c.Candidates[1].Flat.Low = nan
	p, err := Compare(c)
	fail("system 2", p, err)
	p, err = Compare(Comparison{Target: nan})
	fail("no system", p, err)
	c = inventedComparison(3)
	c.Target = 2
	p, err = Compare(c)
	fail("target", p, err)

	s := inventedSeason(2, 12, 0)
	s.Flat[1] = s.Flat[1][:5]
	p, err = Season(s)
	fail("line 2", p, err)
	s = inventedSeason(2, 12, 0)
	s.Flat[0][3].Share = 1.4
	p, err = Season(s)
	fail("start 4", p, err)

	g := inventedSizes(4, 3)
	g.X.Values[2] = g.X.Values[1]
	p, err = SizeMap(g)
	fail("do not grow", p, err)
	g = inventedSizes(4, 3)
	g.Flat[1][1] = nan
	p, err = SizeMap(g)
	fail("line 2", p, err)
	g = inventedSizes(4, 3)
	g.Best.X = 9
	p, err = SizeMap(g)
	fail("not on the", p, err)

	v := inventedVariation(2)
	v.Variations[1].Points[0].Value = nan
	p, err = Vary(v)
	fail("line 2", p, err)
	p, err = Vary(Variation{Target: nan})
	fail("nothing", p, err)

	k := inventedCalibration()
	k.Classes[2].Forecast = nan
	p, err = Reliability(k)
	fail("class 3", p, err)

	sun := inventedSun("x", 0.4)
	sun.GHIWm2[4][12] = nan
	p, err = SunYear(sun)
	fail("May", p, err)
	sun = inventedSun("x", 0.4)
	sun.Sunset = sun.Sunset[1:]
	p, err = SunYear(sun)
	fail("sunsets", p, err)
}

func TestDaysOf23And25HoursKeepTheirLength(t *testing.T) {
	back := inventedTrips()["clocks-back"].result()
	tr, err := newTrail(back)
	require.NoError(t, err)
	// European rule: the clocks of Oslo go back on 25 October 2026 (Directive
	// 2000/84/EC, last Sunday in October).
	assert.Equal(t, day(2026, time.October, 25), back.Days[2].Date)
	assert.InDelta(t, 25, tr.day(2).to-tr.day(2).from, 1e-9)
	assert.InDelta(t, 7*24+1, tr.endH, 1e-9)
	p, err := StateOfCharge(back, nil)
	require.NoError(t, err)
	assert.True(t, hasText(p, "25 Oct (25 h)"))

	spring := inventedTrips()["clocks-forward"].result()
	p, err = StateOfCharge(spring, nil)
	require.NoError(t, err)
	assert.True(t, hasText(p, "29 Mar (23 h)"))
}

func hasText(p *Picture, want string) bool {
	want = strings.ReplaceAll(want, " ", nbsp)
	for _, x := range p.Structure().Texts {
		if strings.ReplaceAll(x.Text, " ", nbsp) == want {
			return true
		}
	}
	return false
}

func TestFlatSpellsAndDaysShowWithoutColour(t *testing.T) {
	r := inventedTrips()["three-weeks"].result()
	p, err := StateOfCharge(r, nil)
	require.NoError(t, err)
	s := p.Structure()
	assert.Equal(t, len(r.Flats), s.Count("flat spell"))
	assert.Equal(t, r.FlatDays, s.Count("flat day"))
	for _, m := range s.Marks {
		if m.Kind == "flat spell" {
			assert.Equal(t, 3, m.Paths, "a fill, a hatch and an outline")
		}
	}
	assert.True(t, hasText(p, "flat 3 days"))
}

func TestNoFlatSpellNoFlag(t *testing.T) {
	p, err := StateOfCharge(inventedTrips()["week"].result(), nil)
	require.NoError(t, err)
	assert.Zero(t, p.Structure().Count("flat day"))
	assert.Zero(t, p.Structure().Count("flat spell"))
}

func TestBarsOfADayAreEquallyHigh(t *testing.T) {
	tr, err := newTrail(inventedTrips()["three-weeks"].result())
	require.NoError(t, err)
	for i, g := range tr.energyGroups() {
		in, out := g.stack(energyIn[:5]), g.stack(energyOut[:5])
		assert.InDelta(t, in, out, 1e-6*in+1e-6, "day %d", i+1)
	}
}

func TestSpansJoinStepsThatAreActiveInPart(t *testing.T) {
	r := inventedTrips()["one-day"].result()
	for i := range r.Slots {
		r.Slots[i].DriveH = 0
	}
	r.Slots[40].DriveH, r.Slots[41].DriveH, r.Slots[42].DriveH = 0.1, 0.25, 0.05 // 10:09 to 10:33
	r.Slots[60].DriveH = 0.2
	tr, err := newTrail(r)
	require.NoError(t, err)
	got := tr.driving()
	require.Len(t, got, 2)
	assert.InDelta(t, 10.15, got[0].from, 1e-9)
	assert.InDelta(t, 10.55, got[0].to, 1e-9)
	assert.InDelta(t, 0.2, got[1].to-got[1].from, 1e-9)
}

func TestThinKeepsEndsAndExtremes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(0, 100), 2, 3000).Draw(t, "y")
		n := rapid.IntRange(1, 200).Draw(t, "n")
		pts := make([]point, len(y))
		lo, hi := math.Inf(1), math.Inf(-1)
		for i, v := range y {
			pts[i] = point{float64(i), v}
			lo, hi = min(lo, v), max(hi, v)
		}
		out := thin(pts, n)
		gotLo, gotHi := math.Inf(1), math.Inf(-1)
		for i, p := range out {
			gotLo, gotHi = min(gotLo, p.y), max(gotHi, p.y)
			if i > 0 {
				require.Greater(t, p.x, out[i-1].x)
			}
		}
		require.Equal(t, pts[0], out[0])
		require.Equal(t, pts[len(pts)-1], out[len(out)-1])
		require.Equal(t, lo, gotLo)
		require.Equal(t, hi, gotHi)
		require.LessOrEqual(t, len(out), 4*n+8)
	})
}

func TestShortenedTextsFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.String().Draw(t, "text")
		width := rapid.Float64Range(0, 60).Draw(t, "width")
		got := shorten(s, textLetter, width)
		require.LessOrEqual(t, textLetter.widthMM(got), width+1e-9)
		require.Equal(t, got, printable(got), "shortening again changes nothing")
		for _, line := range wrap(s, textLetter, width, 2) {
			require.LessOrEqual(t, textLetter.widthMM(line), width+1e-9)
		}
	})
}

func TestPrintableHasNoLetterTheFontLacks(t *testing.T) {
	face := fonts.Lookup(faceOf(false, 1), 1).Face
	bold := fonts.Lookup(faceOf(true, 1), 1).Face
	rapid.Check(t, func(t *rapid.T) {
		for _, r := range printable(rapid.String().Draw(t, "text")) {
			var buf sfnt.Buffer
			g, err := face.GlyphIndex(&buf, r)
			require.NoError(t, err)
			require.NotZero(t, g, "%U", r)
			b, err := bold.GlyphIndex(&buf, r)
			require.NoError(t, err)
			require.NotZero(t, b, "%U in bold", r)
		}
	})
	for in, want := range map[string]string{
		"São João":         "São João",
		"Sa\u0303o":        "São", // composed
		"京都 camp":          "? camp",
		"שלום":             "?",
		"a\x00b\tc\nd":     "ab c d",
		"\u202Eevil\u202C": "evil",
		"🚐🏕️ van":          "? van",
		"bad \xff utf":     "bad ? utf",
		"рейс Ωμέγα":       "рейс Ωμέγα",
		"  much   space ":  "much space",
		"<b>&\"'</b>":      "<b>&\"'</b>",
	} {
		assert.Equal(t, want, printable(in))
	}
	assert.Equal(t, "stop 3", nameOr("京都", "stop 3"))
	assert.Equal(t, "stop 3", nameOr(" \u200b", "stop 3"))
}

// Forms of the Unicode Common Locale Data Repository for the four languages.
func TestNumbersAndDatesFollowTheLocale(t *testing.T) {
	d := day(2026, time.March, 4)
	for tag, want := range map[string][3]string{
		"en":    {"4 Mar 2026", "12,345.7", "4 Mar"},
		"en-US": {"Mar 4, 2026", "12,345.7", "Mar 4"},
		"de-CH": {"4. März 2026", "12.345,7", "4. März"},
		"fr_FR": {"4 mars 2026", "12 345,7", "4 mars"},
		"es":    {"4 mar 2026", "12.345,7", "4 mar"},
	} {
		l, ok := LocaleFor(tag)
		require.True(t, ok)
		got := [3]string{l.date(d), l.number(12345.67, 1), l.day(d)}
		for i := range got {
			got[i] = strings.ReplaceAll(got[i], nbsp, " ")
		}
		assert.Equal(t, want, got, tag)
	}
	_, ok := LocaleFor("tlh")
	assert.False(t, ok)
}

func TestPercentNeverRoundsToNeverOrAlways(t *testing.T) {
	for share, want := range map[float64]string{0: "0 %", 0.0004: "<0.1 %", 0.001: "0.1 %", 0.034: "3.4 %", 0.05: "5 %", 0.128: "13 %",
		0.994: "99.4 %", 0.9999: ">99.9 %", 1: "100 %", 0.0999: "10 %"} {
		assert.Equal(t, want, strings.ReplaceAll(English.percent(share), nbsp, " "), "%v", share)
	}
	assert.Equal(t, "−1,200", English.number(-1200, 0))
	assert.Equal(t, "0", English.number(-0.2, 0))
}

func TestContourOfAConeIsACircle(t *testing.T) {
	const n, radius = 61, 20.0
	var xs []float64
	var z [][]float64
	for i := range n {
		xs = append(xs, float64(i)-30)
	}
	for j := range n {
		line := make([]float64, n)
		for i := range n {
			line[i] = math.Hypot(xs[i], xs[j])
		}
		z = append(z, line)
	}
	lines := contours(xs, xs, z, radius)
	require.Len(t, lines, 1)
	ring := lines[0]
	assert.Equal(t, ring[0], ring[len(ring)-1], "closed")
	for _, p := range ring {
		assert.InDelta(t, radius, math.Hypot(p.x, p.y), 0.01)
	}
}

func TestContoursCrossEachCellEdgeOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nx, ny := rapid.IntRange(2, 7).Draw(t, "nx"), rapid.IntRange(2, 7).Draw(t, "ny")
		xs, ys := make([]float64, nx), make([]float64, ny)
		for i := range xs {
			xs[i] = float64(i)
		}
		for j := range ys {
			ys[j] = float64(j)
		}
		z := make([][]float64, ny)
		for j := range z {
			z[j] = rapid.SliceOfN(rapid.Float64Range(0, 1), nx, nx).Draw(t, "z")
		}
		level := rapid.Float64Range(0.01, 0.99).Draw(t, "level")
		crossings := 0
		for j := range ny {
			for i := range nx {
				if i+1 < nx && (z[j][i] >= level) != (z[j][i+1] >= level) {
					crossings++
				}
				if j+1 < ny && (z[j][i] >= level) != (z[j+1][i] >= level) {
					crossings++
				}
			}
		}
		got := 0
		for _, line := range contours(xs, ys, z, level) {
			got += len(line)
			if line[0] == line[len(line)-1] {
				got--
			}
		}
		require.Equal(t, crossings, got)
	})
}

func TestHatchesStayInTheirRectangle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := func(name string) vg.Length { return vg.Length(rapid.Float64Range(-200, 600).Draw(t, name)) }
		x, y := at("x"), at("y")
		r := vg.Rectangle{Min: vg.Point{X: x, Y: y}, Max: vg.Point{X: x + vg.Length(rapid.Float64Range(0.1, 300).Draw(t, "w")), Y: y + vg.Length(rapid.Float64Range(0.1, 300).Draw(t, "h"))}}
		var path vg.Path
		diagonals(&path, r, 1)
		diagonals(&path, r, -1)
		levels(&path, r)
		speckle(&path, r)
		for _, c := range path {
			if c.Type == vg.CloseComp {
				continue
			}
			require.True(t, c.Pos.X >= r.Min.X-1e-6 && c.Pos.X <= r.Max.X+1e-6 && c.Pos.Y >= r.Min.Y-1e-6 && c.Pos.Y <= r.Max.Y+1e-6)
		}
	})
}

// Okabe & Ito (2008), "Color Universal Design": the published sRGB values.
func TestColoursAreThePublishedOnes(t *testing.T) {
	for want, got := range map[[3]uint8]color.NRGBA{
		{230, 159, 0}: orange, {86, 180, 233}: skyBlue, {0, 158, 115}: green, {240, 228, 66}: yellow,
		{0, 114, 178}: blue, {213, 94, 0}: vermillion, {204, 121, 167}: purple,
	} {
		assert.Equal(t, want, [3]uint8{got.R, got.G, got.B})
	}
}

// WCAG 2.1: black on white is 21:1; #767676 on white is the lightest grey that
// reaches 4.5:1 (W3C, Understanding success criterion 1.4.3; from memory).
func TestContrastRatio(t *testing.T) {
	assert.InDelta(t, 21, contrast(rgb(0), paper), 1e-9)
	assert.InDelta(t, 4.54, contrast(rgb(0x767676), paper), 0.005)
	assert.Less(t, contrast(rgb(0x777777), paper), 4.5)
	assert.GreaterOrEqual(t, contrast(mutedInk, paper), 7.0)
	for i := range 101 {
		shade := riskRamp.at(float64(i) / 100)
		assert.GreaterOrEqual(t, contrast(inkOn(shade), shade), 4.5)
	}
}

func TestRampsKeepTheirOrderInGrey(t *testing.T) {
	for _, r := range []ramp{riskRamp, sunRamp} {
		last := 2.0
		for i := range 101 {
			l := luminance(r.at(float64(i) / 100))
			assert.LessOrEqual(t, l, last)
			last = l
		}
	}
}

func TestNoTwoLayersOfAStackShareAPattern(t *testing.T) {
	for _, stack := range [][]energyPart{energyIn, energyOut} {
		seen := map[pattern]string{}
		for _, p := range stack {
			if p.look.pattern == plain && p.edge {
				continue // dashed outline
			}
			key := p.look.pattern
			if other, dup := seen[key]; dup {
				a, b := p.look.fill.(color.NRGBA), lookOf(stack, other).fill.(color.NRGBA)
				assert.Greater(t, contrast(a, b), 1.25, "%s and %s", p.name, other)
			}
			seen[key] = p.name
		}
	}
}

func lookOf(stack []energyPart, name string) look {
	for _, p := range stack {
		if p.name == name {
			return p.look
		}
	}
	return look{fill: paper}
}

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
	for name, paint := range map[string]func(p *Picture) ([]byte, error){"svg": (*Picture).SVG, "pdf": (*Picture).PDF,
		"png": func(p *Picture) ([]byte, error) { return p.PNG(PrintDPI) }} {
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
