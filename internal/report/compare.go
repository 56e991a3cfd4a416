package report

import (
	"math"
	"slices"
	"strings"

	"tripsim/internal/sim"
)

// CompareAdvice is systems side by side.
type CompareAdvice struct {
	Basis      *Basis
	Comparison *sim.Comparison
}

// Text lays the comparison out for a terminal.
func (a *CompareAdvice) Text(s Screen) string {
	f := s.Format
	var b strings.Builder
	b.WriteString(a.Basis.heading(s, aboutCompare))
	for _, line := range a.answer(f) {
		b.WriteString(s.Paragraph("", "", line))
	}
	all := a.Table(f)
	risk := textCompareRisk
	if a.Basis.single() {
		risk = textCompareOne
	}
	for _, part := range []struct {
		title string
		keys  []string
	}{
		{risk, []string{"system", "flat_risk_interval", "flat_risk_difference", "not_carried_pct", "flat_days"}},
		{textCompareReserve, []string{"system", "reserve_pct", "reserve_low_pct", "unserved_wh", "no_outlet_wh", "wear_pct", "price", "price_per_point"}},
		{textCompareEnergy, []string{"system", "solar_wh", "alternator_wh", "mains_wh", "spilled_wh", "sun_h", "drive_h", "mains_h", "driving_20_80_h"}},
	} {
		t := all.pick(part.keys...)
		t.Title = part.title
		b.WriteString("\n" + t.Render(s))
	}
	b.WriteString("\n" + s.Paragraph("", "", f.Text(textCompareMarks, f.Share(a.Basis.Goal.FlatRisk))))
	if text := a.notFed(f); text != "" {
		b.WriteString(s.Paragraph("", "", text))
	}
	b.WriteString(s.Paragraph("", "", f.Text(textCompareNotes, a.Basis.Recorded.many(), sentenceName(a.reference().Name))+" "+textComparePaired))
	b.WriteString("\n" + a.Basis.foot(s))
	return b.String()
}

// notFed names what systems have no outlet for, and are not held against; "" when
// there is nothing.
func (a *CompareAdvice) notFed(f Format) string {
	var each []string
	for i := range a.Comparison.Systems {
		r := a.Comparison.Systems[i].Typical
		if names := withoutOutlet(r, NoInverter, SmallInverter, InverterOff); len(names) > 0 {
			each = append(each, f.Text(textNotFedOf, sentenceName(r.System.Name), strings.Join(names, ", ")))
		}
	}
	if len(each) == 0 {
		return ""
	}
	return f.Text(textNotFed, strings.Join(each, "; "))
}

func (a *CompareAdvice) reference() *sim.System {
	return a.Comparison.Systems[a.Comparison.Reference].System
}

// answer sorts the systems into better, worse and no telling.
func (a *CompareAdvice) answer(f Format) []string {
	c := a.Comparison
	var less, more, same []string
	for i := range c.Systems {
		row := &c.Systems[i]
		name := sentenceName(row.System.Name)
		switch {
		case i == c.Reference:
		case row.Flat.High < 0:
			less = append(less, name)
		case row.Flat.Low > 0:
			more = append(more, name)
		default:
			same = append(same, name)
		}
	}
	if a.Basis.single() {
		return []string{f.Text(textReferenceOne, Describe(a.reference(), f))}
	}
	out := []string{f.Text(textReference, Describe(a.reference(), f))}
	if len(less) > 0 {
		out = append(out, f.Text(textSurelyLess, a.Basis.Recorded.many(), strings.Join(less, ", ")))
	}
	if len(more) > 0 {
		out = append(out, f.Text(textSurelyMore, a.Basis.Recorded.many(), strings.Join(more, ", ")))
	}
	if len(same) > 0 {
		out = append(out, f.Text(textNoTelling, a.Basis.trips(f), strings.Join(same, ", ")))
	}
	return out
}

