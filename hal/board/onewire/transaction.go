package onewire

import (
	"errors"
	"time"

	"periph.io/x/conn/v3/onewire"
)

// Reasons for which a transaction came to nothing.
var (
	errHung = errors.New("the 1-Wire bus does not return, its bridge may be gone")
	errBus  = errors.New("the 1-Wire bus reports a failure")
)

// transactions carries out one transaction after another with a time limit. A
// bus of periph may never return from one: then it is the only one that is
// outstanding, and all others fail at once until it does.
type transactions struct {
	bus   onewire.Bus
	limit time.Duration
	ask   chan onewire.Pullup
	told  chan error
	timer *time.Timer
	hung  bool
	// The worker's while a transaction is outstanding.
	out, in   [16]byte
	outN, inN int
}

func newTransactions(bus onewire.Bus, limit time.Duration) *transactions {
	t := &transactions{bus: bus, limit: limit, ask: make(chan onewire.Pullup), told: make(chan error, 1), timer: time.NewTimer(limit)}
	t.timer.Stop()
	go func() {
		for pull := range t.ask {
			t.told <- t.bus.Tx(t.out[:t.outN], t.in[:t.inN], pull)
		}
	}()
	return t
}

// do writes bytes and then reads n. What was read is good until the next call.
func (t *transactions) do(n int, pull onewire.Pullup, write ...byte) ([]byte, error) {
	if t.hung {
		select {
		case <-t.told: // too late for whoever asked
			t.hung = false
		default:
			return nil, errHung
		}
	}
	t.outN, t.inN = copy(t.out[:], write), n
	t.ask <- pull
	t.timer.Reset(t.limit)
	select {
	case err := <-t.told:
		t.timer.Stop()
		if err != nil {
			return nil, errBus
		}
		return t.in[:n], nil
	case <-t.timer.C:
		t.hung = true
		return nil, errHung
	}
}

// close ends the worker as soon as it returns.
func (t *transactions) close() { close(t.ask) }
