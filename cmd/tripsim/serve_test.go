package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/scenario"
)

// shared is a buffer for two goroutines.
type shared struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *shared) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *shared) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

// started runs serve until the test ends and returns its address.
func started(t *testing.T, stderr io.Writer, args ...string) (url string) {
	t.Helper()
	var out shared
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() {
		done <- dispatch(ctx, newConsole(strings.NewReader(""), &out, stderr), append([]string{"serve"}, args...))
	}()
	t.Cleanup(func() {
		cancel()
		select {
		case err := <-done:
			assert.NoError(t, err)
		case <-time.After(10 * time.Second):
			t.Error("serve does not end")
		}
	})
	address := regexp.MustCompile(`http://\S+/`)
	require.Eventually(t, func() bool { return address.MatchString(out.String()) }, 10*time.Second, 10*time.Millisecond, out.String())
	return address.FindString(out.String())
}

func fetch(t *testing.T, url string) (string, http.Header) {
	t.Helper()
	r, err := http.Get(url)
	require.NoError(t, err)
	defer r.Body.Close()
	body, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	require.Equal(t, 200, r.StatusCode, string(body))
	return string(body), r.Header
}

func TestServeShowsAScenarioAndMakesItsQuote(t *testing.T) {
	url := started(t, io.Discard, filepath.Join("..", "..", "scenarios", "morocco-october"), "--draws", "32", "--seed", "7", "--locale", "de")
	assert.Contains(t, url, "http://127.0.0.1:")
	page, _ := fetch(t, url)
	assert.True(t, strings.Contains(page, "Morocco in October") && strings.Contains(page, "Make the quote"))
	pdf, header := fetch(t, url+"quote.pdf")
	assert.True(t, strings.HasPrefix(pdf, "%PDF-"))
	assert.Contains(t, header.Get("Content-Disposition"), "morocco-october-quote.pdf")
	document, _ := fetch(t, url+"quote.html")
	assert.Regexp(t, `tripsim quote \.\./\.\./scenarios/morocco-october --draws=32 --seed=7 --locale=de --date=\d`, strings.ReplaceAll(document[strings.Index(document, "To make this document again"):], "<wbr>", ""))
}

func TestServeOpensTheStarterWithoutAScenario(t *testing.T) {
	page, _ := fetch(t, started(t, io.Discard, "--draws", "16"))
	assert.True(t, strings.Contains(page, "Trip"))
}

func TestServeWarnsWhenOthersCanReachIt(t *testing.T) {
	var warned shared
	started(t, &warned, "--listen", "0.0.0.0:0", "--draws", "0")
	assert.Contains(t, warned.String(), "without password or encryption")
}

func TestServeShowsMistakesThatCanBeMended(t *testing.T) {
	dir := t.TempDir()
	for name, data := range scenario.StarterFiles() {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), bytes.ReplaceAll(data, []byte("lifepo4,"), []byte("lead,")), 0o600))
	}
	page, _ := fetch(t, started(t, io.Discard, dir))
	assert.True(t, strings.Contains(page, "Mend these first"))
}

func TestServeRefusesWhatItCannotOpen(t *testing.T) {
	broken := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(broken, "trip.csv"), []byte("a,\"b\n"), 0o600))
	for says, args := range map[string][]string{
		"--write needs a SCENARIO": {"--write"},
		"cannot be read":           {filepath.Join(broken, "nothing")},
		"is not a folder":          {filepath.Join(broken, "trip.csv")},
		"holds no table":           {t.TempDir()},
		"trip.csv:1:":              {broken},
		"--listen:":                {"--listen", "nowhere"},
		"--draws:":                 {"--draws", "-1"},
	} {
		var out, errs bytes.Buffer
		status := run(append([]string{"serve"}, args...), strings.NewReader(""), &out, &errs)
		assert.Equal(t, statusBadInput, status, says)
		assert.Contains(t, errs.String(), says)
	}
}
