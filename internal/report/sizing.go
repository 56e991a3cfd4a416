package report

import (
	"math"
	"strings"

	"tripsim/internal/sim"
)

// SizeAdvice is the smallest battery, charger and panel for one system.
type SizeAdvice struct {
	Basis   *Basis
	System  *sim.System
	Sizings []*sim.Sizing // one per quantity asked about
	Budget  *sim.Budget   // nil = left out
	Prices  sim.Prices
	// ExactStep is the step to which Sizing.Exact was searched, in its unit.
	ExactStep float64
}

// Text lays the advice out for a terminal.
func (a *SizeAdvice) Text(s Screen) string {
	var b strings.Builder
	b.WriteString(a.Basis.heading(s, aboutSize))
	for _, z := range a.Sizings {
		b.WriteString(s.Heading(s.Format.Text(textSizeTitle, capitalOf(z.Quantity), Describe(a.System, s.Format))))
		for _, line := range a.answer(z, s.Format) {
			b.WriteString(s.Paragraph("", "", line))
		}
		t := a.Points(z, s.Format).pick("size", "not_carried_pct", "not_carried_interval", "flat_risk_pct", "reserve_pct", "unserved_wh", "price", "result")
		if z.Best >= 0 && len(t.Rows) > z.Best+1+sizesBeyond && z.Monotone {
			t.Rows = t.Rows[:z.Best+1+sizesBeyond]
			t.Notes = append(t.Notes, textLargerSizes)
		}
		if notAsked(z) {
			t.Notes = append(t.Notes, textNotAsked)
		}
		b.WriteString("\n" + t.Render(s) + "\n")
	}
	b.WriteString(s.Paragraph("", "", a.Basis.notCarried(s.Format)) + "\n")
	if a.Budget != nil {
		b.WriteString(a.budgetText(s) + "\n")
	}
	b.WriteString(a.Basis.foot(s))
	return b.String()
}

// moreReserve is a difference of reserve, 0..1, that is worth a word.
const moreReserve = 0.01

// notAsked reports whether a smaller battery is flat less often than a larger one
// beyond chance, or keeps more in reserve, yet leaves more unserved.
func notAsked(z *sim.Sizing) bool {
	if z.Quantity != sim.BatterySize {
		return false
	}
	for i := 1; i < len(z.Points); i++ {
		small, large := &z.Points[i-1], &z.Points[i]
		if (small.Flat.High < large.Flat.Low || small.Reserve > large.Reserve+moreReserve) && small.UnservedWh > large.UnservedWh+negligibleWh {
			return true
		}
	}
	return false
}

// sizesBeyond is how many sizes above the smallest that holds a terminal shows.
const sizesBeyond = 3

// sizeText is a size with its unit: "2 × 200 Ah".
func sizeText(q sim.Quantity, size float64, count int, f Format) string {
	if count > 1 {
		return f.Number(float64(count), 0) + " × " + f.With(size/float64(count), decimalsOf(size/float64(count)), q.Unit())
	}
	return f.With(size, decimalsOf(size), q.Unit())
}

// decimalsOf shows a decimal only where there is one.
func decimalsOf(x float64) int {
	if math.Abs(x-math.Round(x)) < 0.05 {
		return 0
	}
	return 1
}

func wordOf(q sim.Quantity) string { return [...]string{wordBattery, wordCharger, wordPanel}[q] }

func capitalOf(q sim.Quantity) string {
	return [...]string{wordBatteryCapital, wordChargerCapital, wordPanelCapital}[q]
}

func pointText(z *sim.Sizing, i int, f Format) string {
	p := &z.Points[i]
	return sizeText(z.Quantity, p.Size, p.Count, f)
}

