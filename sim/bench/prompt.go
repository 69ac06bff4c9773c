package bench

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
	"sync/atomic"
	"syscall"

	"golang.org/x/term"
)

// Prompt is a terminal with line editing and history. The terminal is in raw mode
// only while a line is being read, and is put back however that ends.
//
// While a statement is being done, an interrupt cuts it short. Any other ending
// signal waits for the statement's present tick, puts the terminal back, and
// calls leave, which must not return.
type Prompt struct {
	in       *os.File
	out      io.Writer
	terminal *term.Terminal
	leave    func(os.Signal)
	slip     any // a panic on the way

	busy    sync.Mutex // held but while a line is being read
	mode    sync.Mutex // guards raw
	raw     *term.State
	cut     atomic.Bool
	ending  atomic.Bool
	signals chan os.Signal
}

// NewPrompt returns a prompt on a terminal, and whether in and out are one.
func NewPrompt(in io.Reader, out io.Writer, leave func(os.Signal)) (*Prompt, bool) {
	keys, ok := in.(*os.File)
	if !ok || !term.IsTerminal(int(keys.Fd())) {
		return nil, false
	}
	if screen, ok := out.(*os.File); !ok || !term.IsTerminal(int(screen.Fd())) {
		return nil, false
	}
	p := &Prompt{in: keys, out: out, leave: leave, signals: make(chan os.Signal, 1)}
	p.terminal = term.NewTerminal(struct {
		io.Reader
		io.Writer
	}{keys, out}, "")
	p.busy.Lock()
	signal.Notify(p.signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT)
	go p.heed()
	return p, true
}

// Next asks with a prompt and returns the line that was typed; io.EOF where its
// owner has had enough.
func (p *Prompt) Next(prompt string) (line string, err error) {
	if err := p.begin(); err != nil {
		return "", err
	}
	p.busy.Unlock()
	defer p.busy.Lock()
	defer p.restore() // whatever happens, a panic included
	p.cut.Store(false)
	p.terminal.SetPrompt(prompt)
	line, err = p.terminal.ReadLine()
	if errors.Is(err, term.ErrPasteIndicator) {
		err = nil // it is a line all the same
	}
	if p.slip != nil {
		panic(p.slip) // a panic inside of the terminal's lock could not be recovered from
	}
	if err != nil && err != io.EOF {
		err = fmt.Errorf("the terminal cannot be read: %w", err)
	}
	if err != nil {
		fmt.Fprint(p.out, "\r\n")
	}
	return line, err
}

// begin puts the terminal into raw mode.
func (p *Prompt) begin() error {
	p.mode.Lock()
	defer p.mode.Unlock()
	state, err := term.MakeRaw(int(p.in.Fd()))
	if err != nil {
		return fmt.Errorf("the terminal cannot be read key by key: %w", err)
	}
	p.raw = state
	if width, height, err := term.GetSize(int(p.in.Fd())); err == nil && width > 0 {
		_ = p.terminal.SetSize(width, height) // the usual size is good enough
	}
	return nil
}

// restore puts the terminal back as it was.
func (p *Prompt) restore() {
	p.mode.Lock()
	defer p.mode.Unlock()
	if p.raw != nil {
		_ = term.Restore(int(p.in.Fd()), p.raw) // a terminal that is gone needs none
		p.raw = nil
	}
}

// Stopped reports whether a statement is to be cut short.
func (p *Prompt) Stopped() bool { return p.cut.Load() || p.ending.Load() }

// Close gives the signals back.
func (p *Prompt) Close() {
	signal.Stop(p.signals)
	close(p.signals)
	p.restore()
}

// heed acts on signals.
func (p *Prompt) heed() {
	for s := range p.signals {
		if s == os.Interrupt && p.doing() {
			p.cut.Store(true)
			continue
		}
		p.ending.Store(true)
		p.busy.Lock() // a statement that is being done ends first
		p.restore()
		p.leave(s)
		return
	}
}

// doing reports whether a statement is being done.
func (p *Prompt) doing() bool {
	if p.busy.TryLock() {
		p.busy.Unlock()
		return false
	}
	return true
}

// Complete sets what the tabulator key completes a line with.
func (p *Prompt) Complete(complete func(line string) string) {
	p.terminal.AutoCompleteCallback = func(line string, at int, key rune) (string, int, bool) {
		if key != '\t' || at != len(line) {
			return "", 0, false
		}
		more := line
		func() {
			defer func() { p.slip = recover() }()
			more = complete(line)
		}()
		return more, len(more), true
	}
}
