package board

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"bathtender/hal"
	"bathtender/hal/board/tach"
	"bathtender/hal/quantity"
)

// Board is a cabinet behind real lines; it is a hal.Board. Read and Write are for
// one goroutine, the loop; Answers and Close may be called from others.
type Board struct {
	config Config
	kernel kernel
	opened time.Duration // on the monotonic clock

	inputs   []inputs
	monitors []*tach.Monitor
	fans     [hal.MaxFans]*tach.Monitored
	dog      dog           // nil where there is none
	stop     chan struct{} // closed to end the lease's goroutine
	ended    sync.WaitGroup

	mu      sync.Mutex
	outputs []outputs
	closed  bool
	// armed says that something may be on until the time that is in until.
	armed bool
	until time.Duration
	// fallen says that the outputs fell off since the last Read.
	fallen bool
	// pulsing says that a single output is being tried.
	pulsing bool
	start   hal.Contact // the buttons at the last Read; Closed is pressed
	reset   hal.Contact
}

// outputs are the driven lines of one chip.
type outputs struct {
	lines   Lines
	signals []signal
	names   []string
	want    uint64 // as last commanded
	failed  bool   // could not be set since the last Read
}

// inputs are the read lines of one chip.
type inputs struct {
	lines   Lines
	signals []signal
	names   []string
}

var errClosed = errors.New("the board was closed")

// Read fills in a snapshot. Its time is the monotonic clock's since Open. RecordOK
// and KeptOK are true, for whoever knows better to take back. It fails only once the
// board was closed.
func (b *Board) Read(s *hal.Snapshot) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed {
		return errClosed
	}
	now := b.kernel.now()
	*s = hal.Snapshot{Time: now - b.opened, RecordOK: true, KeptOK: true}
	s.OutputsOK = b.readBack()
	b.readContacts(&s.Contacts)
	for i, fan := range b.fans {
		if fan != nil {
			s.Fans[i] = fan.Speed(now)
		}
	}
	for i, p := range b.config.Probes {
		if p != nil {
			s.Probes[i] = p.Read(now)
		}
	}
	if b.config.Meter != nil {
		s.Meter = b.config.Meter.Read(now)
	}
	return nil
}

// readBack reports whether all outputs are as last commanded, and were so since the
// last time.
func (b *Board) readBack() bool {
	ok := !b.fallen
	b.fallen = false
	for i := range b.outputs {
		g := &b.outputs[i]
		on, err := g.lines.Get()
		ok = ok && err == nil && on == g.want && !g.failed
		g.failed = false
	}
	return ok
}

// readContacts reads contacts and buttons. Those of a chip that cannot be read are
// absent.
func (b *Board) readContacts(c *hal.Contacts) {
	b.start, b.reset = hal.Absent, hal.Absent
	for i := range b.inputs {
		g := &b.inputs[i]
		on, err := g.lines.Get()
		if err != nil {
			continue
		}
		for bit, s := range g.signals {
			is := hal.ContactOf(on&(1<<bit) != 0)
			switch s.role {
			case roleStart:
				b.start = is
			case roleReset:
				b.reset = is
			default:
				*s.contact(c) = is
			}
		}
	}
}

// Buttons returns whether the start and the reset button were pressed at the last
// Read. It is not ok where either is not wired or could not be read; one that was not
// read is not pressed.
func (b *Board) Buttons() (start, reset, ok bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.start == hal.Closed, b.reset == hal.Closed, b.start != hal.Absent && b.reset != hal.Absent
}

// Write drives all outputs and renews their lease. An error means that not all of
// them are known to be as asked; all were tried, and the lease was not renewed. It
// refuses everything once the lease has run out, until the next Read. The watchdog
// is fed where the outputs say so, and nothing else went wrong.
func (b *Board) Write(o hal.Outputs) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch {
	case b.closed:
		return errClosed
	case b.pulsing:
		return errors.New("the outputs cannot be set while one of them is being tried")
	case b.fallen:
		return fmt.Errorf("the outputs fell off, not renewed for %s: nothing is set until the cabinet was read again", quantity.FormatDuration(b.config.Lease))
	}
	var failed error
	for i := range b.outputs {
		g := &b.outputs[i]
		if err := g.set(encode(g.signals, o)); err != nil {
			failed = errors.Join(failed, err)
		}
	}
	b.armed = true
	if failed != nil {
		// What is on may be wrong: it falls off with the lease before.
		return failed
	}
	b.until = b.kernel.now() + b.config.Lease
	if o.FeedWatchdog && b.dog != nil {
		return b.dog.Feed()
	}
	return nil
}

// encode returns the levels of lines.
func encode(signals []signal, o hal.Outputs) uint64 {
	var on uint64
	for bit, s := range signals {
		if s.commanded(o) {
			on |= 1 << bit
		}
	}
	return on
}

// set drives the lines of one chip and remembers what they should be.
func (g *outputs) set(want uint64) error {
	g.want = want
	err := g.lines.Set(want)
	g.failed = g.failed || err != nil
	return err
}
