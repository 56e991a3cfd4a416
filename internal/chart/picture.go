package chart

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Picture is a finished drawing that has not been painted yet. Name serves for
// file names, Title is its heading, AltText says in words what it shows, for
// people who do not see it.
type Picture struct {
	Name, Title, AltText string
	WidthMM, HeightMM    float64
	frames               []*frame
	top                  *frame // painted last, over everything
}

// Option changes the look or the language of a picture.
type Option func(*options)

type options struct {
	locale   Locale
	widthMM  float64
	untitled bool
	trip     string
	recorded bool
}

// In sets numbers and dates in the manner of a locale; English without it.
func In(l Locale) Option { return func(o *options) { o.locale = l } }

// Width sets the picture's width, mm (160 to 400; 170 without it). Type keeps
// its size.
func Width(mm float64) Option { return func(o *options) { o.widthMM = mm } }

// Untitled leaves the title line out, for documents that set their own.
func Untitled() Option { return func(o *options) { o.untitled = true } }

// OfTrip names the trip on a picture of a single run, instead of the name that
// the trip itself has.
func OfTrip(title string) Option { return func(o *options) { o.trip = title } }

// OnRecord says that the trips behind a risk are recorded, not simulated: they
// come from a weather file.
func OnRecord() Option { return func(o *options) { o.recorded = true } }

// trips puts the words for recorded trips into a text, where they are.
func (o *options) trips(s string) string {
	if !o.recorded {
		return s
	}
	return strings.NewReplacer(wordSimulated, wordRecorded).Replace(s)
}

// tripName is what a picture calls the trip; "" when it has no readable name.
func (o *options) tripName(own string) string { return nameOr(o.trip, nameOr(own, "")) }

func newOptions(opts []Option) (options, error) {
	o := options{locale: English, widthMM: pageWidthMM}
	for _, set := range opts {
		set(&o)
	}
	if !(o.widthMM >= 160 && o.widthMM <= 400) {
		return o, fmt.Errorf("chart: a width of %v mm is out of range; use 160 to 400, e.g. 170", o.widthMM)
	}
	if o.locale.isZero() {
		o.locale = English
	}
	return o, nil
}

func (p *Picture) widthPt() float64  { return fromMM(p.WidthMM).Points() }
func (p *Picture) heightPt() float64 { return fromMM(p.HeightMM).Points() }

// paint draws every frame, in order, on a canvas of the picture's size.
func (p *Picture) paint(c vg.Canvas) {
	page := draw.NewCanvas(c, fromMM(p.WidthMM), fromMM(p.HeightMM))
	page.SetColor(paper)
	page.Fill(page.Rectangle.Path())
	frames := p.frames
	if p.top != nil {
		frames = append(frames[:len(frames):len(frames)], p.top)
	}
	for _, f := range frames {
		f.plot.Draw(draw.Crop(page, fromMM(f.box.Left), -fromMM(p.WidthMM-f.box.Right),
			fromMM(p.HeightMM-f.box.Bottom), -fromMM(f.box.Top)))
	}
}

// frame is one plot on the page. Its axes are drawn by plotters of ours, so
// that the data area is exactly its box and frames line up.
type frame struct {
	box  Box
	plot *plot.Plot
}

// frame adds a plot with the given box and data ranges to the picture.
func (p *Picture) frame(b Box, xmin, xmax, ymin, ymax float64) *frame {
	f := newFrame(b, xmin, xmax, ymin, ymax)
	p.frames = append(p.frames, f)
	return f
}

func newFrame(b Box, xmin, xmax, ymin, ymax float64) *frame {
	pl := plot.New()
	pl.TextHandler = handler
	pl.BackgroundColor = nil
	pl.HideAxes()
	pl.X.Padding, pl.Y.Padding = 0, 0
	pl.X.Min, pl.X.Max, pl.Y.Min, pl.Y.Max = xmin, xmax, ymin, ymax
	return &frame{b, pl}
}

// sheet is a frame over the whole page with mm from the top-left corner as its
// coordinates, for titles, keys and labels. It is painted over the others.
func (p *Picture) sheet() *frame {
	p.top = newFrame(Box{0, 0, p.WidthMM, p.HeightMM}, 0, p.WidthMM, 0, p.HeightMM)
	p.top.plot.Y.Scale = plot.InvertedScale{Normalizer: plot.LinearScale{}}
	return p.top
}

// settle tells a sheet the height that the picture came to.
func (f *frame) settle(p *Picture) { f.box.Bottom, f.plot.Y.Max = p.HeightMM, p.HeightMM }

// halo veils what lies behind a text.
func (f *frame) halo(b Box) {
	f.add("halo", func(n *nib) { n.fill(n.rect(b.Left, b.Top, b.Right, b.Bottom), paperVeil) })
}

// add puts a mark of a kind on the frame.
func (f *frame) add(kind string, paint func(*nib)) {
	f.plot.Add(mark{kind, paint})
}

// downwards makes y grow from the top, 0, to rows at the bottom.
func downwards(f *frame, rows float64) {
	f.plot.Y.Min, f.plot.Y.Max = 0, rows
	f.plot.Y.Scale = plot.InvertedScale{Normalizer: plot.LinearScale{}}
}

// xMM and yMM are where data come to lie on the page.
func (f *frame) xMM(x float64) float64 {
	return f.box.Left + f.plot.X.Norm(x)*(f.box.Right-f.box.Left)
}

func (f *frame) yMM(y float64) float64 {
	return f.box.Bottom - f.plot.Y.Norm(y)*(f.box.Bottom-f.box.Top)
}

// mark is a plot.Plotter made of a function.
type mark struct {
	kind  string
	paint func(*nib)
}

// innermost is the canvas inside the crops that a plot puts around it.
func innermost(c vg.Canvas) vg.Canvas {
	for {
		wrapped, ok := c.(draw.Canvas)
		if !ok {
			return c
		}
		c = wrapped.Canvas
	}
}

// marker is a canvas that wants to know what is being drawn.
type marker interface {
	beginMark(kind string)
	endMark()
}

// Plot implements plot.Plotter.
func (m mark) Plot(c draw.Canvas, pl *plot.Plot) {
	if noter, ok := innermost(c).(marker); ok {
		noter.beginMark(m.kind)
		defer noter.endMark()
	}
	x, y := pl.Transforms(&c)
	m.paint(&nib{c, x, y})
}

// header writes title and subtitle and returns how many mm they take. The
// subtitle is wrapped to two lines at most.
func (p *Picture) header(f *frame, o *options, subtitle string) float64 {
	y := marginMM
	width := p.WidthMM - 2*marginMM
	if !o.untitled {
		y += titleLetter.heightMM()
		f.text(titleLetter, marginMM, y-descentMM(titleLetter), shorten(p.Title, titleLetter, width), atLeft)
		y += 1.2
	}
	for _, line := range wrap(o.trips(subtitle), smallLetter, width, 2) {
		y += smallLetter.heightMM()
		f.text(smallLetter, marginMM, y-descentMM(smallLetter), line, atLeft)
		y += 0.6
	}
	return y
}

func descentMM(l letter) float64 { return toMM(vg.Length(l.sizePt) * descent) }

// finite reports an error naming the first value that is not a number.
func finite(what string, values ...float64) error {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("chart: %s holds %v, which cannot be drawn", what, v)
		}
	}
	return nil
}
