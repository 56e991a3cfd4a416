package quote

import (
	"fmt"

	"tripsim/internal/chart"
	"tripsim/internal/sim"
)

// season shows the same trip started in every month.
func (b *builder) season() []Block {
	s := b.in.Answers.Season
	lead := say(textSeasonLead, b.draws(s.Draws))
	if b.k != nil && s.Draws != b.k.Draws {
		lead = sentences(lead, plain(textOtherDraws))
	}
	switch all := len(b.run.Results); all - len(s.Systems) {
	case 0:
	case 1:
		lead = sentences(lead, say(textSeasonFewOne, b.f.Number(float64(all), 0)))
	default:
		lead = sentences(lead, say(textSeasonFew, b.f.Number(float64(all), 0), b.f.Number(float64(all-len(s.Systems)), 0)))
	}
	if s.Dropped {
		lead = sentences(lead, plain(textSeasonDropped))
	}
	blocks := []Block{Paragraph{Text: lead}}
	table := chart.SeasonOf(s, "", sim.Goal(b.run.Goal))
	blocks = append(blocks, b.picture(plain(captionSeason), func(o ...chart.Option) (*chart.Picture, error) { return chart.Season(table, o...) })...)
	return append(blocks, b.seasonTable())
}

// seasonTable is the sun and air of the trip by its start, and the risk of the
// system that the document speaks of.
func (b *builder) seasonTable() *Table {
	s, f := b.in.Answers.Season, b.f
	at := -1
	for i, sys := range s.Systems {
		if sys == b.r.System {
			at = i
		}
	}
	b.table++
	t := &Table{Caption: say(captionSeasonTable, fmt.Sprint(b.table), systemName(b.r.System)), Dense: true, Columns: []Column{
		{Head: plain(headStart)}, {Head: plain(headSun), Numbers: true}, {Head: say(headAir, degreeOf(f)), Numbers: true},
	}}
	if at >= 0 {
		t.Columns = append(t.Columns, Column{Head: plain(rowFlatRisk), Numbers: true}, Column{Head: plain(headFailed), Numbers: true}, Column{Head: plain(rowInterval), Numbers: true})
	}
	own := b.r.Trip.Start()
	for i := range s.Starts {
		st := &s.Starts[i]
		row := Row{Cells: []Text{plain(unbroken(f.Date(st.Date))), plain(f.Number(st.SunKWhM2, 1)), plain(b.airSpan(st.TempMinC, st.TempMaxC))}}
		if at >= 0 && at < len(st.Risks) {
			missed := st.Risks[at].NotCarried(b.run.Goal.Reserve)
			row.Cells = append(row.Cells, plain(f.Share(st.Risks[at].Flat.Share)), plain(f.Share(missed.Share)), plain(b.interval(missed)))
		}
		if st.Date.Equal(own) {
			row.Kind, row.Mark = StrongRow, goodMark
			row.Cells[0] = say(textThisTrip, row.Cells[0])
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

func (b *builder) hasSeason() bool {
	s := b.in.Answers.Season
	return s != nil && len(s.Systems) > 0 && len(s.Starts) > 0
}
