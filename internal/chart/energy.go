package chart

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"

	"tripsim/internal/sim"
)

// EnergyByDay draws for each local day two bars: on the left what came in from
// each source, on the right where it went. What the battery gave or took stands
// on top of the shorter one, so that both are equally high. Solar power that
// nothing could take is outlined above the sources, unserved energy above
// the uses. Trips of more than 120 days are drawn by weeks.
func EnergyByDay(r *sim.Result, opts ...Option) (*Picture, error) {
	o, err := newOptions(opts)
	if err != nil {
		return nil, err
	}
	t, err := newTrail(r)
	if err != nil {
		return nil, err
	}
	if err := checkLedgers(r); err != nil {
		return nil, err
	}
	groups := t.energyGroups()
	p := &Picture{Name: "energy-by-day", WidthMM: o.widthMM, HeightMM: 200}
	p.Title = wordEnergy + ": " + nameOr(r.System.Name, wordSystem)
	p.AltText = spoken(fmt.Sprintf(wordEnergyAlt, nameOr(r.System.Name, wordSystem), o.locale.days(len(r.Days)), o.locale.energy(r.Total.InWh()),
		o.locale.energy(r.Total.SolarWh), o.locale.energy(r.Total.AlternatorWh), o.locale.energy(r.Total.MainsWh+r.Total.TransferWh),
		o.locale.energy(r.Total.ServedWh()), o.locale.energy(r.Total.LossWh()), o.locale.energy(r.Total.SpilledWh), o.locale.energy(r.Total.UnservedWh)))

	sheet := p.sheet()
	y := p.header(sheet, &o, energySubtitle(t, &o, groups[0].days > 1)) + 1.8
	ins, outs := parts(groups, energyIn), parts(groups, energyOut)
	y = key(sheet, marginMM, y, o.widthMM-2*marginMM, wordLeftBar, entriesOf(ins))
	y = key(sheet, marginMM, y, o.widthMM-2*marginMM, wordRightBar, entriesOf(outs))
	base := y + 1.5
	if flatDays(r) > 0 {
		base = y + flagRowMM
	}
	top := 0.0
	for _, g := range groups {
		top = max(top, g.stack(energyIn), g.stack(energyOut))
	}
	unit, scale := "Wh", 1.0
	if top > 9999 {
		unit, scale = "kWh", 1000
	}
	ticks, decimals := niceTicks(0, max(top, 1)/scale, 5)
	f := p.frame(Box{17, base + 0.8, o.widthMM - 6, base + 0.8 + 47}, 0, t.endH, 0, max(top*1.02, 1)/scale)
	f.yAxis(ticks, func(v float64) string {
		if v == 0 {
			return "0"
		}
		return o.locale.number(v, decimals) + nbsp + unit
	}, "")
	drawBars(f, groups, ins, 0, scale)
	drawBars(f, groups, outs, 1, scale)
	f.add("axis", func(n *nib) { n.line(0, 0, t.endH, 0, ink, rulePt, nil) })
	flags(sheet, f, t, &o, base)
	p.HeightMM = math.Ceil(dayAxis(sheet, f, t, &o, f.box.Bottom+0.6, false) + marginMM)
	sheet.settle(p)
	return p, nil
}

func checkLedgers(r *sim.Result) error {
	for i := range r.Days {
		l := &r.Days[i].Ledger
		if err := finite(fmt.Sprintf("the energy account of day %d", i+1), l.SolarWh, l.AlternatorWh, l.MainsWh, l.TransferWh,
			l.DCLoadWh, l.ACLoadWh, l.HeaterWh, l.LossWh(), l.StoreChangeWh, l.SpilledWh, l.UnservedWh); err != nil {
			return err
		}
	}
	return nil
}

func energySubtitle(t *trail, o *options, weekly bool) string {
	r := t.r
	n := float64(len(r.Days))
	s := []string{fmt.Sprintf(wordEnergySub, o.locale.energy(r.Total.InWh()/n), o.locale.energy(r.Total.ServedWh()/n))}
	if r.Total.SpilledWh >= 1 {
		s = append(s, fmt.Sprintf(wordSpiltSub, o.locale.energy(r.Total.SpilledWh)))
	}
	if r.Total.UnservedWh >= 1 {
		s = append(s, fmt.Sprintf(wordShortSub, o.locale.energy(r.Total.UnservedWh)))
	}
	if weekly {
		s = append(s, wordByWeek)
	}
	s = append(s, o.locale.dates(r.Days[0].Date, r.Days[len(r.Days)-1].Date))
	return strings.Join(s, nbsp+"· ")
}

// energyGroup is a day, or the mean day of a week.
type energyGroup struct {
	sim.Ledger
	span
	days int
}

