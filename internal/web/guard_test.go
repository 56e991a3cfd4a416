package web

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func guarded(t *testing.T, addr net.Addr, asked string) http.Handler {
	t.Helper()
	s, err := New(configOf(t, "morocco-october"))
	require.NoError(t, err)
	return s.handler(addr, asked)
}

func request(h http.Handler, method, host, path string, header map[string]string, body string) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://x"+path, strings.NewReader(body))
	r.Host = host
	for k, v := range header {
		r.Header.Set(k, v)
	}
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	return w
}

var port80 = &net.TCPAddr{IP: net.IPv4(127, 0, 0, 1), Port: 8300}

// DNS rebinding: a foreign name that points at this machine.
func TestOnlyOurOwnNamesAreAnswered(t *testing.T) {
	h := guarded(t, port80, "127.0.0.1:0")
	for host, status := range map[string]int{
		"127.0.0.1:8300": 200, "localhost:8300": 200, "LOCALHOST:8300": 200,
		"evil.example:8300": 421, "127.0.0.1:80": 421, "127.0.0.1": 421, "localhost.evil.example:8300": 421, "[::1]:8300": 421, "": 421,
		"127.0.0.1:8300.evil.example": 421,
	} {
		assert.Equal(t, status, request(h, "GET", host, "/export.zip", nil, "").Code, host)
	}
	everywhere := guarded(t, &net.TCPAddr{IP: net.IPv4zero, Port: 8300}, "0.0.0.0:8300")
	assert.Equal(t, 200, request(everywhere, "GET", "192.168.1.5:8300", "/export.zip", nil, "").Code)
	assert.Equal(t, 421, request(everywhere, "GET", "192.168.1.5:99", "/export.zip", nil, "").Code)
	assert.Equal(t, 421, request(everywhere, "GET", "evil.example:8300", "/export.zip", nil, "").Code)
	named := guarded(t, port80, "counter:8300")
	assert.Equal(t, 200, request(named, "GET", "counter:8300", "/export.zip", nil, "").Code)
}

func TestOtherPagesCannotPostOrRead(t *testing.T) {
	h := guarded(t, port80, "127.0.0.1:0")
	const host = "127.0.0.1:8300"
	body := `{"shown":""}`
	for name, c := range map[string]struct {
		header map[string]string
		status int
	}{
		"own page":       {map[string]string{"Origin": "http://" + host, "Sec-Fetch-Site": "same-origin", "Content-Type": "application/json"}, 200},
		"no browser":     {map[string]string{"Content-Type": "application/json"}, 200},
		"other origin":   {map[string]string{"Origin": "http://evil.example", "Content-Type": "application/json"}, 403},
		"other port":     {map[string]string{"Origin": "http://127.0.0.1:9999", "Content-Type": "application/json"}, 403},
		"null origin":    {map[string]string{"Origin": "null", "Content-Type": "application/json"}, 403},
		"other scheme":   {map[string]string{"Origin": "https://" + host, "Content-Type": "application/json"}, 403},
		"cross-site":     {map[string]string{"Sec-Fetch-Site": "cross-site", "Content-Type": "application/json"}, 403},
		"same-site":      {map[string]string{"Sec-Fetch-Site": "same-site", "Content-Type": "application/json"}, 403},
		"form":           {map[string]string{"Origin": "http://" + host, "Content-Type": "text/plain"}, 415},
		"no type at all": {map[string]string{"Origin": "http://" + host}, 415},
	} {
		assert.Equal(t, c.status, request(h, "POST", host, "/api/answer", c.header, body).Code, name)
	}
	embed := map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}
	assert.Equal(t, 403, request(h, "GET", host, "/export.zip", embed, "").Code)
	link := map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
	assert.Equal(t, 200, request(h, "GET", host, "/", link, "").Code, "a link to the page works")
	assert.Equal(t, 403, request(h, "GET", host, "/export.zip", link, "").Code)
	assert.Equal(t, 405, request(h, "PUT", host, "/", nil, "").Code)
	assert.Equal(t, 405, request(h, "OPTIONS", host, "/api/answer", nil, "").Code)
}

func TestEveryAnswerCarriesTheSecurityHeaders(t *testing.T) {
	h := guarded(t, port80, "127.0.0.1:0")
	for _, path := range []string{"/", "/api/document", "/assets/js/main.js", "/nothing", "/export.zip"} {
		header := request(h, "GET", "127.0.0.1:8300", path, nil, "").Header()
		csp := header.Get("Content-Security-Policy")
		assert.Contains(t, csp, "default-src 'none'", path)
		assert.Contains(t, csp, "script-src 'self'", path)
		assert.NotContains(t, csp, "unsafe", path)
		assert.NotContains(t, csp, "http", path)
		assert.Equal(t, "nosniff", header.Get("X-Content-Type-Options"), path)
		assert.Empty(t, header.Get("Access-Control-Allow-Origin"), path)
	}
}

