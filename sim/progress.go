package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/term"

	"bathtender/sim/report"
)

// progress shows how far a long run is, on one line that it takes away again.
// It is silent unless it writes to a terminal.
type progress struct {
	out   io.Writer
	width int // of the line that stands there
	next  time.Time
	begun time.Time
}

func newProgress(out io.Writer) *progress {
	p := &progress{begun: time.Now()}
	if file, ok := out.(*os.File); ok && term.IsTerminal(int(file.Fd())) {
		p.out = out
	}
	return p
}

// show shows the simulated time reached, at most ten times a second.
func (p *progress) show(name string, at time.Duration) {
	if p.out == nil || time.Now().Before(p.next) {
		return
	}
	p.next = time.Now().Add(100 * time.Millisecond)
	rate := at.Seconds() / time.Since(p.begun).Seconds()
	line := fmt.Sprintf("%s: at %s, %.0f times real time", filepath.Base(name), report.Clock(at), rate)
	p.done()
	fmt.Fprint(p.out, line)
	p.width = utf8.RuneCountInString(line)
}

// count shows how many of so many things are done, and how long the rest will
// take.
func (p *progress) count(what string, n, of int) {
	if p.out == nil || time.Now().Before(p.next) {
		return
	}
	p.next = time.Now().Add(100 * time.Millisecond)
	left := time.Duration(float64(time.Since(p.begun)) / float64(max(n, 1)) * float64(of-n))
	line := fmt.Sprintf("%d of %d %s, about %s to go", n, of, what, left.Round(time.Second))
	p.done()
	fmt.Fprint(p.out, line)
	p.width = utf8.RuneCountInString(line)
}

// done takes the line away.
func (p *progress) done() {
	if p.width > 0 {
		fmt.Fprintf(p.out, "\r%s\r", strings.Repeat(" ", p.width))
		p.width = 0
	}
}
