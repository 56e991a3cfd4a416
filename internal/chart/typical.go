package chart

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"

	"tripsim/internal/sim"
)

// TypicalDay draws the mean power of the trip by local clock hour: the sources
// stacked, what the appliances drew as a line over them, and hatched above it
// what was unserved.
func TypicalDay(r *sim.Result, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	t, err := newTrail(r)
	if err != nil {
		return nil, err
	}
	d, err := t.meanDay()
	if err != nil {
		return nil, err
	}
	p := &Picture{Name: "typical-day", WidthMM: o.widthMM, HeightMM: 200}
	p.Title = wordTypical + ": " + nameOr(r.System.Name, wordSystem)
	in, load := d.peak(d.sourcesW), d.peak(d.loadW)
	p.AltText = spoken(fmt.Sprintf(wordTypicalAlt, nameOr(r.System.Name, wordSystem), o.locale.days(len(r.Days)),
		o.locale.number(d.sourcesW(in), 0), clock(d.clock(in)), o.locale.number(d.loadW(load), 0), clock(d.clock(load))))
	sub := []string{fmt.Sprintf(wordTypicalSub, o.locale.days(len(r.Days))), o.locale.dates(r.Days[0].Date, r.Days[len(r.Days)-1].Date)}
	if r.Weather != "" {
		sub = append(sub, strings.TrimRight(printable(r.Weather), ". "))
	}

	sheet := p.sheet()
	y := p.header(sheet, &o, strings.Join(sub, nbsp+"· ")) + 1
	drawing := &typicalPicture{d: d, o: &o, sheet: sheet}
	drawing.f = newFrame(Box{17, 0, o.widthMM - 24, 55}, 0, 24, 0, niceTop(d.top()*1.04, 5))
	y = key(sheet, marginMM, y, o.widthMM-2*marginMM, "", drawing.key())
	drawing.f.box.Top, drawing.f.box.Bottom = y+2.5, y+57.5
	p.frames = append(p.frames, drawing.f)
	drawing.draw()
	p.HeightMM = math.Ceil(drawing.f.box.Bottom + drawing.axis() + marginMM)
	sheet.settle(p)
	return p, nil
}

// meanDay holds mean powers by part of the local clock day.
type meanDay struct {
	binH   float64
	source [4][]float64 // W: solar, alternator, mains, transfer
	served []float64
	asked  []float64
	spilt  []float64
	night  []float64 // share of the bin without sun
}

var sourceParts = energyIn[:4]

func (t *trail) meanDay() (*meanDay, error) {
	bins := 48
	if t.stepH > 0.5 {
		bins = 24
	}
	d := &meanDay{binH: 24 / float64(bins)}
	for k := range d.source {
		d.source[k] = make([]float64, bins)
	}
	hours := make([]float64, bins)
	for _, v := range []*[]float64{&d.served, &d.asked, &d.spilt, &d.night} {
		*v = make([]float64, bins)
	}
	for i := range t.r.Rows {
		l, slot := &t.r.Rows[i].Ledger, &t.r.Slots[i]
		b := min(bins-1, max(0, int(slot.LocalH/d.binH+1e-9)))
		hours[b] += t.stepH
		for k, part := range sourceParts {
			d.source[k][b] += part.wh(l)
		}
		d.served[b] += l.ServedWh()
		d.asked[b] += l.ServedWh() + l.UnservedWh
		d.spilt[b] += l.SpilledWh
		d.night[b] += (1 - slot.Up) * t.stepH
	}
	for b, h := range hours {
		if h == 0 { // an hour that the clocks skipped, on a trip of that day alone
			continue
		}
		for k := range d.source {
			d.source[k][b] /= h
		}
		d.served[b] /= h
		d.asked[b] /= h
		d.spilt[b] /= h
		d.night[b] /= h
	}
	return d, finite("the mean day", slices.Concat(d.source[0], d.source[1], d.source[2], d.source[3], d.asked, d.spilt)...)
}

func (d *meanDay) bins() int                { return len(d.served) }
func (d *meanDay) clock(bin int) float64    { return float64(bin) * d.binH }
func (d *meanDay) loadW(bin int) float64    { return d.served[bin] }
func (d *meanDay) sourcesW(bin int) float64 { return d.stack(bin, len(d.source)) }

// stack is the height of the lowest n sources.
func (d *meanDay) stack(bin, n int) float64 {
	sum := 0.0
	for k := range n {
		sum += d.source[k][bin]
	}
	return sum
}

func (d *meanDay) peak(of func(int) float64) int {
	best := 0
	for b := range d.bins() {
		if of(b) > of(best) {
			best = b
		}
	}
	return best
}

