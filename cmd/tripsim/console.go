package main

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"sync"
	"time"

	"golang.org/x/term"

	"tripsim/internal/report"
)

// console is where a command reads and writes.
type console struct {
	in       io.Reader
	out, err io.Writer
	bar      progressBar
}

func newConsole(in io.Reader, out, err io.Writer) *console {
	c := &console{in: in, out: out, err: err}
	c.bar.show = isTerminal(err)
	c.bar.out = err
	return c
}

// print writes to standard output.
func (c *console) print(text string) error {
	c.clearProgress()
	if _, err := io.WriteString(c.out, text); err != nil {
		return fmt.Errorf("standard output: %w", err)
	}
	return nil
}

// errorText writes to standard error; there is nobody to tell when that fails.
func (c *console) errorText(text string) { io.WriteString(c.err, text) }

func (c *console) warn(text string) {
	c.clearProgress()
	c.errorText(program + ": warning: " + clean(text) + "\n")
}

// note tells what is worth knowing besides the answer.
func (c *console) note(text string) {
	c.clearProgress()
	c.errorText(program + ": note: " + clean(text) + "\n")
}

// clean makes a text that came from outside safe for a terminal.
func clean(s string) string { return report.Clean(s) }

// screen is what tables are laid out for: the terminal's width, else 80 columns;
// colour only on a terminal that has some and when NO_COLOR is not set.
func (c *console) screen(f report.Format) report.Screen {
	s := report.Screen{Width: 80, Format: f}
	if n, err := strconv.Atoi(os.Getenv("COLUMNS")); err == nil && n > 0 {
		s.Width = n
	}
	if file, ok := c.out.(*os.File); ok && term.IsTerminal(int(file.Fd())) {
		if w, _, err := term.GetSize(int(file.Fd())); err == nil && w > 0 {
			s.Width = w
		}
		s.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	}
	return s
}

func isTerminal(w io.Writer) bool {
	file, ok := w.(*os.File)
	return ok && term.IsTerminal(int(file.Fd())) && os.Getenv("TERM") != "dumb"
}

// progressBar is a line on standard error that tells how far a long piece of
// work has come. It shows itself only on a terminal and after a second.
type progressBar struct {
	mu    sync.Mutex
	out   io.Writer
	show  bool
	since time.Time
	drawn bool
	last  time.Time
}

const (
	progressAfter = time.Second
	progressEvery = 100 * time.Millisecond
	progressCells = 30
)

// progress starts a piece of work and returns how to tell of its advance.
func (c *console) progress(what string) func(done, total int) {
	b := &c.bar
	b.mu.Lock()
	b.since = time.Now()
	b.mu.Unlock()
	return func(done, total int) {
		if !b.show || total <= 0 {
			return
		}
		b.mu.Lock()
		defer b.mu.Unlock()
		now := time.Now()
		if now.Sub(b.since) < progressAfter || now.Sub(b.last) < progressEvery {
			return
		}
		b.last, b.drawn = now, true
		full := progressCells * done / total
		fmt.Fprintf(b.out, "\r\x1b[K%s [%s%s] %3d %%", what, strings.Repeat("=", full),
			strings.Repeat(" ", progressCells-full), 100*done/total)
	}
}

func (c *console) clearProgress() {
	b := &c.bar
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.drawn {
		io.WriteString(b.out, "\r\x1b[K")
		b.drawn = false
	}
}
