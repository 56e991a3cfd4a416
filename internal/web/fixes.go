package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// Changes are tried on the simulated trips of the verdict, or on fewer where that
// would take more than a few seconds: about 30 changes of 1,000 trips of 14 days
// take 1.7 s on two cores.
const (
	leastFixDraws = 300
	fixSteps      = 2_700_000 // steps of all trips of a change
)

// fixDraws is how many simulated trips each change is tried on.
func (j *job) fixDraws() int {
	return min(j.e.draws, max(leastFixDraws, fixSteps/max(1, j.steps())))
}

// fixView is the table of what would fix the trip of a system.
type fixView struct {
	Rev          int
	System       string
	Before, Flat string // trips not carried, and of these flat, as it is
	Draws        string
	Of           string // simulated trips of the verdict, where they are more; else ""
	Accepted     string // share of the trips
	Missed       string // what "not carried" means
	Rows         []fixRow
	Nothing      string // names changes that do nothing
	Flats        bool   // some trips run flat as it is: the column is needed
	Unserved     bool   // something is not supplied: the column is needed
	Buttons      bool   // there are rows that can be applied
}

type fixRow struct {
	Index        int // among the changes of the advice
	Text         string
	Missed, Flat string // trips not carried, and flat, with the change
	Unserved     string
	Holds        bool // within the accepted risk
	Applies      bool // the tables can say it
}

// advised is an advice with the document that it was made for.
type advised struct {
	doc *document
	rev int
	sc  *scenario.Scenario
	at  int // the system
	adv *sim.Advice
}

// adviseOn tries single changes for a system of the document, or remembers
// them; status is that of the error.
func (s *Server) adviseOn(ctx context.Context, system string) (d advised, status int, err error) {
	s.mu.Lock()
	d.doc, d.rev = s.doc, s.rev
	s.mu.Unlock()
	var problems scenario.Problems
	if d.sc, problems = d.doc.read(); len(problems) > 0 {
		return d, http.StatusUnprocessableEntity, errors.New("mend the mistakes first")
	}
	d.at = slices.IndexFunc(d.sc.Systems, func(sys sim.System) bool { return sys.Name == system })
	if d.at < 0 || s.engine.draws == 0 {
		return d, http.StatusNotFound, errors.New("there is no system by that name")
	}
	stand, err := s.engine.sit(ctx)
	if err != nil {
		return d, http.StatusServiceUnavailable, err
	}
	defer stand()
	j, err := s.engine.begin(ctx, d.sc)
	if err == nil {
		d.adv, err = j.advise(ctx, d.at)
	}
	return d, http.StatusServiceUnavailable, err
}

// getFixes sends what would fix the trip as a finished piece of page; it is
// blank for a trip that holds.
func (s *Server) getFixes(w http.ResponseWriter, r *http.Request) {
	d, status, err := s.adviseOn(r.Context(), r.URL.Query().Get("system"))
	switch {
	case errors.Is(err, context.Canceled):
		return
	case err != nil:
		refuse(w, status, report.Clean(err.Error()))
		return
	}
	var b strings.Builder
	if v := s.fixesOf(&d); v != nil {
		if err := templates.ExecuteTemplate(&b, "fixes", v); err != nil {
			refuse(w, http.StatusInternalServerError, err.Error())
			return
		}
	}
	sendJSON(w, http.StatusOK, map[string]any{"rev": d.rev, "html": b.String()})
}

// fixQuestion names a change of the list that was sent for a revision.
type fixQuestion struct {
	Rev    int    `json:"rev"`
	System string `json:"system"`
	Fix    int    `json:"fix"`
}

// postFix sends the tables with a change made. It changes nothing here: the page
// takes them up as an edit of its own, which its undo takes back.
func (s *Server) postFix(w http.ResponseWriter, r *http.Request) {
	if !isJSON(r) {
		refuse(w, http.StatusUnsupportedMediaType, "send application/json")
		return
	}
	var q fixQuestion
	if err := json.NewDecoder(http.MaxBytesReader(w, r.Body, maxFixPost)).Decode(&q); err != nil {
		refuse(w, http.StatusBadRequest, "the request is not the JSON that this page sends")
		return
	}
	d, status, err := s.adviseOn(r.Context(), q.System)
	switch {
	case errors.Is(err, context.Canceled):
		return
	case err != nil:
		refuse(w, status, report.Clean(err.Error()))
		return
	case q.Rev != d.rev || q.Fix < 0 || q.Fix >= len(d.adv.Fixes):
		refuse(w, http.StatusConflict, "the plan has changed since; take the change from the new list")
		return
	}
	x := &d.adv.Fixes[q.Fix]
	tables, ok := s.applyFix(d.doc, d.sc, d.at, x)
	if !ok {
		refuse(w, http.StatusUnprocessableEntity, "this change cannot be written into the tables")
		return
	}
	sendJSON(w, http.StatusOK, map[string]any{"rev": d.rev, "tables": tables, "text": report.FixText(x, s.cfg.Format)})
}

// maxFixPost is the largest request for a change, bytes.
const maxFixPost = 4 << 10

// goalOf is what the job asks of a system.
func goalOf(sc *scenario.Scenario) sim.Goal {
	return sim.Goal{FlatRisk: sc.Job.TargetFlatRisk, Reserve: sc.Job.Reserve}
}

// advise tries the changes for system i, or remembers them.
func (j *job) advise(ctx context.Context, i int) (*sim.Advice, error) {
	goal := goalOf(j.sc)
	key := fmt.Sprint(j.keys[i], goal)
	if adv, ok := j.e.advice.get(key); ok {
		return adv, nil
	}
	adv, err := j.study.Advise(ctx, &j.sc.Systems[i], goal, j.fixDraws(), nil)
	if err != nil {
		return nil, err
	}
	j.e.advice.put(key, adv, 1+len(adv.Fixes))
	return adv, nil
}

// fixesOf is nil when there is nothing to fix.
func (s *Server) fixesOf(d *advised) *fixView {
	adv, f := d.adv, s.cfg.Format
	if len(adv.Fixes) == 0 {
		return nil
	}
	goal, k := goalOf(d.sc), adv.Before
	v := &fixView{
		Rev: d.rev, System: adv.System.Name, Before: f.Share(k.NotCarried(goal.Reserve).Share), Flat: f.Share(k.Flat.Share),
		Draws: f.Number(float64(adv.Draws), 0), Accepted: f.Share(goal.FlatRisk), Missed: report.NotCarried(goal.Reserve, f),
		Flats: k.FlatDraws > 0, Unserved: k.Unserved.Mean >= leastShownWh,
	}
	if adv.Draws < s.engine.draws {
		v.Of = f.Number(float64(s.engine.draws), 0)
	}
	var matter []int
	matter, v.Nothing = report.FixesThatMatter(adv, f)
	for _, i := range matter {
		x := &adv.Fixes[i]
		_, applies := s.applyFix(d.doc, d.sc, d.at, x)
		v.Buttons = v.Buttons || applies
		v.Unserved = v.Unserved || x.Risk.Unserved.Mean >= leastShownWh
		v.Rows = append(v.Rows, fixRow{
			Index: i, Text: report.FixText(x, f), Missed: f.Share(x.Risk.NotCarried(goal.Reserve).Share), Flat: f.Share(x.Risk.Flat.Share),
			Unserved: f.With(x.Risk.Unserved.Mean, 0, "Wh"), Holds: x.Enough(goal), Applies: applies,
		})
	}
	return v
}

// leastShownWh is the unserved energy that does not round to 0 Wh.
const leastShownWh = 0.5
