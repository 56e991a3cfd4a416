package quote

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// sources says what every number rests on: the parts as they were reckoned
// with, the climate of each place and how far away its data are, the model
// behind each figure, and what was noticed about the input.
func (b *builder) sources() []Block {
	blocks := []Block{Paragraph{Text: plain(textSourcesLead)}, Paragraph{Text: plain(headAssumed), Kind: Head}, b.assumed()}
	blocks = append(blocks, Paragraph{Text: plain(headClimate), Kind: Head})
	if b.run.Recorded != nil {
		blocks = append(blocks, Paragraph{Text: b.recordText()})
	}
	if !b.replaced() {
		blocks = append(blocks, b.climate())
	}
	for _, s := range b.run.Sources {
		blocks = append(blocks, Paragraph{Text: name(strings.TrimSuffix(s, ".") + "."), Kind: Note})
	}
	blocks = append(blocks, Paragraph{Text: plain(headModels), Kind: Head}, b.models())
	if len(b.run.Warnings) > 0 {
		var lines []string
		for _, w := range b.run.Warnings {
			lines = append(lines, asSentence(withoutFile(w)))
		}
		items := b.lines(lines)
		blocks = append(blocks, Paragraph{Text: plain(headWarnings), Kind: Head}, List{Items: items, Mark: report.WarnMark})
	}
	return blocks
}

// assumed lists the values that the system was reckoned with.
func (b *builder) assumed() Block {
	s, f := b.r.System, b.f
	c := s.Battery.Chemistry
	var facts []Fact
	put := func(label string, t Text) {
		if len(t) > 0 {
			facts = append(facts, Fact{label, t})
		}
	}
	battery := []Text{say(textBatteryAssumed, b.batteryText(s), f.Percent(s.StartSoC), report.CutOff(b.r, f),
		f.Percent(reconnect(s)), f.Percent(s.Battery.Health))}
	if v := s.Battery.CutoffV; v > 0 {
		battery = append(battery, say(textCutoffV, f.With(v, decimals(v), "V")))
	}
	put(labelBattery, sentences(battery...))
	if c.Lithium() {
		put(labelChargeLimits, say(textLithiumLimits, f.Temperature(c.ChargeMinC), f.Temperature(c.ChargeMaxC)))
	} else {
		put(labelChargeLimits, plain(textLeadLimits))
	}
	var units []Text
	for i := range s.Chargers {
		u := &s.Chargers[i]
		units = append(units, say(textUnit, shortName(u.Name), b.inputsText(u), f.Percent(u.Efficiency)))
	}
	put(labelChargers, join(units, "; "))
	switch {
	case !b.anyAlternator():
	case math.IsNaN(s.AlternatorSpareA):
		put(labelAlternator, plain(textAlternatorEnough))
	default:
		put(labelAlternator, say(textAlternatorSpare, f.With(s.AlternatorSpareA, 0, "A")))
	}
	var panels []Text
	for i := range s.Panels {
		panels = append(panels, b.panelText(&s.Panels[i]))
	}
	put(labelPanels, join(panels, "; "))
	if s.Inverter.RatedW > 0 {
		put(labelInverter, say(textInverter, f.With(s.Inverter.RatedW, 0, "W"), f.With(s.Inverter.SurgeW, 0, "W"),
			f.With(s.Inverter.IdleW, decimals(s.Inverter.IdleW), "W"), inverterModes[s.InverterMode]))
	}
	if s.StandbyW > 0 {
		put(labelStandby, plain(f.With(s.StandbyW, decimals(s.StandbyW), "W")))
	}
	return Facts{facts}
}

// inputsText lists the inputs of a charging unit, and its shared limit where that
// is less than they are together: "30 A alternator, 20 A solar, together up to 30 A".
func (b *builder) inputsText(u *sim.Charger) Text {
	var inputs []Text
	amps := func(a float64) string { return b.f.With(a, decimals(a), "A") }
	for _, in := range []struct {
		text string
		a    float64
	}{{textFromAlternator, u.AlternatorA}, {textFromSolar, u.SolarA}, {textFromMains, u.MainsA}} {
		if in.a > 0 {
			inputs = append(inputs, say(in.text, amps(in.a)))
		}
	}
	text := join(inputs, ", ")
	if total := u.RatingA(); total < u.AlternatorA+u.SolarA+u.MainsA {
		text = say(textUnitTogether, text, amps(total))
	}
	return text
}

// withoutFile takes file, line and column off a warning: the reader of the
// document has no tables.
func withoutFile(w string) string {
	if file, rest, ok := strings.Cut(w, ": "); ok && strings.Contains(file, ".csv") {
		return rest
	}
	return w
}

// asSentence gives a remark a capital letter, a full stop and curly quotation marks.
func asSentence(s string) string {
	word, _, _ := strings.Cut(s, " ")
	if first, n := utf8.DecodeRuneInString(s); n > 0 && !strings.Contains(word, "_") { // names of columns stay
		s = string(unicode.ToUpper(first)) + s[n:]
	}
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return straightQuotes.ReplaceAllString(s, "“$1”")
}

