package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http/httptest"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// BenchmarkEditToAnswer is the time from a posted edit to the first answer: 14
// days, 7 systems, up to 96 simulated trips, all over HTTP but the network.
func BenchmarkEditToAnswer(b *testing.B) {
	edits := map[string]func(now sheets, n int){
		"stop": func(now sheets, n int) { put(now, "trip.csv", 1, "shade_pct", strconv.Itoa(n%90)) },
		"load": func(now sheets, n int) {
			put(now, "loads.csv", 3, "watts", strconv.FormatFloat(10+float64(n)/100, 'f', 2, 64))
		},
		"system": func(now sheets, n int) {
			put(now, "systems.csv", 2, "battery_ah", strconv.FormatFloat(100+float64(n)/100, 'f', 2, 64))
		},
		"panel": func(now sheets, n int) {
			put(now, "panels.csv", 0, "watts", strconv.FormatFloat(100+float64(n)/100, 'f', 2, 64))
		},
		"job":   func(now sheets, n int) { put(now, "job.csv", 1, "value", strconv.Itoa(n)) },
		"wrong": func(now sheets, n int) { put(now, "trip.csv", 1, "days", "x"+strconv.Itoa(n)) },
	}
	for _, what := range []string{"stop", "load", "system", "panel", "job", "wrong"} {
		b.Run(what, func(b *testing.B) {
			cfg := configOf(b, "morocco-october")
			cfg.Draws = 1000
			s, err := New(cfg)
			require.NoError(b, err)
			draws := 0.0
			for n := 0; b.Loop(); n++ {
				now := sheets{}
				for file, sheet := range s.doc.now {
					now[file] = sheet
				}
				edits[what](now, n)
				body, err := json.Marshal(question{Client: "a", Tables: now, Width: 600})
				require.NoError(b, err)
				r := httptest.NewRequest("POST", "/api/answer", bytes.NewReader(body))
				r.Header.Set("Content-Type", "application/json")
				ctx, cancel := context.WithCancel(context.Background())
				w := &firstLine{ResponseRecorder: httptest.NewRecorder(), cancel: cancel}
				s.mux.ServeHTTP(w, r.WithContext(ctx))
				if what != "wrong" {
					line, _, _ := bytes.Cut(w.Body.Bytes(), []byte("\n"))
					var a answer
					require.NoError(b, json.Unmarshal(line, &a))
					draws += float64(a.Draws)
				}
			}
			b.ReportMetric(draws/float64(b.N), "draws")
		})
	}
}

// firstLine is a page that is content with the first answer.
type firstLine struct {
	*httptest.ResponseRecorder
	cancel func()
}

func (w *firstLine) Write(b []byte) (int, error) {
	defer w.cancel()
	return w.ResponseRecorder.Write(b)
}

// put changes a cell of a copy of a sheet.
func put(now sheets, file string, row int, column, value string) {
	s := *now[file]
	s.Rows = append([]sheetRow(nil), s.Rows...)
	cells := append([]string(nil), s.Rows[row].Cells...)
	for j, name := range s.Columns {
		if name == column {
			cells[j] = value
		}
	}
	s.Rows[row].Cells = cells
	now[file] = &s
}

// BenchmarkParts is what an answer is made of.
func BenchmarkParts(b *testing.B) {
	s, err := New(configOf(b, "morocco-october"))
	require.NoError(b, err)
	sc, problems := s.doc.read()
	require.Empty(b, problems)
	ctx := context.Background()
	b.Run("read", func(b *testing.B) {
		for b.Loop() {
			s.doc.read()
		}
	})
	b.Run("begin", func(b *testing.B) {
		for b.Loop() {
			e := newEngine(s.cfg.Options, firstDraws, "test")
			if _, err := e.begin(ctx, sc); err != nil {
				b.Fatal(err)
			}
		}
	})
	j, err := s.engine.begin(ctx, sc)
	require.NoError(b, err)
	b.Run("draw", func(b *testing.B) {
		for b.Loop() {
			j.e.risks = newCache[*sim.Risk](riskWeight)
			clear(j.risks)
			if err := j.draw(ctx, firstDraws, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("show", func(b *testing.B) {
		for b.Loop() {
			if _, err := answerOf(j, report.DefaultFormat(), "", 600); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkFixes is the time that the list of changes takes once the verdict is
// there, for the slowest system of the scenario.
func BenchmarkFixes(b *testing.B) {
	for _, name := range []string{"morocco-october", "norway-september"} {
		for _, draws := range []int{300, 1000, 3000} {
			b.Run(fmt.Sprintf("%s/%d", name, draws), func(b *testing.B) {
				s, err := New(configOf(b, name))
				require.NoError(b, err)
				sc, problems := s.doc.read()
				require.Empty(b, problems)
				j, err := s.engine.begin(context.Background(), sc)
				require.NoError(b, err)
				for b.Loop() {
					if _, err := j.study.Advise(context.Background(), &sc.Systems[0], goalOf(sc), draws, nil); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
