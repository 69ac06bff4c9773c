// Package sampled holds what sensors that take long have measured beside the
// loop, so that the loop never waits for them.
package sampled

import (
	"sync/atomic"
	"time"

	"bathtender/hal"
)

// Cell is the last value of one sensor and when it was measured. One goroutine
// puts values in, any number read them; neither ever waits for the other. The
// zero Cell has no value.
type Cell[Q ~int64] struct {
	// turn counts the values put in; its lowest bit says which slot is the last.
	turn  atomic.Uint64
	slots [2]slot
}

type slot struct{ value, at atomic.Int64 }

// tries is how often a reader that was overtaken twice looks again. Sensors are
// read some times a second at most, so once is enough.
const tries = 3

// Put stores a value measured at the given time of the monotonic clock. A
// measurement that failed is not put in: the last value then grows old.
func (c *Cell[Q]) Put(value Q, at time.Duration) {
	next := c.turn.Load() + 1
	s := &c.slots[next&1]
	s.value.Store(int64(value))
	s.at.Store(int64(at))
	c.turn.Store(next)
}

// Reading returns the last value with its age at the given time of the same
// clock; no reading where there has been none.
func (c *Cell[Q]) Reading(now time.Duration) hal.Reading[Q] {
	for range tries {
		turn := c.turn.Load()
		if turn == 0 {
			break
		}
		s := &c.slots[turn&1]
		value, at := s.value.Load(), s.at.Load()
		if c.turn.Load() == turn {
			// A value put in after now was taken is as new as can be.
			return hal.Aged(Q(value), max(now-time.Duration(at), 0))
		}
	}
	return hal.Reading[Q]{}
}
