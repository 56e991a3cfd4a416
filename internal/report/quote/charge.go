package quote

import (
	"slices"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// charge shows the state of charge over the trip, and why it runs flat.
func (b *builder) charge() []Block {
	r, k := b.r, b.k
	lead := say(textChargeLead, b.system())
	if k != nil {
		lead = sentences(lead, plain(textChargeBand))
	}
	blocks := []Block{Paragraph{Text: lead}}
	blocks = append(blocks, b.picture(plain(captionCharge), func(o ...chart.Option) (*chart.Picture, error) {
		return chart.StateOfCharge(r, k, o...)
	})...)
	if spells := b.spells(); len(spells) > 0 {
		blocks = append(blocks, Paragraph{Text: plain(headSpells), Kind: Head}, List{Items: spells, Mark: report.BadMark})
	}
	if events := b.events(); len(events) > 0 {
		blocks = append(blocks, Paragraph{Text: plain(headEvents), Kind: Head}, List{Items: events, Mark: report.WarnMark})
	}
	return blocks
}

// linesMost is how many spells or events are listed one by one.
const linesMost = 12

// spells lists the flat spells, one line each.
func (b *builder) spells() []Text { return b.lines(report.FlatSpells(b.r, b.f)) }

// events lists overloads, trips, refused charge and the like. Appliances without
// an outlet stand in the table of systems; a fridge that hardly runs is a hint for
// who writes the tables.
func (b *builder) events() []Text {
	r := *b.r
	r.Events = slices.DeleteFunc(slices.Clone(r.Events), func(e sim.Event) bool { return e.Kind == sim.NoOutlet || e.Kind == sim.FridgeIdle })
	if len(r.Events) == 0 {
		return nil
	}
	lines := report.Events(&r, b.f)
	for i := range lines {
		lines[i] = asSentence(lines[i])
	}
	return b.lines(lines)
}

// lines takes finished lines, which hold names among their words.
func (b *builder) lines(lines []string) []Text {
	var out []Text
	for i, line := range lines {
		if i == linesMost {
			out = append(out, say(textAndMore, b.f.Number(float64(len(lines)-i), 0)))
			break
		}
		out = append(out, Text{{S: report.Tied(report.Clean(line)), Name: true}})
	}
	return out
}

// energy shows where the energy comes from and where it goes.
func (b *builder) energy() []Block {
	r := b.r
	days := max(1, float64(len(r.Days)))
	t := &r.Total
	perDay := func(wh float64) string { return b.wh(wh / days) }
	blocks := []Block{Paragraph{Text: say(textEnergyLead, perDay(t.ServedWh()),
		perDay(t.SolarBusWh), perDay(t.AlternatorBusWh), perDay(t.MainsBusWh+t.TransferWh))}}
	blocks = append(blocks, b.picture(plain(captionEnergy), func(o ...chart.Option) (*chart.Picture, error) {
		return chart.EnergyByDay(r, o...)
	})...)
	blocks = append(blocks, b.picture(plain(captionTypicalDay), func(o ...chart.Option) (*chart.Picture, error) {
		return chart.TypicalDay(r, o...)
	})...)
	lost := say(textLosses, b.wh(t.ChargerLossWh), b.wh(t.InverterLossWh), b.wh(t.BatteryLossWh+t.SelfDischargeWh))
	if t.SpilledWh > 1 {
		lost = sentences(lost, say(textSpilled, b.wh(t.SpilledWh)))
	}
	return append(blocks, Paragraph{Text: lost, Kind: Note})
}

// comparePicture shows risk, reserve and sources of all systems.
func (b *builder) comparePicture() []Block {
	if len(b.run.Results) < 2 || b.k == nil {
		return nil
	}
	c := &sim.Comparison{Draws: b.k.Draws}
	for i, r := range b.run.Results {
		k := b.run.Risk(i)
		if k == nil {
			return nil
		}
		c.Systems = append(c.Systems, sim.Compared{System: r.System, Risk: k})
	}
	drawn := chart.ComparisonOf(c, "", b.run.Currency, sim.Goal(b.run.Goal), b.best)
	return b.picture(plain(captionCompare), func(o ...chart.Option) (*chart.Picture, error) { return chart.Compare(drawn, o...) })
}