func TestNoPathLeadsOutOfTheAssets(t *testing.T) {
	url, _ := serve(t, "morocco-october", nil)
	host := strings.TrimSuffix(strings.TrimPrefix(url, "http://"), "/")
	for _, path := range []string{
		"/assets/../server.go", "/assets/..%2fserver.go", "/assets/%2e%2e/%2e%2e/etc/passwd", "/assets/js/../../page.html",
		"/assets/page.html", "/assets/", "/assets/js", "//etc/passwd", "/assets/js/main.js/..", `/assets/..\server.go`,
	} {
		conn, err := net.Dial("tcp", host) // a client of the library would tidy the path
		require.NoError(t, err)
		fmt.Fprintf(conn, "GET %s HTTP/1.1\r\nHost: %s\r\nConnection: close\r\n\r\n", path, host)
		r, err := http.ReadResponse(bufio.NewReader(conn), nil)
		require.NoError(t, err, path)
		body, _ := io.ReadAll(r.Body)
		assert.GreaterOrEqual(t, r.StatusCode, 300, path)
		assert.NotContains(t, string(body), "package web", path)
		assert.NotContains(t, string(body), "root:", path)
		conn.Close()
	}
}

func TestLargeAndBrokenPostsAreRefused(t *testing.T) {
	h := guarded(t, port80, "127.0.0.1:0")
	json := map[string]string{"Content-Type": "application/json"}
	zip := map[string]string{"Content-Type": "application/zip"}
	const host = "127.0.0.1:8300"
	assert.Equal(t, 413, request(h, "POST", host, "/api/answer", json, `{"shown":"`+strings.Repeat("x", maxPost)+`"}`).Code)
	assert.Equal(t, 413, request(h, "POST", host, "/api/import", zip, strings.Repeat("x", maxArchive+1)).Code)
	assert.Equal(t, 400, request(h, "POST", host, "/api/answer", json, `{"tables":7}`).Code)
	assert.Equal(t, 400, request(h, "POST", host, "/api/answer", json, `{`).Code)
	assert.Equal(t, 422, request(h, "POST", host, "/api/import", zip, "PK").Code)
	assert.Equal(t, 415, request(h, "POST", host, "/api/import", json, "{}").Code)
}

func TestOnlyLoopbackGoesWithoutAWarning(t *testing.T) {
	l, err := Listen("127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	assert.Empty(t, Exposed(l))
	assert.Regexp(t, `^http://127\.0\.0\.1:\d+/$`, URL(l))
	all, err := Listen("0.0.0.0:0")
	require.NoError(t, err)
	defer all.Close()
	assert.Contains(t, Exposed(all), "without password")
	assert.Regexp(t, `^http://localhost:\d+/$`, URL(all))
	_, err = Listen("nowhere")
	assert.ErrorContains(t, err, "127.0.0.1:0")
}

// Forty pages edit at once: every request is answered or told to come again,
// and nothing is left running.
func TestManyRequestsAtOnce(t *testing.T) {
	url, s := serve(t, "norway-september", func(c *Config) { c.Draws = 64 })
	client := &http.Client{Transport: &http.Transport{MaxConnsPerHost: 0}, Timeout: 40 * time.Second}
	var answered, later atomic.Int64
	var wg sync.WaitGroup
	for i := range 60 {
		wg.Go(func() {
			ctx, cancel := context.WithCancel(context.Background())
			defer cancel()
			if i%3 == 0 { // gives up like a page that asks anew
				time.AfterFunc(30*time.Millisecond, cancel)
			}
			body := fmt.Sprintf(`{"client":"%d","shown":"","width":%d}`, i, 300+i)
			r, err := http.NewRequestWithContext(ctx, "POST", url+"api/answer", bytes.NewReader([]byte(body)))
			if err != nil {
				t.Error(err)
				return
			}
			r.Header.Set("Content-Type", "application/json")
			resp, err := client.Do(r)
			if err != nil {
				return
			}
			defer resp.Body.Close()
			text, _ := io.ReadAll(resp.Body)
			switch {
			case resp.StatusCode == 503:
				later.Add(1)
			case bytes.Contains(text, []byte(`"kind":"answer"`)):
				answered.Add(1)
			case ctx.Err() == nil:
				t.Errorf("%d %.100s", resp.StatusCode, text)
			}
		})
	}
	wg.Wait()
	assert.GreaterOrEqual(t, answered.Load(), int64(20), "%d told to come later", later.Load())
	assert.Eventually(t, func() bool { return len(s.engine.seats) == 0 }, 5*time.Second, 10*time.Millisecond)
}
