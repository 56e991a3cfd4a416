package web

import (
	"encoding/json"
	"html/template"
	"strings"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// answer is what the page gets of a run: the finished piece of page, and what
// its scripts need to know. Texts are those of package report.
type answer struct {
	Kind   string       `json:"kind"` // "answer"
	Rev    int          `json:"rev"`
	Title  string       `json:"title"`
	Draws  int          `json:"draws"`  // the risk rests on so many; 0 = typical weather only
	Wanted int          `json:"wanted"` // and will rest on so many
	Spoken string       `json:"spoken"` // for screen readers: the verdict
	Mark   string       `json:"mark"`   // good, look or bad
	Word   string       `json:"word"`   // the judgement of the system shown, in a word or two
	Shown  string       `json:"shown"`  // system in detail
	Marks  []markJSON   `json:"marks"`  // per system
	HTML   string       `json:"html"`
	Hours  *hours       `json:"hours"`
	Stops  []stopAnswer `json:"stops"`
	Saved  string       `json:"saved"` // about autosave; "" = not asked for
	TookMS float64      `json:"took_ms"`

	view *answerView
}

type markJSON struct {
	System string `json:"system"`
	Mark   string `json:"mark"`
	Word   string `json:"word"`
}

// answerView is what the template of the answer shows.
type answerView struct {
	Mark, Sign, Word           string
	Headline, Verdict, Weather string
	Systems                    []systemView
	Priced                     string // heading of the prices; "" = none
	Risky                      bool   // there are simulated trips
	RiskNote                   string
	Missed                     string // what "not carried" means, where its column is needed; else ""
	Name, MakeUp               string
	Curve                      template.HTML
	Days                       []dayView
	Unserved, DayRisk          bool // whether the columns are needed
	Spells                     []spellView
	Unmet, CutOff, Medical     string
	Events, Notes, Closing     []string
	Warnings                   []string
}

type systemView struct {
	Name, MakeUp, Mark, Sign, Word           string
	Low, FlatDays, Unserved, Risk, RiskRange string
	Missed, MissedRange                      string // trips not carried
	Price                                    string
	LowPct                                   int
	Shown, Best                              bool
}

type dayView struct {
	Date, Place, Drive, Mains, Sun, Air           string
	Solar, Altern, Site, Loads, Unserved, Spilled string
	Low, End, Risk, Remark, Mark                  string
	LowPct                                        int
}

type spellView struct {
	ID            int
	When, Cause   string
	Drew, Missing []string
}

// answerOf makes the answer of what has been found. shown is the name of the
// system in detail; one that is not there gives the recommended one.
func answerOf(j *job, f report.Format, shown string, widthPx float64) (*answer, error) {
	run := j.run()
	best, nearest := report.Recommend(run.Results, run.Risks, run.Goal)
	at := nearest
	for i, r := range run.Results {
		if shown != "" && r.System.Name == shown {
			at = i
		}
	}
	r, risk := run.Results[at], run.Risk(at)
	v := &answerView{
		Headline: run.Recommendation(f), Verdict: report.VerdictOn(r, risk, run.Goal, f),
		Weather: report.Clean(r.Weather), Name: report.Clean(r.System.Name), MakeUp: report.MakeUp(r.System, f),
		Risky: run.Draws > 0, Warnings: run.Warnings, Medical: run.MedicalCaution(f), Closing: run.Closing(f), RiskNote: run.TripsText(f),
	}
	a := &answer{
		Kind: "answer", Title: report.Clean(run.Title), Draws: run.Draws, Wanted: j.e.draws, Shown: r.System.Name, Hours: hoursOf(r, f),
		Stops: stopsOf(j.sc, r, f), view: v,
	}
	v.systems(run, at, best, f)
	for i := range v.Systems {
		s := &v.Systems[i]
		a.Marks = append(a.Marks, markJSON{run.Results[i].System.Name, s.Mark, s.Word})
	}
	v.Mark, v.Sign, v.Word = v.Systems[at].Mark, v.Systems[at].Sign, v.Systems[at].Word
	a.Mark, a.Word = v.Mark, v.Word
	a.Spoken = strings.TrimSpace(v.Headline + " " + v.Verdict)
	v.detail(r, risk, f, widthPx)
	var b strings.Builder
	if err := templates.ExecuteTemplate(&b, "answer", v); err != nil {
		return nil, err
	}
	a.HTML = b.String()
	return a, nil
}

// marks of a judgement: the word for scripts and styles, and the sign.
func markOf(j report.Judgement) (mark, sign string) {
	switch j.Mark() {
	case report.BadMark:
		return "bad", "!"
	case report.WarnMark:
		return "look", "?"
	}
	return "good", "✓"
}

func (v *answerView) systems(run *report.Run, at, best int, f report.Format) {
	if report.ShowsNotCarried(run.Goal.Reserve, run.Risks...) {
		v.Missed = report.NotCarried(run.Goal.Reserve, f)
	}
	for i, r := range run.Results {
		judged := report.Judge(r, run.Risk(i), run.Goal)
		mark, sign := markOf(judged)
		s := systemView{
			Name: r.System.Name, MakeUp: report.MakeUp(r.System, f), Mark: mark, Sign: sign, Word: judged.String(),
			Low: f.Percent(r.LowSoC), LowPct: pctOf(r.LowSoC), FlatDays: f.Number(float64(r.FlatDays), 0),
			Unserved: f.With(r.Total.UnservedWh, 0, "Wh"), Shown: i == at, Best: i == best,
		}
		if k := run.Risk(i); k != nil && k.Draws > 0 {
			s.Risk = f.Share(k.Flat.Share)
			s.RiskRange = report.ShareInterval(k.Flat, f)
			missed := k.NotCarried(run.Goal.Reserve)
			s.Missed, s.MissedRange = f.Share(missed.Share), report.ShareInterval(missed, f)
		}
		if p := r.System.Price; p == p {
			s.Price = f.Number(p, 0)
			v.Priced = strings.TrimSpace("Price " + report.Clean(run.Currency))
		}
		v.Systems = append(v.Systems, s)
	}
}

// pctOf is a share in whole per cent, for bars.
func pctOf(share float64) int { return int(min(100, max(0, 100*share+0.5))) }

// detail fills in the system shown.
func (v *answerView) detail(r *sim.Result, risk *sim.Risk, f report.Format, widthPx float64) {
	v.Curve = template.HTML(curveSVG(r, risk, f, widthPx)) // every text in it is escaped there
	v.days(r, risk, f)
	v.Unmet, v.CutOff, v.Events = report.Unmet(r, f), report.CutOff(r, f), report.Events(r, f)
	v.Notes = append(report.Footnotes(r, f), report.Fridges(r, f)...)
	texts := report.FlatSpells(r, f)
	for i := range r.Flats {
		s := &r.Flats[i]
		cause := report.Cause(s, f)
		sp := spellView{ID: i, When: strings.TrimSpace(strings.TrimSuffix(texts[i], cause)), Cause: cause, Missing: report.MissingSources(s, f)}
		for k, share := range s.Drew {
			if k == 6 {
				break
			}
			sp.Drew = append(sp.Drew, report.Clean(share.Name)+" "+f.With(share.Wh, 0, "Wh"))
		}
		v.Spells = append(v.Spells, sp)
	}
}

func (v *answerView) days(r *sim.Result, risk *sim.Risk, f report.Format) {
	var remarks []struct{ Remark string }
	_ = json.Unmarshal(report.Days(r, risk, f).JSON(), &remarks) // our own; a remark is missing at worst
	wh := func(x float64) string { return f.Number(x, 0) }
	for i := range r.Days {
		d := &r.Days[i]
		row := dayView{
			Date: f.Day(d.Date), Place: report.Clean(d.Place), Drive: hoursText(d.DriveH, f), Mains: hoursText(d.MainsH, f),
			Sun: f.Number(d.SunKWhM2, 1), Air: airSpan(d.TempMinC, d.TempMaxC, f),
			Solar: wh(d.SolarBusWh), Altern: wh(d.AlternatorBusWh), Site: wh(d.MainsBusWh + d.TransferWh), Loads: wh(d.ServedWh()),
			Unserved: wh(d.UnservedWh), Spilled: wh(d.SpilledWh), Low: f.Percent(d.LowSoC), LowPct: pctOf(d.LowSoC), End: f.Percent(d.EndSoC),
		}
		if i < len(remarks) {
			row.Remark = remarks[i].Remark
		}
		switch {
		case d.Flat():
			row.Mark = "bad"
		case row.Remark != "":
			row.Mark = "look"
		}
		v.Unserved = v.Unserved || d.UnservedWh > 1
		if risk != nil && i < len(risk.ByDay) {
			row.Risk = f.Share(risk.ByDay[i].Flat.Share)
			v.DayRisk = v.DayRisk || risk.ByDay[i].Flat.Share > 0
		}
		v.Days = append(v.Days, row)
	}
}

// hoursText leaves a day without hours blank.
func hoursText(h float64, f report.Format) string {
	if h == 0 {
		return ""
	}
	return f.Number(h, 1)
}
