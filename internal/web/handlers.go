package web

import (
	"context"
	"encoding/json"
	"errors"
	"io"
	"mime"
	"net/http"
	"strconv"
	"time"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/web/atlas"
)

// maxPost is the largest document that is taken from a page, bytes.
const maxPost = 8 << 20

func (s *Server) routes() {
	s.mux = http.NewServeMux()
	s.mux.HandleFunc("GET /{$}", s.page)
	s.mux.HandleFunc("GET /assets/", s.asset)
	s.mux.HandleFunc("GET /api/document", s.sendDocument)
	s.mux.HandleFunc("POST /api/answer", s.postAnswer)
	s.mux.HandleFunc("POST /api/import", s.postImport)
	s.mux.HandleFunc("GET /api/map", s.getMap)
	s.mux.HandleFunc("GET /api/fixes", s.getFixes)
	s.mux.HandleFunc("POST /api/fix", s.postFix)
	s.mux.HandleFunc("GET /export.zip", s.getExport)
	s.mux.HandleFunc("GET /quote.pdf", s.getQuote)
	s.mux.HandleFunc("GET /quote.html", s.getQuote)
}

func sendJSON(w http.ResponseWriter, status int, v any) {
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.WriteHeader(status)
	_ = json.NewEncoder(w).Encode(v) // the browser may be gone
}

// refuse sends an error as the page shows it.
func refuse(w http.ResponseWriter, status int, text string) {
	sendJSON(w, status, map[string]string{"kind": "error", "error": text})
}

// documentJSON is the document with all that the page needs to edit it.
type documentJSON struct {
	Rev       int               `json:"rev"`
	Source    int               `json:"source"`
	Name      string            `json:"name"`
	Tables    sheets            `json:"tables"`
	Schema    []tableInfo       `json:"schema"`
	Catalogue map[string][]part `json:"catalogue"`
	Zones     []string          `json:"zones"`
	Saved     string            `json:"saved"`
}

func (s *Server) sendDocument(w http.ResponseWriter, _ *http.Request) {
	s.mu.Lock()
	d := documentJSON{Rev: s.rev, Source: s.doc.source, Name: s.doc.name, Tables: s.doc.now, Saved: s.saved}
	s.mu.Unlock()
	d.Schema, d.Catalogue, d.Zones = schema(), catalogue(), scenario.ZoneNames()
	sendJSON(w, http.StatusOK, d)
}

// question is what a page posts: its tables, and how to show the answer.
type question struct {
	Client string  `json:"client"` // names the page
	Rev    int     `json:"rev"`    // that its tables follow on
	Force  bool    `json:"force"`  // also over what another page has changed
	Source int     `json:"source"` // that the rows of its tables descend from
	Tables sheets  `json:"tables"` // nil = as they are here
	Shown  string  `json:"shown"`
	Width  float64 `json:"width"` // of the curve, CSS px
}

var errConflict = errors.New("the trip was changed in another window")

// take makes the posted tables the document and returns it.
func (s *Server) take(q *question) (*document, int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if q.Tables == nil {
		return s.doc, s.rev, nil
	}
	if q.Rev != s.rev && q.Client != s.client && !q.Force {
		return nil, s.rev, errConflict
	}
	next, err := s.read.edited(q.Source, q.Tables, s.doc)
	if err != nil {
		return nil, s.rev, err
	}
	if next.changedFrom(s.doc.files) {
		s.rev++
		s.client = q.Client
	}
	s.doc = next
	return s.doc, s.rev, nil
}

// keep saves a document without problems; it must still be the latest.
func (s *Server) keep(doc *document, problems int) string {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.saver == nil || doc != s.doc:
	case problems > 0:
		s.saved = "Not saved while there are mistakes."
	default:
		if err := s.saver.save(doc.files); err != nil {
			s.saved = "Not saved: " + err.Error()
		} else {
			s.saved = "Saved in " + s.cfg.Dir + "."
		}
	}
	return s.saved
}

func isJSON(r *http.Request) bool {
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	return err == nil && kind == "application/json"
}

// postAnswer takes the tables of a page and sends lines of JSON: the first
// answer, progress, the refined answer. When the page asks anew it drops this
// request, which ends the work on it.
func (s *Server) postAnswer(w http.ResponseWriter, r *http.Request) {
	if !isJSON(r) {
		refuse(w, http.StatusUnsupportedMediaType, "send application/json")
		return
	}
	began := time.Now()
	var q question
	if err := json.NewDecoder(http.MaxBytesReader(w, r.Body, maxPost)).Decode(&q); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			refuse(w, http.StatusRequestEntityTooLarge, "the tables are larger than "+strconv.Itoa(maxPost>>20)+" MiB")
			return
		}
		refuse(w, http.StatusBadRequest, "the request is not the JSON that this page sends")
		return
	}
	doc, rev, err := s.take(&q)
	switch {
	case errors.Is(err, errConflict):
		sendJSON(w, http.StatusConflict, map[string]any{"kind": "conflict", "error": err.Error(), "rev": rev})
		return
	case err != nil:
		refuse(w, http.StatusBadRequest, err.Error())
		return
	}
	out := newLines(w)
	sc, problems := doc.read()
	saved := s.keep(doc, len(problems))
	if len(problems) > 0 {
		out.send(map[string]any{"kind": "problems", "rev": rev, "problems": problems, "saved": saved})
		return
	}
	err = s.work(r.Context(), sc, &q, func(a *answer) {
		a.Rev, a.Saved, a.TookMS = rev, saved, float64(time.Since(began).Microseconds())/1000
		out.send(a)
	}, func(done, total int) {
		out.send(map[string]any{"kind": "progress", "rev": rev, "done": done, "total": total})
	})
	if err != nil && !errors.Is(err, context.Canceled) {
		out.send(map[string]any{"kind": "error", "error": err.Error()})
	}
}

