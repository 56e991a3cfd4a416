package web

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
	"tripsim/scenarios"
)

func TestTheAnswerIsThatOfTheCommandLine(t *testing.T) {
	url, s := serve(t, "norway-september", nil)
	status, lines := post(t, url, question{Client: "a"})
	require.Equal(t, 200, status)
	last := lines[len(lines)-1]
	require.Equal(t, "answer", last["kind"])
	assert.EqualValues(t, 200, last["draws"])

	sc, problems := s.doc.read()
	require.Empty(t, problems)
	study, err := sim.NewStudy(&sc.Trip, sc.Loads, s.cfg.Options)
	require.NoError(t, err)
	var results []*sim.Result
	var systems []*sim.System
	for i := range sc.Systems {
		r, err := study.Typical(&sc.Systems[i])
		require.NoError(t, err)
		results, systems = append(results, r), append(systems, &sc.Systems[i])
	}
	risks, err := study.Ensemble(context.Background(), systems, 200, nil)
	require.NoError(t, err)
	goal := report.Goal{FlatRisk: sc.Job.TargetFlatRisk, Reserve: sc.Job.Reserve}
	_, at := report.Recommend(results, risks, goal)
	assert.Equal(t, systems[at].Name, last["shown"])
	run := &report.Run{Results: results, Risks: risks, Goal: goal}
	assert.Equal(t, run.Recommendation(s.cfg.Format)+" "+report.VerdictOn(results[at], risks[at], goal, s.cfg.Format), last["spoken"])
}

// The first line rests on few draws, the last on all; what is known already
// comes in one line.
func TestAnswersAreRefinedAndRemembered(t *testing.T) {
	url, _ := serve(t, "norway-september", func(c *Config) { c.Draws = 400 })
	_, lines := post(t, url, question{Client: "a"})
	require.GreaterOrEqual(t, len(lines), 2)
	assert.Equal(t, "answer", lines[0]["kind"])
	assert.Less(t, lines[0]["draws"], 400.0)
	assert.EqualValues(t, 400, lines[len(lines)-1]["draws"])
	_, again := post(t, url, question{Client: "a"})
	require.Len(t, again, 1)
	assert.Equal(t, lines[len(lines)-1]["html"], again[0]["html"])
}

func TestAMistakeIsToldInTheWordsOfTheCommandLine(t *testing.T) {
	url, s := serve(t, "morocco-october", nil)
	now := copied(t, s.doc.now)
	now["loads.csv"].Rows[3].Cells[4] = "lots"
	status, lines := post(t, url, question{Client: "a", Tables: now})
	require.Equal(t, 200, status)
	require.Len(t, lines, 1)
	require.Equal(t, "problems", lines[0]["kind"])
	_, want := s.doc.read()
	text, err := json.Marshal(want)
	require.NoError(t, err)
	got, err := json.Marshal(lines[0]["problems"])
	require.NoError(t, err)
	assert.JSONEq(t, string(text), string(got))
	assert.Equal(t, `loads.csv:5: watts: "lots" is not a number of watts; use e.g. 12 or 60`, want[0].Error())
}

func TestTwoWindowsDoNotOverwriteEachOther(t *testing.T) {
	url, s := serve(t, "morocco-october", func(c *Config) { c.Draws = 0 })
	edit := func(client string, rev int, title string, force bool) (int, []map[string]any) {
		now := copied(t, s.doc.now)
		now["job.csv"].Rows[0].Cells[1] = title
		return post(t, url, question{Client: client, Rev: rev, Tables: now, Force: force})
	}
	status, lines := edit("a", 0, "from a", false)
	require.Equal(t, 200, status)
	assert.EqualValues(t, 1, lines[0]["rev"])
	status, lines = edit("b", 0, "from b", false)
	require.Equal(t, http.StatusConflict, status)
	assert.Contains(t, lines[0]["error"], "another window")
	status, _ = edit("a", 0, "from a again", false)
	assert.Equal(t, 200, status, "a page that dropped its answer goes on")
	status, _ = edit("b", 1, "from b", true)
	assert.Equal(t, 200, status)
}

func TestADroppedRequestEndsItsWork(t *testing.T) {
	url, s := serve(t, "morocco-october", func(c *Config) { c.Draws = sim.MaxDraws })
	ctx, cancel := context.WithCancel(context.Background())
	r, err := http.NewRequestWithContext(ctx, "POST", url+"api/answer", strings.NewReader(`{"client":"a"}`))
	require.NoError(t, err)
	r.Header.Set("Content-Type", "application/json")
	resp, err := http.DefaultClient.Do(r)
	require.NoError(t, err)
	first := make([]byte, 10)
	_, err = io.ReadFull(resp.Body, first)
	require.NoError(t, err)
	require.Len(t, s.engine.seats, 1)
	cancel()
	resp.Body.Close()
	assert.Eventually(t, func() bool { return len(s.engine.seats) == 0 }, 5*time.Second, 5*time.Millisecond)
}

func TestTheServerEndsWhileItWorks(t *testing.T) {
	cfg := configOf(t, "morocco-october")
	cfg.Draws = sim.MaxDraws
	var told []string
	cfg.Warn = func(text string) { told = append(told, text) }
	s, err := New(cfg)
	require.NoError(t, err)
	l, err := Listen("127.0.0.1:0")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx, l, "127.0.0.1:0") }()
	now := copied(t, s.doc.now)
	now["job.csv"].Rows[0].Cells[1] = "changed"
	body, err := json.Marshal(question{Client: "a", Tables: now})
	require.NoError(t, err)
	resp, err := http.Post(URL(l)+"api/answer", "application/json", bytes.NewReader(body))
	require.NoError(t, err)
	defer resp.Body.Close()
	cancel()
	select {
	case err := <-done:
		require.NoError(t, err)
	case <-time.After(8 * time.Second):
		t.Fatal("still running")
	}
	require.Len(t, told, 1)
	assert.Contains(t, told[0], "edits on the page are gone")
}

