package quote

import (
	"fmt"

	"tripsim/internal/profiles"
	"tripsim/internal/report"
)

const goodMark = report.GoodMark

// cautions are in every document.
func (b *builder) cautions() []Block {
	items := []Text{plain(cautionEstimate), plain(cautionDanger), plain(cautionFuse)}
	switch peakA, inputA := b.currents(); {
	case peakA > 0 && inputA > 0:
		items = append(items, say(cautionCurrents, b.f.With(peakA, 0, "A"), b.f.With(inputA, 0, "A")))
	case peakA > 0:
		items = append(items, say(cautionCurrent, b.f.With(peakA, 0, "A")))
	}
	items = append(items, plain(cautionMains))
	if b.lithium() {
		items = append(items, b.coldCaution())
	}
	if b.lead() {
		items = append(items, plain(cautionLead))
	}
	return []Block{List{Items: append(items, b.medicalCaution()), Mark: report.WarnMark}}
}

// currents are the largest discharge current of the battery and the largest
// input current of the chargers from the alternator in typical weather, A.
func (b *builder) currents() (peakA, inputA float64) {
	for i := range b.r.Rows {
		peakA, inputA = max(peakA, b.r.Rows[i].PeakA), max(inputA, b.r.Rows[i].InputA)
	}
	return peakA, inputA
}

func (b *builder) chemistry(is func(profiles.Chemistry) bool) bool {
	for _, r := range b.run.Results {
		if is(r.System.Battery.Chemistry) {
			return true
		}
	}
	return false
}

func (b *builder) lithium() bool {
	return b.chemistry(func(c profiles.Chemistry) bool { return c.Lithium() })
}

func (b *builder) lead() bool {
	return b.chemistry(func(c profiles.Chemistry) bool { return !c.Lithium() })
}

// coldCaution warns of charging in the frost, with the coldest air of the trip.
func (b *builder) coldCaution() Text {
	coldest := 100.0
	for i := range b.r.Days {
		coldest = min(coldest, b.r.Days[i].TempMinC)
	}
	text := plain(cautionCold)
	if coldest < 5 {
		text = sentences(text, say(cautionColdTrip, b.f.Temperature(coldest)))
	}
	return text
}

// medicalCaution names the appliances that somebody's health depends on.
func (b *builder) medicalCaution() Text {
	var names []Text
	for i := range b.in.Loads {
		if b.in.Loads[i].Medical {
			names = append(names, shortName(b.in.Loads[i].Name))
		}
	}
	if len(names) == 0 {
		return plain(cautionMedical)
	}
	return strong(say(cautionMedicalNamed, join(names, ", ")))
}

// colophon says how the document was made and how to make it again.
func (b *builder) colophon() []Text {
	o := b.run.Options
	lines := []Text{
		say(colophonMade, name(b.run.Program), b.f.Date(b.in.Date)),
		say(colophonInput, b.run.Hash, fmt.Sprint(o.Seed), b.draws(b.run.Draws), b.f.With(o.Step.Minutes(), decimals(o.Step.Minutes()), "min"), o.Sky.Source(), b.f.Number(o.Albedo, 2), b.linke(), b.spread()),
	}
	if b.in.Remake != "" {
		lines = append(lines, say(colophonRemake, name(b.in.Remake)))
	}
	return lines
}

func (b *builder) linke() string {
	if b.run.Options.Linke > 0 {
		return b.f.Number(b.run.Options.Linke, 1)
	}
	return wordByRule
}

func (b *builder) spread() string {
	if b.run.Options.UseSpread > 0 {
		return b.f.Percent(b.run.Options.UseSpread)
	}
	return wordAsPlanned
}
