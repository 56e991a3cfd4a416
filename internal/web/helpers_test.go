package web

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"io/fs"
	"net/http"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
	"tripsim/scenarios"
)

// shipped reads the tables of a shipped scenario; its customers and prices are
// invented.
func shipped(t testing.TB, name string) map[string][]byte {
	t.Helper()
	fsys, err := scenarios.FS(name)
	require.NoError(t, err)
	files := map[string][]byte{}
	for _, spec := range scenario.Specs() {
		if data, err := fs.ReadFile(fsys, spec.File); err == nil {
			files[spec.File] = data
		}
	}
	return files
}

func configOf(t testing.TB, name string) Config {
	return Config{Name: name, Files: shipped(t, name), Options: sim.DefaultOptions(), Draws: 200, Format: report.DefaultFormat(), Program: "tripsim test"}
}

// serve starts a server on a free port of this machine until the test ends.
func serve(t testing.TB, name string, change func(*Config)) (url string, s *Server) {
	t.Helper()
	cfg := configOf(t, name)
	if change != nil {
		change(&cfg)
	}
	s, err := New(cfg)
	require.NoError(t, err)
	l, err := Listen("127.0.0.1:0")
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx, l, "127.0.0.1:0") }()
	t.Cleanup(func() {
		cancel()
		select {
		case err := <-done:
			require.NoError(t, err)
		case <-time.After(10 * time.Second):
			t.Error("the server does not end")
		}
	})
	return URL(l), s
}

// post sends JSON and returns the lines of the answer.
func post(t testing.TB, url string, q any) (status int, lines []map[string]any) {
	t.Helper()
	body, err := json.Marshal(q)
	require.NoError(t, err)
	r, err := http.Post(url+"api/answer", "application/json", bytes.NewReader(body))
	require.NoError(t, err)
	defer r.Body.Close()
	text, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		var v map[string]any
		require.NoError(t, json.Unmarshal([]byte(line), &v), line)
		lines = append(lines, v)
	}
	return r.StatusCode, lines
}

// latest is the server's document; the page's requests may be changing it.
func latest(s *Server) *document {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.doc
}
