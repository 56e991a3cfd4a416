package chart

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/plot/vg"

	"tripsim/internal/sim"
)

// Variation is the share of trips not carried as one setting takes several values.
type Variation struct {
	Trip       string
	Draws      int
	Setting    string // what is varied, in words or as table.column or table[row].column
	Unit       string
	Target     float64 // NaN = none
	Variations []VariedSystem
}

// VariedSystem is one line of a variation, its points by growing value.
type VariedSystem struct {
	Name   string
	Points []VariedPoint
}

// VariedPoint is the share of trips not carried at one value of the setting.
type VariedPoint struct {
	Value      float64
	NotCarried sim.Proportion
}

// Vary draws for each system a line through its shares of trips not carried with the interval
// of each; systems differ in sign, dash and colour and are named at the right.
func Vary(v Variation, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	if err := v.check(); err != nil {
		return nil, err
	}
	setting := nameOr(SettingInWords(v.Setting), "setting")
	p := &Picture{Name: "vary", WidthMM: o.widthMM, HeightMM: 400, AltText: spoken(v.alt(&o))}
	p.Title = fmt.Sprintf(wordVary, shorten(setting, titleLetter, 110))
	sheet := p.sheet()
	sub := []string{fmt.Sprintf(wordVarySub, o.locale.number(float64(v.Draws), 0))}
	if name := nameOr(v.Trip, ""); name != "" {
		sub = append(sub, shorten(name, smallLetter, 60))
	}
	y := p.header(sheet, &o, strings.Join(sub, nbsp+"· ")) + 2.5
	lo, hi, highest := v.ranges()
	pad := max((hi-lo)*0.04, 1e-9)
	top := min(1, niceTop(max(highest, 0.02), 5))
	f := p.frame(Box{17, y, o.widthMM - 46, y + 48}, lo-pad, hi+pad, 0, top)
	ticks, _ := niceTicks(0, top, 5)
	f.yAxis(ticks, o.locale.percent, "")
	if !math.IsNaN(v.Target) && v.Target <= top {
		f.add("accepted risk", func(n *nib) { n.line(lo-pad, v.Target, hi+pad, v.Target, vermillion, rulePt+0.2, dashed) })
	}
	labels := v.draw(f, &o)
	if !math.IsNaN(v.Target) && v.Target <= top {
		labels = append(labels, sideLabel{text: wordTargetShort + " " + o.locale.percent(v.Target), letter: smallLetter, y: f.yMM(v.Target)})
	}
	sideLabels(sheet, f.box.Right, f.box.Top+1.5, f.box.Bottom+6, labels)
	f.border()
	title := shorten(setting, smallLetter, 70)
	if v.Unit != "" {
		title += ", " + shorten(v.Unit, smallLetter, 20)
	}
	values := v.values(lo, hi, f)
	decimals := 0
	for _, x := range values {
		decimals = max(decimals, decimalsOf(x))
	}
	down := f.xAxis(values, func(x float64) string { return o.locale.number(x, decimals) }, title)
	p.HeightMM = math.Ceil(f.box.Bottom + max(down, 7.5) + marginMM)
	sheet.settle(p)
	return p, nil
}

func capital(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	return strings.ToUpper(string(r[:1])) + string(r[1:])
}

func (v *Variation) check() error {
	if len(v.Variations) == 0 {
		return errors.New("chart: there is nothing varied to draw")
	}
	if err := checkTarget(v.Target); err != nil {
		return err
	}
	for i, s := range v.Variations {
		if len(s.Points) == 0 {
			return fmt.Errorf("chart: line %d of the variation has no points", i+1)
		}
		for j, q := range s.Points {
			if err := finite(fmt.Sprintf("line %d of the variation", i+1), q.Value); err != nil {
				return err
			}
			if j > 0 && q.Value <= s.Points[j-1].Value {
				return fmt.Errorf("chart: line %d of the variation does not grow: %v after %v", i+1, q.Value, s.Points[j-1].Value)
			}
			if err := checkShare(fmt.Sprintf("point %d of line %d of the variation", j+1, i+1), q.NotCarried); err != nil {
				return err
			}
		}
	}
	return nil
}

func (v *Variation) alt(o *options) string {
	var lines []string
	for i, s := range v.Variations {
		var at []string
		for _, q := range s.Points {
			at = append(at, fmt.Sprintf(wordVaryAt, o.locale.percent(q.NotCarried.Share), o.locale.number(q.Value, decimalsOf(q.Value))+" "+v.Unit))
		}
		lines = append(lines, fmt.Sprintf(wordVaryAlt, nameOr(s.Name, fmt.Sprintf(wordSystemNo, i+1)), strings.Join(at, ", ")))
	}
	return strings.Join(lines, " ")
}

func (v *Variation) ranges() (lo, hi, highest float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, s := range v.Variations {
		for _, q := range s.Points {
			lo, hi, highest = min(lo, q.Value), max(hi, q.Value), max(highest, q.NotCarried.High)
		}
	}
	if hi == lo {
		hi, lo = hi+max(1, math.Abs(hi)*0.1), lo-max(1, math.Abs(lo)*0.1)
	}
	return lo, hi, highest
}

// values are the ticks: the values that were tried, or round ones if those
// stand too close.
func (v *Variation) values(lo, hi float64, f *frame) []float64 {
	tried := map[float64]bool{}
	var all []float64
	for _, s := range v.Variations {
		for _, q := range s.Points {
			if !tried[q.Value] {
				tried[q.Value] = true
				all = append(all, q.Value)
			}
		}
	}
	slices.Sort(all)
	if got := spaced(all, f.xMM, 9); len(got) == len(all) {
		return all
	}
	ticks, _ := niceTicks(lo, hi, 7)
	return ticks
}

func (v *Variation) draw(f *frame, o *options) []sideLabel {
	var labels []sideLabel
	shift := 0.0
	if n := len(v.Variations); n > 1 {
		shift = 0.7 // mm between the whiskers of different lines
	}
	for k, s := range v.Variations {
		dx := (float64(k) - float64(len(v.Variations)-1)/2) * shift
		f.add("line", func(n *nib) {
			line := make([]vg.Point, len(s.Points))
			for i, q := range s.Points {
				line[i] = n.at(q.Value, q.NotCarried.Share).Add(mm(dx, 0))
			}
			n.strokePoints(line, lineColours[(k+k/len(lineDashes))%len(lineColours)], curvePt, lineDashes[k%len(lineDashes)])
		})
		for _, q := range s.Points {
			f.add("point", func(n *nib) {
				lo, hi := n.at(q.Value, q.NotCarried.Low).Add(mm(dx, 0)), n.at(q.Value, q.NotCarried.High).Add(mm(dx, 0))
				cap := mm(0.7, 0)
				n.strokePoints(line2(lo, hi), ink, thinPt, nil)
				n.strokePoints(line2(lo.Sub(cap), lo.Add(cap)), ink, thinPt, nil)
				n.strokePoints(line2(hi.Sub(cap), hi.Add(cap)), ink, thinPt, nil)
				n.glyph(k, n.at(q.Value, q.NotCarried.Share).Add(mm(dx, 0)), 1.15)
			})
		}
		last := s.Points[len(s.Points)-1]
		name := shorten(nameOr(s.Name, fmt.Sprintf(wordSystemNo, k+1)), inkLetter, 34)
		labels = append(labels, sideLabel{text: name, letter: inkLetter, y: f.yMM(last.NotCarried.Share), sign: k + 1})
	}
	return labels
}
