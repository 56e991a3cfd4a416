package quote

import (
	"fmt"
	"math"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// recommendation is the answer: a box with three sentences, and the numbers
// behind them.
func (b *builder) recommendation() []Block {
	box := Callout{Label: labelRecommended, Title: systemName(b.r.System), Mark: report.GoodMark}
	if b.best < 0 {
		box.Label, box.Title, box.Mark = labelNone, say(titleNearest, systemName(b.r.System)), report.BadMark
		if len(b.run.Results) == 1 { // nothing was compared
			box.Label, box.Title = labelVerdict, say(titleFails, systemName(b.r.System))
		}
	}
	box.Texts = []Text{sentences(b.answer(), b.typically(), b.overDraws())}
	if more := b.further(); len(more) > 0 {
		box.Texts = append(box.Texts, sentences(more...))
	}
	return []Block{box, Figures{b.bigNumbers()}}
}

// answer is the first sentence: which system, and why this one.
func (b *builder) answer() Text {
	n := len(b.run.Results)
	systems := b.f.Number(float64(n), 0)
	switch {
	case b.best >= 0 && n == 1:
		return say(textOnlyCarries, b.system())
	case b.best >= 0 && b.judge == report.InPart:
		return say(textRecommendPart, b.system(), systems)
	case b.best >= 0:
		return say(textRecommend, b.system(), systems)
	case n == 1:
		return say(textOnlyFails, b.system(), b.seeSection(textSeeFixes, "fixes"))
	}
	return say(textNoneCarries, systems, b.system(), b.seeSection(textSeeFixes, "fixes"))
}

// typically is the second sentence: what happens in typical weather.
func (b *builder) typically() Text {
	r, f := b.r, b.f
	low := report.LowestDay(r)
	if low == nil {
		return nil
	}
	switch {
	case r.FlatDays > 0 || r.FlatH > 0:
		first := plain("")
		if len(r.Flats) > 0 {
			first = plain(f.DayClock(local(r, r.Flats[0].Start)))
		}
		return say(textTypicalFlat, f.Number(float64(r.FlatDays), 0), f.Count(len(r.Days), wordDay, wordDays), first, b.wh(r.Total.UnservedWh))
	case b.judge == report.FallsShort:
		return say(textTypicalShort, f.Percent(r.LowSoC), b.dayPlace(low.Date, low.Place), b.wh(r.Total.UnservedWh))
	}
	if goal := b.run.Goal.Reserve; b.judge == report.Thin && !r.Carried(goal) {
		return say(textTypicalThin, f.Percent(r.LowSoC), b.dayPlace(low.Date, low.Place), f.With(100*r.Reserve(), 0, wordPoints), report.CutOff(r, f), b.points(goal))
	}
	return say(textTypicalHolds, f.Percent(r.LowSoC), b.dayPlace(low.Date, low.Place), report.CutOff(r, f))
}

// overDraws is the third sentence: what happens in all kinds of weather.
func (b *builder) overDraws() Text {
	k, f := b.k, b.f
	if k == nil {
		return plain(textNoDraws)
	}
	goal, missed := b.run.Goal, k.NotCarried(b.run.Goal.Reserve)
	var over Text
	if missed.Share > goal.FlatRisk {
		over = say(textOverRisk, f.Share(goal.FlatRisk))
	}
	if missed != k.Flat {
		var thin Text
		if goal.Reserve > 0 {
			thin = say(textMissedThin, b.points(goal.Reserve))
		}
		over = say(textMissed, thin, f.Share(missed.Share), b.interval(missed), over)
	}
	risk := []any{b.draws(k.Draws), b.flatCount(), f.Share(k.Flat.Share), b.interval(k.Flat), over}
	if low := b.r.MinSoC + k.Reserve.Q05; k.Draws >= fewDraws && !flatInTwentieth(k) {
		return say(textDrawsHold, append(risk, f.Percent(low))...)
	}
	return say(textDrawsFlat, risk...)
}

// fewDraws is how many trips it takes to speak of 19 of 20.
const fewDraws = 20

// flatInTwentieth reports whether more than one simulated trip in twenty runs
// flat: there is then no charge that 19 of 20 keep.
func flatInTwentieth(k *sim.Risk) bool { return 20*k.FlatDraws > k.Draws || k.Reserve.Q05 <= 0 }

// flatCount is the number of simulated trips with a flat battery, in words when
// it is none.
func (b *builder) flatCount() string {
	if b.k.FlatDraws == 0 {
		return wordNone
	}
	return b.draws(b.k.FlatDraws)
}

// further says what the three sentences leave open: appliances that do without.
func (b *builder) further() []Text {
	r := b.r
	var more []Text
	for _, t := range outletTexts {
		if names := b.withoutOutlet(b.shown, t.lack); len(names) > 0 {
			more = append(more, say(t.text, join(names, ", ")))
		}
	}
	if r.Total.ShedWh > 1 {
		more = append(more, say(textShed, b.wh(r.Total.ShedWh)))
	}
	for i := range r.Loads {
		if l := &r.Loads[i]; l.CouldNotHold {
			more = append(more, say(textTooWarm, shortName(l.Name), b.f.Temperature(l.WarmestC)))
		}
	}
	return more
}

// outletTexts are the sentences on why AC appliances are not fed away from powered
// sites, in the order in which they are said.
var outletTexts = []struct {
	lack report.OutletLack
	text string
}{{report.NoInverter, textNoOutlet}, {report.SmallInverter, textTooSmall}, {report.InverterOff, textOffThen}}

// withoutOutlet lists the appliances that a system cannot feed, for one reason or,
// with NoLack, for any.
func (b *builder) withoutOutlet(system int, why report.OutletLack) []Text {
	var names []Text
	r := b.run.Results[system]
	for i := range r.Loads {
		if lack := report.LackOf(r, &r.Loads[i]); lack != report.NoLack && (lack == why || why == report.NoLack) {
			names = append(names, shortName(r.Loads[i].Name))
		}
	}
	if len(names) > 5 {
		names = append(names[:4:4], say(textAndMore, fmt.Sprint(len(names)-4)))
	}
	return names
}

// bigNumbers are the figures that people look for first.
func (b *builder) bigNumbers() []BigNumber {
	r, f := b.r, b.f
	var out []BigNumber
	if low := report.LowestDay(r); low != nil {
		out = append(out, BigNumber{f.Percent(r.LowSoC), labelLowest, b.day(low.Date) + ", " + wordTypical})
	}
	if b.k != nil {
		out = append(out, BigNumber{
			f.Share(b.k.Flat.Share), labelFlatRisk,
			say(textBigRisk, b.interval(b.k.Flat), b.draws(b.k.Draws)).String(),
		})
	} else {
		out = append(out, BigNumber{
			f.Number(float64(r.FlatDays), 0), labelFlatDays,
			fmt.Sprintf(textOfDays, f.Count(len(r.Days), wordDay, wordDays)),
		})
	}
	if !math.IsInf(r.AutonomyDays, 0) && !math.IsNaN(r.AutonomyDays) {
		out = append(out, BigNumber{f.With(r.AutonomyDays, 1, wordDays), labelAutonomy, noteAutonomy})
	}
	if price := b.money(r.System.Price); price != nil {
		out = append(out, BigNumber{price.String(), labelPrice, notePrice})
	}
	return out
}
