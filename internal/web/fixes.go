package web

import (
	"context"
	"errors"
	"math"
	"net/http"
	"strings"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// fixDraws is how many simulated trips each change is tried on.
const fixDraws = 300

// fixView is the table of what would fix the trip of a system.
type fixView struct {
	Before  string // flat risk as it is
	Draws   string
	Rows    []fixRow
	Nothing []string // changes that do nothing
}

type fixRow struct {
	Text, Risk, Unserved string
	Holds                bool // within the accepted risk
}

// getFixes tries single changes for a system of the document and sends the
// finished piece of page; it is blank for a trip that holds.
func (s *Server) getFixes(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	doc, rev := s.doc, s.rev
	s.mu.Unlock()
	sc, problems := doc.read()
	if len(problems) > 0 {
		refuse(w, http.StatusUnprocessableEntity, "mend the mistakes first")
		return
	}
	at := -1
	for i := range sc.Systems {
		if sc.Systems[i].Name == r.URL.Query().Get("system") {
			at = i
		}
	}
	if at < 0 || s.engine.draws == 0 {
		refuse(w, http.StatusNotFound, "there is no system by that name")
		return
	}
	stand, err := s.engine.sit(r.Context())
	if err == nil {
		defer stand()
		var j *job
		if j, err = s.engine.begin(r.Context(), sc); err == nil {
			var adv *sim.Advice
			if adv, err = j.advise(r.Context(), at); err == nil {
				s.sendFixes(w, rev, adv, sc.Job.TargetFlatRisk)
				return
			}
		}
	}
	if !errors.Is(err, context.Canceled) {
		refuse(w, http.StatusServiceUnavailable, report.Clean(err.Error()))
	}
}

func (s *Server) sendFixes(w http.ResponseWriter, rev int, adv *sim.Advice, accepted float64) {
	var b strings.Builder
	if v := fixesOf(adv, accepted, s.cfg.Format); v != nil {
		if err := templates.ExecuteTemplate(&b, "fixes", v); err != nil {
			refuse(w, http.StatusInternalServerError, err.Error())
			return
		}
	}
	sendJSON(w, http.StatusOK, map[string]any{"rev": rev, "html": b.String()})
}

// advise tries the changes for system i, or remembers them.
func (j *job) advise(ctx context.Context, i int) (*sim.Advice, error) {
	if adv, ok := j.e.advice.get(j.keys[i]); ok {
		return adv, nil
	}
	adv, err := j.study.Advise(ctx, &j.sc.Systems[i], min(fixDraws, j.e.draws), nil)
	if err != nil {
		return nil, err
	}
	j.e.advice.put(j.keys[i], adv, 1+len(adv.Fixes))
	return adv, nil
}

// fixesOf is nil when there is nothing to fix.
func fixesOf(adv *sim.Advice, accepted float64, f report.Format) *fixView {
	if len(adv.Fixes) == 0 {
		return nil
	}
	v := &fixView{Before: f.Share(adv.Before.Flat.Share), Draws: f.Number(float64(adv.Draws), 0)}
	for i := range adv.Fixes {
		x := &adv.Fixes[i]
		text := report.FixText(x, f)
		if x.Flat.Mean == 0 && math.Abs(x.Unserved.Mean) < 1 {
			v.Nothing = append(v.Nothing, text)
			continue
		}
		v.Rows = append(v.Rows, fixRow{text, f.Share(x.Risk.Flat.Share), f.With(x.Risk.Unserved.Mean, 0, "Wh"), x.Enough(sim.Goal{FlatRisk: accepted})})
	}
	return v
}