// work finds the first and then the refined answer.
func (s *Server) work(ctx context.Context, sc *scenario.Scenario, q *question, send func(*answer), progress func(done, total int)) error {
	stand, err := s.engine.sit(ctx)
	if err != nil {
		return err
	}
	defer stand()
	j, err := s.engine.begin(ctx, sc)
	if err != nil {
		return err
	}
	if err := j.draw(ctx, j.firstDraws(), nil); err != nil {
		return err
	}
	a, err := answerOf(j, s.cfg.Format, q.Shown, q.Width)
	if err != nil {
		return err
	}
	send(a)
	if len(j.missing(s.engine.draws)) == 0 {
		return nil
	}
	if err := j.draw(ctx, s.engine.draws, progress); err != nil {
		return err
	}
	if a, err = answerOf(j, s.cfg.Format, q.Shown, q.Width); err != nil {
		return err
	}
	send(a)
	return nil
}

// lines writes one JSON value per line, at once.
type lines struct {
	w    http.ResponseWriter
	ctl  *http.ResponseController
	last time.Time
}

func newLines(w http.ResponseWriter) *lines {
	w.Header().Set("Content-Type", "application/x-ndjson; charset=utf-8")
	return &lines{w: w, ctl: http.NewResponseController(w)}
}

// progressEvery is how often progress is worth a line.
const progressEvery = 100 * time.Millisecond

func (l *lines) send(v any) {
	if m, ok := v.(map[string]any); ok && m["kind"] == "progress" && time.Since(l.last) < progressEvery {
		return
	}
	l.last = time.Now()
	_ = l.ctl.SetWriteDeadline(time.Now().Add(writeTimeout))
	_ = json.NewEncoder(l.w).Encode(v) // the browser may be gone
	_ = l.ctl.Flush()
}

// postImport reads an archive and sends its tables. It changes nothing here: the
// page takes them up as an edit of its own, which its undo takes back.
func (s *Server) postImport(w http.ResponseWriter, r *http.Request) {
	if kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || kind != "application/zip" {
		refuse(w, http.StatusUnsupportedMediaType, "send application/zip")
		return
	}
	data, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxArchive))
	if err != nil {
		refuse(w, http.StatusRequestEntityTooLarge, "the archive is larger than "+strconv.Itoa(maxArchive>>20)+" MiB; a scenario is far smaller")
		return
	}
	files, folder, err := unpack(data)
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	if folder == "" {
		folder = s.cfg.Name
	}
	doc, err := openDocument(report.Clean(folder), files)
	if err != nil {
		refuse(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	doc.reader = s.cfg.Reader
	s.mu.Lock()
	s.read.add(doc, s.doc.source)
	s.mu.Unlock()
	sendJSON(w, http.StatusOK, map[string]any{"source": doc.source, "name": doc.name, "tables": doc.now})
}

func (s *Server) getExport(w http.ResponseWriter, _ *http.Request) {
	s.mu.Lock()
	doc := s.doc
	s.mu.Unlock()
	slug := report.Slug(doc.name)
	data, err := pack(slug, doc.files)
	if err != nil {
		refuse(w, http.StatusInternalServerError, err.Error())
		return
	}
	w.Header().Set("Content-Type", "application/zip")
	w.Header().Set("Content-Disposition", disposition(slug+".zip"))
	_, _ = w.Write(data)
}

// getMap draws a view of the world: around lat, lon and span degrees of
// longitude wide, or around all positions given as repeated lat and lon.
func (s *Server) getMap(w http.ResponseWriter, r *http.Request) {
	q := r.URL.Query()
	width, height := number(q.Get("w"), 200, 2400, 640), number(q.Get("h"), 120, 1600, 360)
	var v atlas.View
	if q.Has("span") {
		v = atlas.Around(number(q.Get("lat"), -90, 90, 0), number(q.Get("lon"), -540, 540, 0), number(q.Get("span"), 0.1, 360, 30), width, height)
	} else {
		lats, lons := q["lat"], q["lon"]
		var lat, lon []float64
		for i := range min(len(lats), len(lons), 400) {
			lat = append(lat, number(lats[i], -90, 90, 0))
			lon = append(lon, number(lons[i], -360, 360, 0))
		}
		v = atlas.Fit(lat, lon, width, height)
	}
	p := v.Draw()
	sendJSON(w, http.StatusOK, map[string]any{
		"west": v.West, "south": v.South, "east": v.East, "north": v.North,
		"width": v.WidthPx, "height": v.HeightPx, "land": p.Land, "coast": p.Coast, "borders": p.Borders, "grid": p.Grid, "grid_deg": p.GridDeg,
	})
}

// number reads a figure of a query, held within its range.
func number(text string, least, most, otherwise float64) float64 {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v != v {
		return otherwise
	}
	return min(max(v, least), most)
}