func (t *trail) energyGroups() []energyGroup {
	size := 1
	if len(t.r.Days) > 120 {
		size = 7
	}
	var out []energyGroup
	for i := 0; i < len(t.r.Days); i += size {
		last := min(i+size, len(t.r.Days)) - 1
		g := energyGroup{span: span{t.day(i).from, t.day(last).to}, days: last - i + 1}
		for d := i; d <= last; d++ {
			g.Ledger.Add(&t.r.Days[d].Ledger)
		}
		out = append(out, g)
	}
	return out
}

// energyPart is one layer of a stack.
type energyPart struct {
	kind string
	name string
	look look
	wh   func(l *sim.Ledger) float64
	edge bool // outlined with dashes
}

var energyIn = []energyPart{
	{kind: "solar", name: wordSolar, look: lookSolar, wh: func(l *sim.Ledger) float64 { return l.SolarWh }},
	{kind: "alternator", name: wordAlternator, look: lookAlternator, wh: func(l *sim.Ledger) float64 { return l.AlternatorWh }},
	{kind: "mains", name: wordMains, look: lookMains, wh: func(l *sim.Ledger) float64 { return l.MainsWh }},
	{kind: "transfer", name: wordTransfer, look: lookTransfer, wh: func(l *sim.Ledger) float64 { return l.TransferWh }},
	{kind: "from battery", name: wordFromBattery, look: lookBattery, wh: func(l *sim.Ledger) float64 { return max(0, -l.StoreChangeWh) }},
	{kind: "spilled", name: wordSpilled, look: lookSpilled, wh: func(l *sim.Ledger) float64 { return l.SpilledWh }, edge: true},
}

var energyOut = []energyPart{
	{kind: "DC loads", name: wordDC, look: lookDC, wh: func(l *sim.Ledger) float64 { return l.DCLoadWh }},
	{kind: "AC loads", name: wordAC, look: lookAC, wh: func(l *sim.Ledger) float64 { return l.ACLoadWh }},
	{kind: "heater", name: wordHeater, look: lookHeater, wh: func(l *sim.Ledger) float64 { return l.HeaterWh }},
	{kind: "losses", name: wordLosses, look: lookLoss, wh: func(l *sim.Ledger) float64 { return l.LossWh() }},
	{kind: "into battery", name: wordToBattery, look: lookBattery, wh: func(l *sim.Ledger) float64 { return max(0, l.StoreChangeWh) }},
	{kind: "unserved", name: wordUnserved, look: lookUnserved, wh: func(l *sim.Ledger) float64 { return l.UnservedWh }, edge: true},
}

func (g *energyGroup) stack(parts []energyPart) float64 {
	sum := 0.0
	for _, p := range parts {
		sum += max(0, p.wh(&g.Ledger)) / float64(g.days)
	}
	return sum
}

// parts drops what is nowhere to be seen.
func parts(groups []energyGroup, all []energyPart) []energyPart {
	var out []energyPart
	for _, p := range all {
		for i := range groups {
			if p.wh(&groups[i].Ledger) >= 0.5 {
				out = append(out, p)
				break
			}
		}
	}
	return out
}

func entriesOf(list []energyPart) []keyEntry {
	out := make([]keyEntry, len(list))
	for i, p := range list {
		out[i] = keyEntry{name: p.name, look: p.look, dash: p.edge}
	}
	return out
}

// drawBars stacks the parts as the left (0) or right (1) bar of each group.
func drawBars(f *frame, groups []energyGroup, list []energyPart, side int, scale float64) {
	base := make([]float64, len(groups))
	groupMM := f.xMM(groups[0].to) - f.xMM(groups[0].from)
	pad := 0.09
	if groupMM < 3 {
		pad = 0.05
	}
	if groupMM > 60 { // a single day: not a wall
		pad = 0.3
	}
	for _, part := range list {
		from := append([]float64(nil), base...)
		for i := range groups {
			base[i] += max(0, part.wh(&groups[i].Ledger)) / float64(groups[i].days) / scale
		}
		to := append([]float64(nil), base...)
		f.add(part.kind, func(n *nib) {
			var rects []vg.Rectangle
			for i, g := range groups {
				if to[i]-from[i] <= 1e-9 {
					continue
				}
				wide := g.to - g.from
				x0 := g.from + wide*pad
				mid := (g.from + g.to) / 2
				x1 := mid
				if side == 1 {
					x0, x1 = mid, g.to-wide*pad
				}
				rects = append(rects, n.rect(x0, from[i], x1, to[i]))
			}
			n.fillLook(part.look, rects...)
			var dash []vg.Length
			if part.edge {
				dash = []vg.Length{2, 1.2}
			}
			for _, r := range rects {
				n.outline(r, ink, hairPt+0.1, dash)
			}
		})
	}
}