var straightQuotes = regexp.MustCompile(`"([^"]*)"`)

func (b *builder) anyAlternator() bool {
	return slices.ContainsFunc(b.r.System.Chargers, func(c sim.Charger) bool { return c.AlternatorA > 0 })
}

// reconnect is the state of charge at which a system that was cut off comes
// back.
func reconnect(s *sim.System) float64 {
	if !math.IsNaN(s.Battery.ReconnectSoC) {
		return s.Battery.ReconnectSoC
	}
	low := s.Battery.MinSoC
	if math.IsNaN(low) {
		low = s.Battery.Chemistry.MinSoC
	}
	return math.Min(1, low+s.Battery.Chemistry.ReconnectMargin)
}

func (b *builder) panelText(p *sim.Panel) Text {
	f := b.f
	how := textRoof
	switch {
	case p.Mount == sim.Portable && math.IsNaN(p.AzimuthDeg):
		how = fmt.Sprintf(textTurned, f.Number(p.TiltDeg, 0), f.Number(math.Max(1, float64(p.TurnsPerDay)), 0))
	case !math.IsNaN(p.AzimuthDeg):
		how = fmt.Sprintf(textFixed, f.Number(p.TiltDeg, 0), f.Number(p.AzimuthDeg, 0))
	case p.TiltDeg > 0:
		how = fmt.Sprintf(textTilted, f.Number(p.TiltDeg, 0))
	}
	return say(textPanel, shortName(p.Name), f.With(p.RatedW, 0, "W"), how, f.Percent(p.Soiling), f.Percent(p.Shade))
}

// climate lists the figures of each place with their source and its distance.
func (b *builder) climate() *Table {
	r, f := b.r, b.f
	b.table++
	t := &Table{Caption: say(captionClimate, fmt.Sprint(b.table)), Dense: len(r.Climate) > 20, Columns: []Column{
		{Head: plain(headPlace)},
		{Head: plain(headPosition)},
		{Head: plain(headHeight), Numbers: true},
		{Head: plain(headSun), Numbers: true},
		{Head: say(headAir, degreeOf(f)), Numbers: true},
		{Head: plain(headDistance), Numbers: true},
		{Head: plain(headOrigin)},
	}}
	type row struct {
		place, position string
		own             bool
	}
	seen := map[row]bool{}
	var sources []string
	for i := range r.Climate {
		c, stop := &r.Climate[i], &r.Trip.Stops[i]
		position := b.position(stop.Position.LatDeg, "N", "S") + ", " + b.position(stop.Position.LonDeg, "E", "W")
		key := row{c.Place, position, c.Override}
		if seen[key] {
			continue
		}
		seen[key] = true
		origin, distance := textBuiltIn, f.With(c.NearestKM, 0, "km")
		if c.Override {
			origin = textOwnFigures
		}
		height := ""
		if !math.IsNaN(c.ElevationM) {
			height = f.With(c.ElevationM, 0, "m")
		}
		t.Rows = append(t.Rows, Row{Cells: []Text{
			name(c.Place), plain(position), plain(height), plain(f.Number(c.GHIKWhM2, 1)),
			plain(b.airSpan(c.TempMinC, c.TempMaxC)), plain(distance), plain(origin),
		}})
		if c.Source != "" && !slices.Contains(sources, c.Source) {
			sources = append(sources, c.Source)
		}
	}
	for _, s := range sources {
		t.Notes = append(t.Notes, name(s+"."))
	}
	t.Notes = append(t.Notes, say(noteClimate, report.ClimateAccuracy))
	if b.k != nil {
		t.Notes = append(t.Notes, say(noteDraws, b.draws(b.k.Draws), name(b.k.Weather)))
	}
	return t
}

// position writes a latitude or a longitude in one piece.
func (b *builder) position(deg float64, positive, negative string) string {
	if deg < 0 {
		positive = negative
	}
	return b.f.Number(math.Abs(deg), 2) + "°\u00a0" + positive
}

func degreeOf(f report.Format) string {
	_, unit := f.Degrees(0)
	return unit
}

// models says how each number is found and who published it.
func (b *builder) models() *Table {
	b.table++
	t := &Table{Caption: say(captionModels, fmt.Sprint(b.table)), Columns: []Column{
		{Head: plain(headNumber)}, {Head: plain(headFound)}, {Head: plain(headPublished)},
	}}
	for _, m := range modelTexts {
		if m.when != nil && !m.when(b) {
			continue
		}
		source := strings.Replace(m.source, "%s", b.run.Options.Sky.Source(), 1)
		t.Rows = append(t.Rows, Row{Cells: []Text{plain(m.number), plain(m.how), plain(source)}})
	}
	t.Notes = []Text{plain(noteBalance)}
	return t
}
