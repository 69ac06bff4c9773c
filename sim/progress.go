package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"

	"bathtender/sim/report"
)

// progress shows how far a long run is, on one line that it takes away again.
// It is silent unless it writes to a terminal.
type progress struct {
	out   io.Writer
	shown bool
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
	fmt.Fprintf(p.out, "\r%-70s", fmt.Sprintf("%s: at %s, %.0f times real time", name, report.Clock(at), rate))
	p.shown = true
}

func (p *progress) done() {
	if p.shown {
		fmt.Fprintf(p.out, "\r%s\r", strings.Repeat(" ", 70))
		p.shown = false
	}
}