// comparedColumns are the columns of systems side by side, first those of the
// caller.
func comparedColumns(b *Basis, rows []sim.Compared, first ...Column) []Column {
	notCarried, notFed := "", ""
	for i := range rows {
		if rows[i].Typical.Total.NoOutletWh > negligibleWh {
			notFed = headNoOutlet
		}
		if ShowsNotCarried(b.Goal.Reserve, rows[i].Risk) {
			notCarried = headNotCarried
		}
	}
	return append(first, []Column{
		{Key: "flat_risk_pct", Head: headRisk, Doc: "share of simulated trips in which the battery runs flat at any time, %"},
		{Key: "flat_risk_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "flat_risk_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "flat_risk_interval", Head: headRiskInterval, Wrap: true},
		{Key: "flat_difference_points", Doc: "flat risk less that of the reference, percentage points"},
		{Key: "flat_difference_low_points", Doc: "lower end of its 95 % paired interval"},
		{Key: "flat_difference_high_points", Doc: "upper end of its 95 % paired interval"},
		{Key: "flat_risk_difference", Head: headDiff, Wrap: true, Drop: 1},
		{Key: "not_carried_pct", Head: notCarried, Doc: docNotCarried},
		{Key: "not_carried_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "not_carried_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "flat_days", Head: headFlatPer, Decimals: 1, Drop: 2, Doc: "mean number of flat days per trip"},
		{Key: "reserve_pct", Head: headReserve, Percent: true, Doc: "lowest state of charge above the cut-off, median of the simulated trips, %"},
		{Key: "reserve_low_pct", Head: headReserveLow, Percent: true, Drop: 2, Doc: "the same, exceeded in 95 of 100 simulated trips, %"},
		{Key: "unserved_wh", Head: headUnserved, Doc: "mean unserved energy per trip, Wh"},
		{Key: "unserved_difference_wh", Doc: "unserved energy less that of the reference, Wh per trip"},
		{Key: "unserved_difference_low_wh", Doc: "lower end of its 95 % interval"},
		{Key: "unserved_difference_high_wh", Doc: "upper end of its 95 % interval"},
		{Key: "no_outlet_wh", Head: notFed, Drop: 1, Doc: "asked for by AC appliances that the system does not feed (no outlet, or too small an inverter), typical weather, Wh; not part of the other figures"},
		{Key: "solar_wh", Head: headSolar, Doc: "mean solar energy behind the regulators per trip, Wh"},
		{Key: "alternator_wh", Head: headAltern, Doc: "mean alternator energy behind the chargers per trip, Wh"},
		{Key: "mains_wh", Head: headMains, Doc: "mean mains energy per trip, with what goes straight to AC appliances, Wh"},
		{Key: "spilled_wh", Head: headSpilled, Drop: 3, Doc: "mean panel power that nothing could take per trip, Wh"},
		{Key: "sun_h", Head: headSunH, Drop: 2, Doc: "hours of the typical trip with solar charging"},
		{Key: "drive_h", Head: headDriveH, Drop: 2, Doc: "hours of the typical trip with charging from the alternator"},
		{Key: "mains_h", Head: headMainsHours, Drop: 2, Doc: "hours of the typical trip with charging from mains"},
		{Key: "driving_20_80_h", Head: head20To80, Decimals: 1, Doc: "steady driving from 20 to 80 % at 25 °C, h; blank = never or no such charger"},
		{Key: "wear_pct", Head: headWear, Drop: 1, Doc: "mean share of the battery's cycle life used by a trip, %"},
		{Key: "price", Head: b.priceHead(headPrice), Drop: 1, Doc: "price in the job's currency"},
		{Key: "price_per_point", Head: headPerPoint, Drop: 1, Doc: "price more than the reference for each percentage point of flat risk less"},
	}...)
}

