package report

import (
	"fmt"
	"strings"

	"tripsim/internal/sim"
)

// SeasonAdvice is the trip started through the year.
type SeasonAdvice struct {
	Basis  *Basis
	Season *sim.Season
}

// wideHeads is from how many systems on their columns are headed by numbers.
const wideHeads = 5

// Text lays the season out for a terminal.
func (a *SeasonAdvice) Text(s Screen) string {
	f := s.Format
	var b strings.Builder
	b.WriteString(a.Basis.heading(s, aboutSeason))
	for i := range a.Season.Systems {
		b.WriteString(s.Paragraph("", "", a.answer(i, f)))
	}
	b.WriteString("\n" + a.matrix(f).Render(s))
	if a.Season.Dropped {
		b.WriteString(s.Paragraph("  ", "  ", textSeasonDropped))
	}
	b.WriteString(s.Paragraph("  ", "  ", f.Text(textSeasonOther, a.Basis.trips(f))))
	b.WriteString("\n" + a.Basis.foot(s))
	return b.String()
}

// answer says in a sentence when a system holds.
func (a *SeasonAdvice) answer(i int, f Format) string {
	starts := a.Season.Starts
	accepted := a.Basis.Goal.FlatRisk
	holds, best, worst := 0, 0, 0
	share := func(k int) float64 { return missed(starts[k].Risks[i], a.Basis.Goal.Reserve) }
	for k := range starts {
		if share(k) <= accepted {
			holds++
		}
		if share(k) < share(best) {
			best = k
		}
		if share(k) > share(worst) {
			worst = k
		}
	}
	name := sentenceName(a.Season.Systems[i].Name)
	switch {
	case holds == 0:
		return f.Text(textSeasonNever, name, f.Day(starts[best].Date), f.Share(share(best)))
	case share(worst) == 0:
		return f.Text(textSeasonAllWell, name)
	case holds == len(starts):
		return f.Text(textSeasonAlways, name, f.Day(starts[worst].Date), f.Share(share(worst)))
	}
	return f.Text(textSeasonBest, name, f.Share(accepted), f.Number(float64(holds), 0), f.Number(float64(len(starts)), 0),
		f.Day(starts[worst].Date), f.Share(share(worst)))
}

// matrix shows starts down and systems across, in per cent.
func (a *SeasonAdvice) matrix(f Format) *Table {
	se := a.Season
	t := &Table{Title: textSeasonTitle, Columns: []Column{
		{Key: "start", Head: headStart},
		{Key: "sun", Head: headSunDay, Decimals: 1, Drop: 2},
		{Key: "air", Head: headAirRange, Drop: 1},
	}}
	for i, sys := range se.Systems {
		head := Clean(sys.Name)
		if len(se.Systems) >= wideHeads {
			head = fmt.Sprint(i + 1)
			t.Notes = append(t.Notes, f.Text(textSeasonNumber, head, sentenceName(sys.Name)))
		}
		t.Columns = append(t.Columns, Column{Key: fmt.Sprint(i), Head: head})
	}
	if len(t.Notes) > 0 {
		t.Notes = []string{strings.Join(t.Notes, "; ") + "."}
	}
	t.Notes = append(t.Notes, f.Text(textMapNote, f.Share(a.Basis.Goal.FlatRisk)), a.Basis.notCarried(f))
	for _, st := range se.Starts {
		row := Row{Cells: []Cell{
			Text(f.Day(st.Date)), Number(st.SunKWhM2),
			Text(f.Text(textInterval, f.degree(st.TempMinC), f.degree(st.TempMaxC))),
		}}
		for i := range se.Systems {
			share := missed(st.Risks[i], a.Basis.Goal.Reserve)
			text := f.sharePart(share)
			if share <= a.Basis.Goal.FlatRisk {
				text += "*"
			}
			row.Cells = append(row.Cells, Number(100*share).Shown(text))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// Table is one row per start and system, for files.
func (a *SeasonAdvice) Table() *Table {
	t := &Table{Columns: []Column{
		{Key: "start", Head: headStart, Doc: "first local day of the trip"},
		{Key: "system", Head: headSystem, Doc: "name of the system"},
		{Key: "flat_risk_pct", Head: headRisk, Doc: "share of simulated trips in which the battery runs flat at any time, %"},
		{Key: "flat_risk_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "flat_risk_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "not_carried_pct", Doc: docNotCarried},
		{Key: "not_carried_low_pct", Doc: "lower end of its 95 % Wilson interval, %"},
		{Key: "not_carried_high_pct", Doc: "upper end of its 95 % Wilson interval, %"},
		{Key: "flat_days", Doc: "mean number of flat days per trip"},
		{Key: "reserve_pct", Doc: "lowest state of charge above the cut-off, median of the simulated trips, %"},
		{Key: "unserved_wh", Doc: "mean unserved energy per trip, Wh"},
		{Key: "spilled_wh", Doc: "mean panel power that nothing could take per trip, Wh"},
		{Key: "sun_kwh_m2", Doc: "mean daily sun of the climate, kWh/m2"},
		{Key: "air_min_c", Doc: "mean daily minimum of the air, °C"},
		{Key: "air_max_c", Doc: "mean daily maximum of the air, °C"},
	}}
	for _, st := range a.Season.Starts {
		for i, sys := range a.Season.Systems {
			k := st.Risks[i]
			p := k.NotCarried(a.Basis.Goal.Reserve)
			t.Rows = append(t.Rows, Row{Cells: []Cell{
				Text(isoDate(st.Date)), Text(sys.Name), Number(100 * k.Flat.Share), Number(100 * k.Flat.Low),
				Number(100 * k.Flat.High), Number(100 * p.Share), Number(100 * p.Low), Number(100 * p.High), Number(k.FlatDays), Number(100 * k.Reserve.Q50), Number(k.Unserved.Mean), Number(k.Spilled.Mean),
				Number(st.SunKWhM2), Number(st.TempMinC), Number(st.TempMaxC),
			}})
		}
	}
	return t
}

// SeasonSchema names the layout of season.json.
const SeasonSchema = "tripsim-season/1"

// JSON writes the season.
func (a *SeasonAdvice) JSON() ([]byte, error) {
	return a.Basis.document(SeasonSchema, part{"own_figures_dropped", a.Season.Dropped}, part{"starts", a.Table()})
}
