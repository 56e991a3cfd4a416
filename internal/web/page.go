package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"html/template"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"sync"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
)

//go:embed assets/*.html assets/css/*.css assets/js/*.js assets/icon.svg
var assets embed.FS

var templates = template.Must(template.New("").ParseFS(assets, "assets/*.html"))

// pageView is what the page shows before a script runs, and without one.
type pageView struct {
	Title, Name string
	Answer      *answerView
	Problems    scenario.Problems
	Error       string
	Tables      []tableView
	Styles      []string
	Script      string
	Quote       bool
}

// tableView is a table of the scenario, to read.
type tableView struct {
	Heading, About string
	Columns        []columnInfo
	Rows           [][]string
}

var headings = map[string]string{
	"trip.csv": "Trip", "loads.csv": "Appliances", "systems.csv": "Systems", "chargers.csv": "Chargers", "panels.csv": "Panels", "job.csv": "Job",
}

func (s *Server) page(w http.ResponseWriter, r *http.Request) {
	s.mu.Lock()
	doc := s.doc
	s.mu.Unlock()
	v := pageView{
		Title: doc.name, Name: doc.name, Tables: tablesOf(doc), Quote: s.cfg.Quote != nil,
		Styles: []string{assetURL("css/base.css"), assetURL("css/answer.css"), assetURL("css/editor.css"), assetURL("css/print.css")},
		Script: assetURL("js/main.js"),
	}
	sc, problems := doc.read()
	if v.Problems = problems; len(problems) == 0 {
		v.Title = report.Clean(sc.Job.Title)
		a, err := s.firstAnswer(r, sc)
		if err != nil {
			v.Error = err.Error()
		} else {
			v.Answer = a.view
		}
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	var b strings.Builder
	if err := templates.ExecuteTemplate(&b, "page", v); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
		return
	}
	_, _ = w.Write([]byte(b.String()))
}

// firstAnswer is what the page shows at once: refined if it is known already.
func (s *Server) firstAnswer(r *http.Request, sc *scenario.Scenario) (*answer, error) {
	stand, err := s.engine.sit(r.Context())
	if err != nil {
		return nil, err
	}
	defer stand()
	j, err := s.engine.begin(r.Context(), sc)
	if err != nil {
		return nil, err
	}
	if err := j.draw(r.Context(), j.firstDraws(), nil); err != nil {
		return nil, err
	}
	return answerOf(j, s.cfg.Format, r.URL.Query().Get("system"), defCurvePx)
}

// tablesOf makes readable tables of the document, columns without any cell left
// out.
func tablesOf(doc *document) (out []tableView) {
	for _, info := range schema() {
		sheet := doc.now[info.File]
		if len(sheet.Rows) == 0 {
			continue
		}
		t := tableView{Heading: headings[info.File], About: info.About}
		var at []int
		for j, name := range sheet.Columns {
			used := false
			for _, row := range sheet.Rows {
				used = used || j < len(row.Cells) && strings.TrimSpace(row.Cells[j]) != ""
			}
			if !used {
				continue
			}
			column := columnInfo{Name: name, Label: label(strings.TrimSpace(name) + " ")}
			for _, c := range info.Columns {
				if c.Name == strings.TrimSpace(name) {
					column = c
				}
			}
			t.Columns, at = append(t.Columns, column), append(at, j)
		}
		for _, row := range sheet.Rows {
			cells := make([]string, len(at))
			for k, j := range at {
				if j < len(row.Cells) {
					cells[k] = report.Clean(row.Cells[j])
				}
			}
			t.Rows = append(t.Rows, cells)
		}
		out = append(out, t)
	}
	return out
}

// assetTags are the hashes of the embedded files, by name.
var assetTags = sync.OnceValue(func() map[string]string {
	tags := map[string]string{}
	err := fs.WalkDir(assets, "assets", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := assets.ReadFile(name)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(data)
		tags[strings.TrimPrefix(name, "assets/")] = hex.EncodeToString(sum[:8])
		return nil
	})
	if err != nil {
		panic(err) // embedded
	}
	return tags
})

func assetURL(name string) string { return "/assets/" + name }

var assetTypes = map[string]string{
	".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml",
}

// asset sends an embedded file. Only names that are embedded are known, so that
// no path leads anywhere else; the templates are not among them.
func (s *Server) asset(w http.ResponseWriter, r *http.Request) {
	name := strings.TrimPrefix(r.URL.Path, "/assets/")
	kind := assetTypes[path.Ext(name)]
	tag, ok := assetTags()[name]
	if !ok || kind == "" {
		http.NotFound(w, r)
		return
	}
	h := w.Header()
	h.Set("Cache-Control", "no-cache")
	h.Set("ETag", `"`+tag+`"`)
	if r.Header.Get("If-None-Match") == `"`+tag+`"` {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	data, err := assets.ReadFile("assets/" + name)
	if err != nil {
		http.NotFound(w, r)
		return
	}
	h.Set("Content-Type", kind)
	_, _ = w.Write(data)
}

// disposition names a download.
func disposition(name string) string {
	return mime.FormatMediaType("attachment", map[string]string{"filename": name})
}

// problemText is a problem as the command line prints it.
func problemText(p scenario.Problem) string { return report.Clean(fmt.Sprint(p.Error())) }