// comparedCells are the cells of those columns.
func comparedCells(b *Basis, row *sim.Compared, reference bool, f Format) []Cell {
	k := row.Risk
	difference := Cell{}.Shown(pointsText(row.Flat, f))
	interval := Cell{}.Shown(f.Text(textShareInterval, f.Share(k.Flat.Share), f.sharePart(k.Flat.Low), f.sharePart(k.Flat.High)))
	if reference {
		difference = Text("–")
	}
	if b.single() {
		difference, interval = Text(signed(100*row.Flat.Mean, 0, f)), Text(f.Share(k.Flat.Share))
	}
	hours := Number(row.Driving20To80H)
	if math.IsInf(row.Driving20To80H, 1) {
		hours = Cell{}.Shown(wordNever)
	}
	p := k.NotCarried(b.Goal.Reserve)
	return []Cell{
		shareCell(k.Flat.Share, f), Number(100 * k.Flat.Low), Number(100 * k.Flat.High), interval,
		Number(100 * row.Flat.Mean), Number(100 * row.Flat.Low), Number(100 * row.Flat.High), difference,
		shareCell(p.Share, f), Number(100 * p.Low), Number(100 * p.High),
		Number(k.FlatDays), Number(100 * k.Reserve.Q50), Number(100 * k.Reserve.Q05),
		Number(k.Unserved.Mean), Number(row.Unserved.Mean), Number(row.Unserved.Low), Number(row.Unserved.High), Number(row.Typical.Total.NoOutletWh),
		Number(k.SourceWh[0]), Number(k.SourceWh[1]), Number(k.SourceWh[2] + k.SourceWh[3]), Number(k.Spilled.Mean),
		Number(row.ChargeH[0]), Number(row.ChargeH[1]), Number(row.ChargeH[2]), hours,
		Number(100 * k.Wear).Shown(f.Share(k.Wear)), Number(row.System.Price), Number(row.PricePerPoint),
	}
}

// Table puts the systems side by side, one row each.
func (a *CompareAdvice) Table(f Format) *Table {
	c := a.Comparison
	t := &Table{Columns: comparedColumns(a.Basis, c.Systems,
		Column{Key: "system", Head: headSystem, Wrap: true, Doc: "name of the system"},
		Column{Key: "reference", Doc: "yes for the system that the others are held against"})}
	for i := range c.Systems {
		row := &c.Systems[i]
		ref := i == c.Reference
		r := Row{Cells: append([]Cell{Text(row.System.Name), Yes(ref)}, comparedCells(a.Basis, row, ref, f)...)}
		r.Mark = Judge(row.Typical, row.Risk, a.Basis.Goal).Mark()
		t.Rows = append(t.Rows, r)
	}
	return t
}

// CompareSchema names the layout of compare.json.
const CompareSchema = "tripsim-compare/1"

// JSON writes the comparison.
func (a *CompareAdvice) JSON() ([]byte, error) {
	return a.Basis.document(CompareSchema, part{"reference", a.reference().Name}, part{"systems", a.forFile(DefaultFormat())})
}

// forFile leaves out what only the terminal shows.
func (a *CompareAdvice) forFile(f Format) *Table { return a.Table(f).without(terminalOnly...) }

// CSV writes the comparison's table.
func (a *CompareAdvice) CSV() []byte { return a.forFile(DefaultFormat()).CSV() }

// terminalOnly are columns that repeat others in words.
var terminalOnly = []string{"flat_risk_interval", "flat_risk_difference"}

// without is the table less some columns.
func (t *Table) without(keys ...string) *Table {
	var rest []string
	for _, c := range t.Columns {
		keep := true
		for _, k := range keys {
			keep = keep && c.Key != k
		}
		if keep {
			rest = append(rest, c.Key)
		}
	}
	return t.pick(rest...)
}

// VaryAdvice is systems with one figure varied.
type VaryAdvice struct {
	Basis     *Basis
	Variation *sim.Variation
}

// Text lays the variation out for a terminal.
func (a *VaryAdvice) Text(s Screen) string {
	f, v := s.Format, a.Variation
	var b strings.Builder
	b.WriteString(a.Basis.heading(s, aboutVary))
	for i := range v.Systems {
		b.WriteString(s.Paragraph("", "", a.answer(i, f)))
	}
	all := a.Table(f)
	keys := []string{"system", "value", "flat_risk_interval", "flat_risk_difference", "not_carried_pct", "reserve_pct", "unserved_wh", "no_outlet_wh", "driving_20_80_h", "price", "price_per_point"}
	if len(v.Systems) == 1 {
		keys = keys[1:]
		all.Notes = []string{f.Text(textVaryNote, Clean(v.Column), a.valueText(v.Values[v.Base[0]], f))}
		all.Title = f.Text(textVaryTitle, Describe(v.Systems[0], f), Clean(v.Column))
	} else {
		all.Notes = []string{textVaryNoteEach}
		all.Title = Clean(v.Column)
	}
	if a.cutsOff() {
		all.Notes = append(all.Notes, textCutOffNote)
	}
	all.Notes = append(all.Notes, f.Text(textCompareMarks, f.Share(a.Basis.Goal.FlatRisk)))
	for _, n := range v.Notes {
		all.Notes = append(all.Notes, Clean(n))
	}
	b.WriteString("\n" + all.pick(keys...).Render(s) + "\n" + a.Basis.foot(s))
	return b.String()
}