func TestThePageCanBeReadWithoutScripts(t *testing.T) {
	s, err := New(configOf(t, "norway-september"))
	require.NoError(t, err)
	w := httptest.NewRecorder()
	s.mux.ServeHTTP(w, httptest.NewRequest("GET", "/?system=Weekend+100", nil))
	page := w.Body.String()
	for _, want := range []string{"Weekend 100 (100\u00a0Ah lithium", `<svg class="curve"`, "Lyngen", "Camera and drone", "Capacity each", "9 of 10 trips"} {
		assert.True(t, strings.Contains(page, want), want)
	}
	for _, not := range []string{"<script>", " style=", "onclick", `src="http`, `href="http`, `href="//`} {
		assert.False(t, strings.Contains(page, not), not)
	}
}

func TestHostileTextsStayTexts(t *testing.T) {
	cfg := configOf(t, "morocco-october")
	evil := `<img src=x onerror=alert(1)>"'&\u202e`
	for name, data := range cfg.Files {
		cfg.Files[name] = bytes.ReplaceAll(data, []byte("Weekend 100 with inverter"), []byte(strings.ReplaceAll(evil, `"`, "")))
		cfg.Files[name] = bytes.ReplaceAll(cfg.Files[name], []byte("Erg Chebbi"), []byte("<script>alert(2)</script>"))
	}
	s, err := New(cfg)
	require.NoError(t, err)
	w := httptest.NewRecorder()
	s.mux.ServeHTTP(w, httptest.NewRequest("GET", "/", nil))
	assert.Equal(t, 200, w.Code)
	assert.False(t, strings.Contains(w.Body.String(), "<img"))
	assert.False(t, strings.Contains(w.Body.String(), "<script>alert"))
	assert.True(t, strings.Contains(w.Body.String(), "&lt;img"))
}

func TestCurvesAreWellFormedForEveryScenario(t *testing.T) {
	for _, name := range scenarios.Names() {
		sc, err := scenario.FromFiles(name, shipped(t, name))
		require.NoError(t, err)
		e := newEngine(sim.DefaultOptions(), 32, "test")
		j, err := e.begin(context.Background(), sc)
		require.NoError(t, err)
		require.NoError(t, j.draw(context.Background(), 32, nil))
		for i := range j.results {
			for _, width := range []float64{0, 290, 700, 2000} {
				svg := curveSVG(j.results[i], j.risks[i], report.DefaultFormat(), width)
				assert.False(t, strings.Contains(svg, "NaN") || strings.Contains(svg, "style="))
				d := xml.NewDecoder(strings.NewReader(svg))
				for err = error(nil); err == nil; {
					_, err = d.Token()
				}
				require.True(t, errors.Is(err, io.EOF), "%v", err)
			}
		}
	}
}

func TestTheHoursAddUpToTheTrip(t *testing.T) {
	sc, err := scenario.FromFiles("x", shipped(t, "morocco-october"))
	require.NoError(t, err)
	j, err := newEngine(sim.DefaultOptions(), 0, "test").begin(context.Background(), sc)
	require.NoError(t, err)
	for _, r := range j.results {
		h := hoursOf(r, report.DefaultFormat())
		sum := func(w []int) (wh float64) {
			for _, x := range w {
				wh += float64(x)
			}
			return wh
		}
		n := float64(len(h.SoC))
		assert.InDelta(t, r.Total.SolarBusWh, sum(h.Solar), n/2, "each hour is rounded to a watt")
		assert.InDelta(t, r.Total.AlternatorBusWh, sum(h.Altern), n/2)
		assert.InDelta(t, r.Total.MainsBusWh+r.Total.TransferWh, sum(h.Mains), n/2)
		assert.Len(t, h.Clock, 14*24)
	}
}

func FuzzQuestion(f *testing.F) {
	cfg := configOf(f, "karoo-july")
	cfg.Draws = 0
	s, err := New(cfg)
	require.NoError(f, err)
	f.Add([]byte(`{"client":"a","rev":0,"tables":{"trip.csv":{"columns":["place","latitude","longitude","date"],"rows":[{"from":0,"cells":["x","1","2","2026-01-01"]}]}}}`))
	f.Add([]byte(`{"tables":{"systems.csv":{"columns":["system",""],"rows":[{"from":-5,"cells":[]},{"from":99,"cells":["#"]}]}}}`))
	f.Add([]byte(`{"tables":{"nothing.csv":null,"job.csv":{"columns":null,"rows":null}},"width":1e308,"shown":"\u0000"}`))
	f.Fuzz(func(t *testing.T, body []byte) {
		r := httptest.NewRequest("POST", "/api/answer", bytes.NewReader(body))
		r.Header.Set("Content-Type", "application/json")
		w := httptest.NewRecorder()
		ctx, cancel := context.WithTimeout(context.Background(), time.Second)
		defer cancel()
		s.mux.ServeHTTP(w, r.WithContext(ctx))
		require.Contains(t, []int{200, 400, 409}, w.Code)
		for line := range strings.Lines(w.Body.String()) {
			require.True(t, json.Valid([]byte(line)), line)
		}
	})
}
