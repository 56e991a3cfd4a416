package web

import (
	"net"
	"net/http"
	"net/netip"
	"strings"
	"time"
)

// maxAtOnce is how many requests are served at the same time.
const maxAtOnce = 48

// guard lets through only requests that name this server as their host and,
// where they change something, come from its own page; it sets the headers that
// keep a browser from running or loading anything else.
type guard struct {
	hosts map[string]bool // host:port that are ours
	port  string
	any   bool // listening on all addresses: any literal address is ours
	next  http.Handler
	seats chan struct{}
	cross *http.CrossOriginProtection
}

// newGuard takes the address that is listened on.
func newGuard(addr net.Addr, asked string, next http.Handler) *guard {
	g := &guard{hosts: map[string]bool{}, next: next, seats: make(chan struct{}, maxAtOnce), cross: http.NewCrossOriginProtection()}
	host, port, err := net.SplitHostPort(addr.String())
	if err != nil {
		return g
	}
	g.port = port
	ip, err := netip.ParseAddr(host)
	switch {
	case err == nil && ip.IsUnspecified():
		g.any = true
		g.allow("localhost")
	case err == nil && ip.IsLoopback():
		g.allow("localhost")
	}
	g.allow(host)
	if name, _, err := net.SplitHostPort(asked); err == nil && name != "" {
		g.allow(name)
	}
	return g
}

func (g *guard) allow(host string) { g.hosts[strings.ToLower(net.JoinHostPort(host, g.port))] = true }

// ours tells whether a host, as a browser names it, is this server: a name that
// somebody has pointed at this machine is not (DNS rebinding).
func (g *guard) ours(host string) bool {
	host = strings.ToLower(host)
	if !strings.Contains(strings.TrimPrefix(host, "["), ":") || strings.HasSuffix(host, "]") {
		host += ":80"
	}
	if g.hosts[host] {
		return true
	}
	ip, err := netip.ParseAddrPort(host)
	return g.any && err == nil && host == net.JoinHostPort(ip.Addr().String(), g.port)
}

func (g *guard) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	secure(w.Header())
	switch {
	case !g.ours(r.Host):
		http.Error(w, "This server does not go by that name; open the address that it printed.", http.StatusMisdirectedRequest)
		return
	case r.Method != http.MethodGet && r.Method != http.MethodHead && r.Method != http.MethodPost:
		w.Header().Set("Allow", "GET, HEAD, POST")
		http.Error(w, "only GET, HEAD and POST are known here", http.StatusMethodNotAllowed)
		return
	case g.cross.Check(r) != nil || !g.sameOrigin(r):
		http.Error(w, "This request comes from another page.", http.StatusForbidden)
		return
	}
	select {
	case g.seats <- struct{}{}:
		defer func() { <-g.seats }()
	default:
		w.Header().Set("Retry-After", "1")
		http.Error(w, "too many requests at once; try again in a moment", http.StatusServiceUnavailable)
		return
	}
	g.next.ServeHTTP(w, r)
}

// sameOrigin holds a request that names an origin to our own, and one that a
// browser marks as coming from elsewhere away from everything but the page.
func (g *guard) sameOrigin(r *http.Request) bool {
	if origin := r.Header.Get("Origin"); origin != "" {
		return strings.EqualFold(origin, "http://"+r.Host) && g.ours(strings.TrimPrefix(origin, "http://"))
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return true
	}
	return r.Method == http.MethodGet && r.URL.Path == "/" && r.Header.Get("Sec-Fetch-Mode") == "navigate"
}

// secure sets the headers of every answer.
func secure(h http.Header) {
	h.Set("Content-Security-Policy", "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "+
		"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'")
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=(), payment=(), usb=()")
	h.Set("Cache-Control", "no-store")
}

// isLoopback tells whether only this machine can reach an address.
func isLoopback(addr net.Addr) bool {
	host, _, err := net.SplitHostPort(addr.String())
	if err != nil {
		return false
	}
	ip, err := netip.ParseAddr(host)
	return err == nil && ip.IsLoopback()
}

// Time limits of the server.
const (
	headerTimeout   = 5 * time.Second
	readTimeout     = 20 * time.Second
	writeTimeout    = 60 * time.Second
	idleTimeout     = 90 * time.Second
	shutdownTimeout = 3 * time.Second
	maxHeaderBytes  = 32 << 10
)
