package web

import (
	"context"
	"net/http"
	"strings"
	"time"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
)

// MakeQuote makes the customer's document of a finished run, as a page and as a
// PDF. The command line gives it, so that both make the same document.
type MakeQuote func(ctx context.Context, sc *scenario.Scenario, run *report.Run) (page, pdf []byte, err error)

// quoteTimeout is how long making a document may take.
const quoteTimeout = 5 * time.Minute

// quoteSecurity lets the document's own style and pictures work, and nothing else.
const quoteSecurity = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; base-uri 'none'; " +
	"form-action 'none'; frame-ancestors 'none'; sandbox allow-popups"

// getQuote makes the document of what is on the desk, from all simulated trips.
func (s *Server) getQuote(w http.ResponseWriter, r *http.Request) {
	if s.cfg.Quote == nil {
		http.NotFound(w, r)
		return
	}
	s.mu.Lock()
	doc := s.doc
	s.mu.Unlock()
	sc, problems := doc.read()
	if len(problems) > 0 {
		refuse(w, http.StatusUnprocessableEntity, "Mend the mistakes first: "+problemText(problems[0]))
		return
	}
	sc.Dir = s.cfg.Dir // the logo is there
	ctl := http.NewResponseController(w)
	_ = ctl.SetWriteDeadline(time.Now().Add(quoteTimeout))
	ctx, cancel := context.WithTimeout(r.Context(), quoteTimeout)
	defer cancel()
	page, pdf, err := s.quoteOf(ctx, sc)
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, report.Clean(err.Error()))
		return
	}
	if strings.HasSuffix(r.URL.Path, ".html") {
		w.Header().Set("Content-Security-Policy", quoteSecurity)
		w.Header().Set("Content-Type", "text/html; charset=utf-8")
		_, _ = w.Write(page)
		return
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", disposition(report.Slug(doc.name)+"-quote.pdf"))
	_, _ = w.Write(pdf)
}

func (s *Server) quoteOf(ctx context.Context, sc *scenario.Scenario) (page, pdf []byte, err error) {
	stand, err := s.engine.sit(ctx)
	if err != nil {
		return nil, nil, err
	}
	defer stand()
	j, err := s.engine.begin(ctx, sc)
	if err != nil {
		return nil, nil, err
	}
	if err := j.draw(ctx, s.engine.draws, nil); err != nil {
		return nil, nil, err
	}
	return s.cfg.Quote(ctx, sc, j.run())
}