// answer says in sentences which size holds and how sure that is.
func (a *SizeAdvice) answer(z *sim.Sizing, f Format) []string {
	var out []string
	accepted, trips := f.Share(z.Goal.FlatRisk), a.Basis.Recorded.many()
	if z.Best < 0 {
		last := len(z.Points) - 1
		p := &z.Points[last]
		limits := p.Failed.Share-p.Flat.Share > 0.5 && p.UnservedWh > negligibleWh
		out = append(out, f.Text(textNoSize, wordOf(z.Quantity), pointText(z, last, f), f.Share(p.Failed.Share), trips, ShareInterval(p.Failed, f), accepted))
		if limits {
			out[0] += " " + f.Text(textLimits, f.With(p.UnservedWh, 0, "Wh"))
		}
	} else {
		p := &z.Points[z.Best]
		if p.Size == 0 {
			out = append(out, f.Text(textSmallestNone, wordOf(z.Quantity), f.Share(p.Failed.Share), trips, ShareInterval(p.Failed, f), accepted))
		} else {
			out = append(out, f.Text(textSmallest, pointText(z, z.Best, f), wordOf(z.Quantity), f.Share(p.Failed.Share), trips, ShareInterval(p.Failed, f), accepted))
		}
		if z.Best > 0 {
			below := z.Points[z.Best-1].Failed
			out[0] += " " + f.Text(textNextSmaller, pointText(z, z.Best-1, f), f.Share(below.Share), ShareInterval(below, f))
		}
	}
	switch {
	case a.Basis.single(): // says so in its heading
	case z.Certain:
		out[0] += " " + textSure
	case a.Basis.Recorded != nil:
		out[0] += " " + textUnsureRecord
	case z.NeedDraws > z.Draws:
		out[0] += " " + f.Text(textUnsure, plainCount(z.NeedDraws))
	default:
		out[0] += " " + textUnsureMany
	}
	if !math.IsNaN(z.Exact) {
		step := f.With(a.ExactStep, decimalsOf(a.ExactStep), z.Quantity.Unit())
		out[0] += " " + f.Text(textExact, step, sizeText(z.Quantity, z.Exact, 1, f))
	}
	if has := z.Quantity.Size(a.System); has > 0 {
		out = append(out, f.Text(textHasNow, sizeText(z.Quantity, has, bankCount(z.Quantity, a.System), f)))
	} else {
		out = append(out, textHasNone)
	}
	if !z.Monotone {
		out = append(out, textNotMonotone)
	}
	if first, last := &z.Points[0], &z.Points[len(z.Points)-1]; len(z.Points) > 1 && first.Failed == last.Failed && z.Monotone {
		out[0] += " " + f.Text(textNoMatter, pointText(z, 0, f), pointText(z, len(z.Points)-1, f))
	}
	if z.Quantity == sim.PanelSize {
		if w := regulatorsW(a.System); w > 0 {
			out = append(out, f.Text(textRegulator, f.With(w, 0, "W"), regulatorsText(a.System, f)))
		}
	}
	return out
}

// plainCount is a number as it is typed on the command line.
func plainCount(n int) string {
	return strings.TrimSpace(string(appendNumber(nil, float64(n))))
}

func bankCount(q sim.Quantity, s *sim.System) int {
	if q == sim.BatterySize {
		return max(1, s.Battery.Count)
	}
	return 1
}

// regulatorsW is about what the solar inputs pass, at 1.1 times the nominal
// voltage.
func regulatorsW(s *sim.System) float64 {
	amps := inputA(s, func(c *sim.Charger) float64 { return c.SolarA })
	return amps * s.Battery.NominalV * 1.1
}

func regulatorsText(s *sim.System, f Format) string {
	return f.With(inputA(s, func(c *sim.Charger) float64 { return c.SolarA }), 0, "A")
}

// Points is the table of the sizes that were tried.
func (a *SizeAdvice) Points(z *sim.Sizing, f Format) *Table {
	priceHead, priced := "", 0
	for i := range z.Points {
		if !math.IsNaN(z.Points[i].Price) {
			priced++
		}
	}
	if priced > 1 {
		priceHead = a.Basis.priceHead(headPrice)
	}
	t := &Table{Columns: []Column{
		{Key: "system", Doc: "name of the system"},
		{Key: "quantity", Doc: "what is sized: battery, charger or panel"},
		{Key: "size", Head: headSize, Doc: "size in Ah, A or W"},
		{Key: "unit", Doc: "unit of the size"},
		{Key: "batteries", Doc: "equal batteries side by side"},
		{Key: "not_carried_pct", Head: headNotCarried, Doc: docNotCarried},
		{Key: "not_carried_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "not_carried_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "not_carried_interval", Head: headInterval, Drop: 1},
		{Key: "flat_risk_pct", Head: headRisk, Drop: 2, Doc: "share of simulated trips with a flat battery, %"},
		{Key: "reserve_pct", Head: headReserve, Percent: true, Drop: 3, Doc: "mean lowest state of charge above the cut-off, %"},
		{Key: "unserved_wh", Head: headUnserved, Drop: 4, Doc: "mean unserved energy per trip, Wh"},
		{Key: "price", Head: priceHead, Drop: 5, Doc: "price in the job's currency"},
		{Key: "holds", Doc: "yes if the share not carried is accepted"},
		{Key: "result", Head: headResult},
	}}
	for i := range z.Points {
		t.Rows = append(t.Rows, a.pointRow(z, i, f))
	}
	return t
}

