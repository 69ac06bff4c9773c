package board

import (
	"errors"
	"fmt"
	"time"
)

// guard switches all outputs off once their lease has run out, until the board is
// closed. It has a timer of its own, so that it does not matter what holds up the
// loop.
func (b *Board) guard() {
	timer := time.NewTimer(b.config.Lease)
	defer timer.Stop()
	for {
		select {
		case <-b.stop:
			return
		case <-timer.C:
			timer.Reset(b.expire())
		}
	}
}

// expire switches all off if the lease has run out, and returns when to look again:
// never later than the lease that a Write can have given by then.
func (b *Board) expire() time.Duration {
	b.mu.Lock()
	defer b.mu.Unlock()
	if !b.armed || b.closed {
		return b.config.Lease
	}
	if left := b.until - b.kernel.now(); left > 0 {
		return min(left, b.config.Lease)
	}
	b.fallen = true
	if err := b.allOff(); err != nil {
		return max(b.config.Lease/4, time.Millisecond) // again, soon
	}
	b.armed = false
	return b.config.Lease
}

// allOff drives every output off and finds it so; all are tried.
func (b *Board) allOff() error {
	var failed error
	for i := range b.outputs {
		g := &b.outputs[i]
		if err := g.set(0); err != nil {
			failed = errors.Join(failed, err)
			continue
		}
		failed = errors.Join(failed, g.differs())
	}
	return failed
}

// differs returns an error that names the lines that do not read back as they were
// set.
func (g *outputs) differs() error {
	on, err := g.lines.Get()
	if err != nil {
		return err
	}
	var problems []error
	for bit, name := range g.names {
		switch one := uint64(1) << bit; {
		case (on^g.want)&one == 0:
		case on&one != 0:
			problems = append(problems, fmt.Errorf("the output %s was switched off and reads on", name))
		default:
			problems = append(problems, fmt.Errorf("the output %s was switched on and reads off", name))
		}
	}
	return errors.Join(problems...)
}
