package web

import (
	"context"
	"errors"
	"fmt"
	"log"
	"net"
	"net/http"
	"sync"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// Config is what a server is started with.
type Config struct {
	Name    string            // of the scenario
	Files   map[string][]byte // its tables
	Dir     string            // folder of the scenario; "" = none
	Write   bool              // save edits into Dir
	Options sim.Options
	Draws   int // simulated trips of the refined answer; 0 = typical weather only
	Format  report.Format
	Program string          // name and version
	Reader  scenario.Reader // finds positions by name
	Quote   MakeQuote       // nil = the page offers no document
	// Warn is told what whoever started the server should know; may be nil.
	Warn func(text string)
}

// Server is one scenario on one desk: the document, the engine, the pages. Its
// methods are safe for concurrent use.
type Server struct {
	cfg    Config
	engine *engine
	mux    *http.ServeMux

	mu     sync.Mutex
	doc    *document
	read   sources
	rev    int    // counts the changes
	client string // the page that changed it last
	start  map[string][]byte
	saver  *saver
	saved  string // what the page says about saving
}

// New makes a server. It fails when the tables cannot be read as tables (an
// error of type scenario.Problems); cells that are wrong are shown on the page.
func New(cfg Config) (*Server, error) {
	doc, err := openDocument(cfg.Name, cfg.Files)
	if err != nil {
		return nil, err
	}
	doc.reader = cfg.Reader
	if cfg.Write && cfg.Dir == "" {
		return nil, errors.New("there is no folder to write to")
	}
	if cfg.Warn == nil {
		cfg.Warn = func(string) {}
	}
	s := &Server{cfg: cfg, engine: newEngine(cfg.Options, cfg.Draws, cfg.Program), doc: doc, start: doc.files}
	s.read.add(doc, 0)
	if cfg.Write {
		read := map[string][]byte{}
		for _, spec := range scenario.Specs() {
			if data, ok := cfg.Files[spec.File]; ok {
				read[spec.File] = data
			}
		}
		s.saver = newSaver(cfg.Dir, read)
		s.saved = "Edits are saved into " + cfg.Dir + "."
	}
	s.routes()
	return s, nil
}

// handler answers requests behind the guard.
func (s *Server) handler(addr net.Addr, asked string) http.Handler {
	return newGuard(addr, asked, s.mux)
}

// Listen opens the address, e.g. 127.0.0.1:0 for any free port on this machine.
func Listen(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("cannot listen on %s: %w; use e.g. 127.0.0.1:0 for any free port", address, err)
	}
	return l, nil
}

// URL is where a browser finds the page.
func URL(l net.Listener) string {
	host, port, err := net.SplitHostPort(l.Addr().String())
	if err != nil {
		return "http://" + l.Addr().String() + "/"
	}
	if ip := net.ParseIP(host); ip != nil && ip.IsUnspecified() {
		host = "localhost"
	}
	return "http://" + net.JoinHostPort(host, port) + "/"
}

// Exposed says what to warn of when others can reach the listener; "" if only
// this machine can.
func Exposed(l net.Listener) string {
	if isLoopback(l.Addr()) {
		return ""
	}
	return fmt.Sprintf("listening on %s: everybody who can reach this machine over the network can read and change this scenario, "+
		"without password or encryption; use --listen 127.0.0.1:0 to keep it to this machine", l.Addr())
}

// Serve answers requests until ctx ends, then lets running answers finish for a
// moment. asked is the address as the user wrote it.
func (s *Server) Serve(ctx context.Context, l net.Listener, asked string) error {
	running, stop := context.WithCancel(context.WithoutCancel(ctx))
	defer stop()
	srv := &http.Server{
		Handler:           s.handler(l.Addr(), asked),
		ReadHeaderTimeout: headerTimeout, ReadTimeout: readTimeout, WriteTimeout: writeTimeout, IdleTimeout: idleTimeout,
		MaxHeaderBytes: maxHeaderBytes,
		BaseContext:    func(net.Listener) context.Context { return running },
		ErrorLog:       log.New(warnWriter{s.cfg.Warn}, "", 0),
	}
	failed := make(chan error, 1)
	go func() { failed <- srv.Serve(l) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	stop() // computations end at once; what is being sent is finished
	grace, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownTimeout)
	defer cancel()
	if err := srv.Shutdown(grace); err != nil {
		_ = srv.Close()
	}
	if text := s.unsaved(); text != "" {
		s.cfg.Warn(text)
	}
	return nil
}

// unsaved says what would be lost if the process ended now.
func (s *Server) unsaved() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.saver != nil && s.doc.changedFrom(s.saver.known):
		return "the last edits were not saved: " + s.saved
	case s.saver == nil && s.doc.changedFrom(s.start):
		return "the edits on the page are gone; export them, or start with --write, to keep them"
	}
	return ""
}

type warnWriter struct{ warn func(string) }

func (w warnWriter) Write(b []byte) (int, error) {
	w.warn(string(b))
	return len(b), nil
}
