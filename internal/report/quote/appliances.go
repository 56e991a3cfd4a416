package quote

import (
	"fmt"
	"math"
	"time"

	"tripsim/internal/sim"
)

var midnight = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

func clockMinutes(n int) time.Duration { return time.Duration(n) * time.Minute }

// appliances lists what was taken to be on board, and how it is used.
func (b *builder) appliances() []Block {
	r, f := b.r, b.f
	b.table++
	t := &Table{
		Caption: say(captionAppliances, fmt.Sprint(b.table)), Dense: len(b.in.Loads) > 25,
		Columns: []Column{
			{Head: plain(headAppliance)},
			{Head: plain(headSupply)},
			{Head: plain(headPower), Numbers: true},
			{Head: plain(headUse)},
			{Head: plain(headPerDay), Numbers: true},
			{Head: plain(headShare), Numbers: true},
		},
	}
	days, total := math.Max(1, float64(len(r.Days))), 0.0
	asked := func(i int) float64 {
		if i < len(r.Loads) {
			return r.Loads[i].AskedWh
		}
		return math.NaN()
	}
	for i := range b.in.Loads {
		if wh := asked(i); !math.IsNaN(wh) {
			total += wh
		}
	}
	for i := range b.in.Loads {
		l := &b.in.Loads[i]
		share := ""
		if total > 0 {
			share = f.Percent(asked(i) / total)
		}
		label := name(l.Name)
		if l.Medical {
			label = say(textMedicalMark, label)
		}
		t.Rows = append(t.Rows, Row{Cells: []Text{
			label, plain(supplyWords[l.Supply]), plain(b.watts(l)), b.use(l, i),
			plain(b.wh(asked(i) / days)), plain(share),
		}})
	}
	t.Rows = append(t.Rows, Row{Kind: TotalRow, Cells: []Text{plain(wordTogether), nil, nil, nil, plain(b.wh(total / days)), nil}})
	t.Notes = []Text{plain(noteAppliances)}
	return []Block{Paragraph{Text: plain(textAppliancesLead)}, t}
}

// watts is an appliance's power while on, and what it draws when not.
func (b *builder) watts(l *sim.Load) string {
	w := l.Watts
	if l.Kind == sim.Fridge && l.Fridge != nil {
		w = l.Fridge.WithDefaults().CompressorW
	}
	text := b.f.With(w, decimals(w), "W")
	if l.StandbyW > 0 && l.Kind != sim.Fridge {
		text += fmt.Sprintf(textStandby, b.f.With(l.StandbyW, decimals(l.StandbyW), "W"))
	}
	return text
}

// decimals shows small powers and times with the tenth or the hundredths that they
// have.
func decimals(w float64) int {
	switch tenths := w * 10; {
	case w >= 100 || w == math.Trunc(w):
		return 0
	case math.Abs(tenths-math.Round(tenths)) < 1e-9:
		return 1
	}
	return 2
}

// use says in words when and how long an appliance runs.
func (b *builder) use(l *sim.Load, i int) Text {
	f := b.f
	var text string
	switch l.Kind {
	case sim.Steady:
		text = wordAllDay
	case sim.Window:
		text = fmt.Sprintf(textWindow, b.clock(l.Window.StartH), b.hours(l.Window.Hours))
		if l.Window.Hours >= 24 {
			text = wordAllDay
		}
	case sim.Uses:
		times := ""
		for k, h := range l.TimesH {
			if k > 0 {
				times += ", "
			}
			times += b.clock(h)
		}
		text = fmt.Sprintf(textUses, f.With(l.Minutes, decimals(l.Minutes), "min"), times)
	case sim.Fridge:
		text = b.fridgeUse(l, i)
	}
	if l.Kind != sim.Fridge && l.Duty > 0 && l.Duty < 1 {
		text += fmt.Sprintf(textDuty, f.Percent(l.Duty))
	}
	if l.Days != sim.AllDays {
		text += ", " + dayWords[l.Days]
	}
	if !l.Essential && b.r.System.ShedSoC > 0 {
		text += ", " + wordNotEssential
	}
	return plain(text)
}

func (b *builder) fridgeUse(l *sim.Load, i int) string {
	f := b.f
	if l.Fridge == nil {
		return wordThermostat
	}
	d := l.Fridge.WithDefaults()
	text := fmt.Sprintf(textFridge, f.With(d.Litres, 0, "l"), f.Temperature(d.SetpointC))
	if i < len(b.r.Loads) {
		if duty := b.r.Loads[i].DutyMean; duty > 0 {
			text += fmt.Sprintf(textFridgeRuns, f.Percent(duty))
		}
	}
	return text
}