// cutsOff reports whether some value has less flat risk than another, but more
// unserved energy.
func (a *VaryAdvice) cutsOff() bool {
	for _, row := range a.Variation.Rows {
		for i := range row {
			for j := range row {
				if row[i].Risk.Flat.High < row[j].Risk.Flat.Low && row[i].Risk.Unserved.Mean > row[j].Risk.Unserved.Mean+negligibleWh {
					return true
				}
			}
		}
	}
	return false
}

func (a *VaryAdvice) valueText(x float64, f Format) string {
	text := strings.TrimRight(strings.TrimRight(f.Number(x, 3), "0"), ".,")
	if x == math.Trunc(x) {
		text = f.Number(x, 0)
	}
	if a.Variation.Unit == "" {
		return text
	}
	return text + "\u00a0" + a.Variation.Unit
}

// answer says in a sentence what the figure does to a system.
func (a *VaryAdvice) answer(i int, f Format) string {
	v := a.Variation
	missed := make([]sim.Proportion, len(v.Values))
	for j := range missed {
		missed[j] = v.Rows[i][j].Risk.NotCarried(a.Basis.Goal.Reserve)
	}
	sure := false
	low, high := 0, 0
	for j, p := range missed {
		base := missed[v.Base[i]]
		sure = sure || j != v.Base[i] && v.Rows[i][j].Flat.Certain() || p.High < base.Low || p.Low > base.High
		if p.Share < missed[low].Share {
			low = j
		}
		if p.Share > missed[high].Share {
			high = j
		}
	}
	name := sentenceName(v.Systems[i].Name)
	if !sure {
		return f.Text(textVaryNothing, Clean(v.Column), name, a.Basis.Recorded.many())
	}
	first, last := high, low
	if v.Values[low] < v.Values[high] {
		first, last = low, high
	}
	at := func(j int) string {
		return f.Share(missed[j].Share) + " (" + a.valueText(v.Values[j], f) + ")"
	}
	return f.Text(textVarySpread, Clean(v.Column), name, at(first), at(last))
}

// Table is one row per system and value.
func (a *VaryAdvice) Table(f Format) *Table {
	v := a.Variation
	t := &Table{Columns: comparedColumns(a.Basis, slices.Concat(v.Rows...),
		Column{Key: "system", Head: headSystem, Wrap: true, Doc: "name of the system"},
		Column{Key: "value", Head: headValue, Doc: "value of " + Clean(v.Column)},
		Column{Key: "reference", Doc: "yes for the value that the others are held against"})}
	for i := range v.Rows {
		for j := range v.Rows[i] {
			row := &v.Rows[i][j]
			ref := j == v.Base[i]
			r := Row{Cells: append([]Cell{Text(v.Systems[i].Name), Number(v.Values[j]).Shown(a.valueText(v.Values[j], f)), Yes(ref)}, comparedCells(a.Basis, row, ref, f)...)}
			r.Mark = Judge(row.Typical, row.Risk, a.Basis.Goal).Mark()
			t.Rows = append(t.Rows, r)
		}
	}
	return t
}

// VarySchema names the layout of vary.json.
const VarySchema = "tripsim-vary/1"

// JSON writes the variation.
func (a *VaryAdvice) JSON() ([]byte, error) {
	return a.Basis.document(VarySchema, part{"column", a.Variation.Column}, part{"unit", a.Variation.Unit}, part{"values", a.forFile()})
}

func (a *VaryAdvice) forFile() *Table { return a.Table(DefaultFormat()).without(terminalOnly...) }

// CSV writes the variation's table.
func (a *VaryAdvice) CSV() []byte { return a.forFile().CSV() }