func (a *SizeAdvice) pointRow(z *sim.Sizing, i int, f Format) Row {
	p := &z.Points[i]
	word, mark := wordFails, NoMark
	if p.Holds {
		word = wordHolds
		if p.Failed.High > z.Goal.FlatRisk {
			word = wordHoldsUnsure
		}
	} else if p.Failed.Low <= z.Goal.FlatRisk {
		word = wordFailsUnsure
	}
	if i == z.Best {
		mark = GoodMark
	}
	return Row{Mark: mark, Cells: []Cell{
		Text(a.System.Name), Text(z.Quantity.String()), Number(p.Size).Shown(pointText(z, i, f)), Text(z.Quantity.Unit()), Number(float64(p.Count)),
		shareCell(p.Failed.Share, f), Number(100 * p.Failed.Low), Number(100 * p.Failed.High), Text(ShareInterval(p.Failed, f)),
		shareCell(p.Flat.Share, f), Number(100 * p.Reserve), Number(p.UnservedWh), Number(p.Price), Yes(p.Holds), Text(word),
	}}
}

// budgetText prints the classical size and why it differs.
func (a *SizeAdvice) budgetText(s Screen) string {
	f, g := s.Format, a.Budget
	ah := func(x float64) string { return f.With(x, 0, "Ah") }
	days := func(x float64) string { return f.With(x, decimalsOf(x), plural(x, textDay, textDays)) }
	var b strings.Builder
	b.WriteString(s.Heading(textBudgetTitle))
	b.WriteString(s.Paragraph("", "", f.Text(textBudgetLine, f.With(g.DailyWh, 0, "Wh"), f.With(g.NominalV, 0, "V"),
		f.With(g.DailyWh/g.NominalV, 1, "Ah"), days(g.AutonomyDays), f.Share(g.MaxDepth), f.Number(g.TempFactor, 2), f.Temperature(g.ColdestC),
		f.Share(g.EndOfLife), f.Share(g.Margin-1), ah(g.Ah))))
	b.WriteString(s.Paragraph("", "", f.Text(textBudgetSheet, ah(g.WorksheetAh))))
	if g.SunKWhM2 > 0 {
		b.WriteString(s.Paragraph("", "", f.Text(textBudgetPanel, f.With(g.SunKWhM2, 1, "kWh/m²"), f.With(g.PanelW, 0, "W"))))
	}
	if g.DailyWh > 0 {
		b.WriteString(s.Paragraph("", "", f.Text(textBudgetAutonomy, autonomyText(g.BatteryDays, f))))
	}
	if lines := a.why(f); len(lines) > 0 {
		b.WriteString(s.Heading(textWhyTitle))
		for _, line := range lines {
			b.WriteString(s.Paragraph("- ", "  ", line))
		}
	}
	return b.String()
}

func plural(x float64, one, many string) string {
	if x == 1 {
		return one
	}
	return many
}

// why explains the difference between the classical size and the simulated one.
func (a *SizeAdvice) why(f Format) []string {
	var z *sim.Sizing
	for _, have := range a.Sizings {
		if have.Quantity == sim.BatterySize {
			z = have
		}
	}
	if z == nil {
		return nil
	}
	g := a.Budget
	wh := func(x float64) string { return f.With(x, 0, "Wh") }
	days := func(x float64) string { return f.With(x, decimalsOf(x), plural(x, textDay, textDays)) }
	var out []string
	if g.ChargedWh < 1 {
		out = append(out, f.Text(textWhyNoCharging, days(float64(g.Days)), days(g.AutonomyDays)))
	} else {
		out = append(out, f.Text(textWhyCharging, days(g.AutonomyDays), f.Hours(g.LongestGapH), wh(g.SolarWh), wh(g.AlternatorWh), wh(g.MainsWh), wh(g.DailyWh)))
	}
	usable := g.BridgeWh / g.NominalV / g.MaxDepth
	out = append(out, f.Text(textWhyBridge, wh(g.BridgeWh), f.Percent(g.BridgeWh/(g.DailyWh*g.AutonomyDays)), wh(g.DailyWh*g.AutonomyDays), f.With(usable, 0, "Ah")))
	if z.Best < 0 {
		return out
	}
	best := z.Points[z.Best].Size
	out = append(out, f.Text(textWhyAllowances, f.Share(g.Margin/g.EndOfLife-1), f.Share(a.System.Battery.Health), f.With(best/g.EndOfLife, 0, "Ah")))
	if z.Best > 0 && z.Points[z.Best-1].Failed.Share-z.Points[z.Best-1].Flat.Share > 0.5 {
		return append(out, textWhyCurrent)
	}
	return append(out, textWhyWeather)
}
