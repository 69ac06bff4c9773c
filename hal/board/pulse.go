package board

import (
	"errors"
	"fmt"
	"time"

	"bathtender/hal/quantity"
)

// PulseMax is the longest that one output may be tried for.
const PulseMax = 10 * time.Second

// Pulse switches one output on for a time up to PulseMax, all others staying off,
// and finds it on and then off again. It is for trying a board's wiring and is
// refused while anything is on. The contactor is held off and has a call of its own.
func (b *Board) Pulse(name string, during time.Duration) error {
	if name == Contactor {
		return errors.New("the contactor is not tried like other outputs: it puts mains on what is behind it")
	}
	return b.pulse(name, during)
}

// PulseContactor does for the contactor what Pulse does for other outputs. It puts
// mains on everything behind the contactor whose own relay is closed or welded.
func (b *Board) PulseContactor(during time.Duration) error { return b.pulse(Contactor, during) }

func (b *Board) pulse(name string, during time.Duration) error {
	if during <= 0 || during > PulseMax {
		return fmt.Errorf("an output cannot be tried for %s, allowed are up to %s", quantity.FormatDuration(during), quantity.FormatDuration(PulseMax))
	}
	if err := b.pulseOn(name, during); err != nil {
		return err
	}
	time.Sleep(during)
	return b.pulseOff()
}

// pulseOn switches the one output on. The lease outlasts the pulse a little, so that
// it ends even if this goroutine does not get to end it.
func (b *Board) pulseOn(name string, during time.Duration) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed {
		return errClosed
	}
	errOn := errors.New("no output can be tried while another is on")
	if b.pulsing {
		return errOn
	}
	var group *outputs
	var bit int
	for i := range b.outputs {
		g := &b.outputs[i]
		if g.want != 0 {
			return errOn
		}
		for at, n := range g.names {
			if n == name {
				group, bit = g, at
			}
		}
	}
	if group == nil {
		return fmt.Errorf("%s is not an output that is wired", quantity.Quote(name))
	}
	if err := b.allOff(); err != nil {
		return err
	}
	b.pulsing, b.armed, b.until = true, true, b.kernel.now()+during+b.config.Lease
	err := group.set(1 << bit)
	if err == nil {
		err = group.differs()
	}
	if err != nil {
		b.pulsing = false
		return errors.Join(err, b.allOff())
	}
	return nil
}

func (b *Board) pulseOff() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.pulsing = false
	if b.closed {
		return errClosed
	}
	if b.fallen {
		return fmt.Errorf("the output fell off before its time, not switched off within %s of it", quantity.FormatDuration(b.config.Lease))
	}
	if err := b.allOff(); err != nil {
		return err // the lease goes on trying
	}
	b.armed = false
	return nil
}