func (d *meanDay) top() float64 {
	top := 1.0
	for b := range d.bins() {
		top = max(top, d.sourcesW(b)+d.spilt[b], d.asked[b])
	}
	return top
}

type typicalPicture struct {
	d     *meanDay
	o     *options
	sheet *frame
	f     *frame
}

// key is what the parts of the picture mean.
func (p *typicalPicture) key() []keyEntry {
	var out []keyEntry
	for k, part := range sourceParts {
		if slices.Max(p.d.source[k]) >= 0.5 {
			out = append(out, keyEntry{name: part.name, look: part.look})
		}
	}
	if slices.Max(p.d.spilt) >= 0.5 {
		out = append(out, keyEntry{name: wordSpilled, dash: true})
	}
	if p.unserved() {
		out = append(out, keyEntry{name: wordUnserved, look: lookUnserved, dash: true})
	}
	return out
}

func (p *typicalPicture) unserved() bool {
	for b := range p.d.bins() {
		if p.d.asked[b]-p.d.served[b] >= 0.5 {
			return true
		}
	}
	return false
}

func (p *typicalPicture) draw() {
	f, d := p.f, p.d
	ticks, decimals := niceTicks(0, f.plot.Y.Max, 5)
	f.add("night", func(n *nib) {
		for b := range d.bins() {
			if d.night[b] > 0.5 {
				n.fill(n.rect(d.clock(b), 0, d.clock(b)+d.binH, f.plot.Y.Max), nightVeil)
			}
		}
	})
	f.yAxis(ticks, func(v float64) string {
		if v == 0 {
			return "0"
		}
		return p.o.locale.number(v, decimals) + nbsp + "W"
	}, "")
	for k, part := range sourceParts {
		if slices.Max(d.source[k]) >= 0.5 {
			f.add(part.kind, func(n *nib) { p.layer(n, k, part.look) })
		}
	}
	if slices.Max(d.spilt) >= 0.5 {
		f.add("spilled", func(n *nib) {
			n.stroke(p.steps(func(b int) float64 { return d.sourcesW(b) + d.spilt[b] }), ink, rulePt, []vg.Length{2, 1.2})
		})
	}
	p.load()
	f.border()
}

// layer fills source k on top of the sources below it.
func (p *typicalPicture) layer(n *nib, k int, l look) {
	var rects []vg.Rectangle
	for b := range p.d.bins() {
		lo, hi := p.d.stack(b, k), p.d.stack(b, k+1)
		if hi-lo > 1e-9 {
			rects = append(rects, n.rect(p.d.clock(b), lo, p.d.clock(b)+p.d.binH+0.01, hi))
		}
	}
	n.fillLook(l, rects...)
	n.stroke(p.steps(func(b int) float64 { return p.d.stack(b, k+1) }), ink, hairPt, nil)
}

// steps is a stepped line over the bins.
func (p *typicalPicture) steps(of func(bin int) float64) []point {
	var pts []point
	for b := range p.d.bins() {
		x := p.d.clock(b)
		pts = append(pts, point{x, of(b)}, point{x + p.d.binH, of(b)})
	}
	return pts
}

func (p *typicalPicture) load() {
	d, f := p.d, p.f
	if p.unserved() {
		f.add("unserved", func(n *nib) {
			var rects []vg.Rectangle
			for b := range d.bins() {
				if d.asked[b] > d.served[b] {
					rects = append(rects, n.rect(d.clock(b), d.served[b], d.clock(b)+d.binH+0.01, d.asked[b]))
				}
			}
			n.hatch(crossing, vermillion, rects...)
			n.stroke(p.steps(func(b int) float64 { return d.asked[b] }), ink, rulePt, dashed)
		})
	}
	served := p.steps(d.loadW)
	f.add("load", func(n *nib) {
		n.stroke(served, paper, strongPt+1.6, nil)
		n.stroke(served, ink, strongPt, nil)
	})
	last := d.bins() - 1
	side := []sideLabel{{text: wordAppliances, letter: alertLetter, y: f.yMM(d.served[last])}}
	if d.asked[last]-d.served[last] >= 0.5 {
		side = append(side, sideLabel{text: wordDemand, letter: smallLetter, y: f.yMM(d.asked[last])})
	}
	sideLabels(p.sheet, f.box.Right, f.box.Top+1.5, f.box.Bottom-1.5, side)
}

func (p *typicalPicture) axis() float64 {
	var ticks []float64
	for h := 0.0; h <= 24; h += 3 {
		ticks = append(ticks, h)
	}
	return p.f.xAxis(ticks, func(h float64) string { return fmt.Sprintf("%02.0f:00", h) }, wordClock)
}
