package live

import (
	"sync/atomic"
	"time"
)

// Clock is simulated time that passes at a speed. A machine that is too slow for
// the speed makes time pass more slowly, and no tick late.
type Clock struct {
	now   atomic.Int64  // simulated, in ns
	speed atomic.Uint64 // simulated seconds a second
	due   time.Time     // when the next wait ends; the loop's
	// Hold says that time must stand for a moment, nil for never: the simulated day
	// is faster than a disk, which a real one is not.
	Hold func() bool
}

// Speeds that may be asked for.
const (
	SpeedLeast = 1
	SpeedMost  = 2000
)

// NewClock returns a clock at a speed, from SpeedLeast to SpeedMost.
func NewClock(speed int) *Clock {
	c := &Clock{due: time.Now()}
	c.SetSpeed(speed)
	return c
}

// SetSpeed changes the speed. Any goroutine may call it.
func (c *Clock) SetSpeed(speed int) { c.speed.Store(uint64(min(max(speed, SpeedLeast), SpeedMost))) }

// Now returns the simulated time.
func (c *Clock) Now() time.Duration { return time.Duration(c.now.Load()) }

// behindMost is how far time may lag behind its speed before the lag is
// forgotten.
const behindMost = 200 * time.Millisecond

// Wait lets simulated time pass until a moment.
func (c *Clock) Wait(until time.Duration) {
	passes := until - c.Now()
	if passes <= 0 {
		return
	}
	for c.Hold != nil && c.Hold() {
		time.Sleep(time.Millisecond)
	}
	c.due = c.due.Add(passes / time.Duration(c.speed.Load()))
	rest := time.Until(c.due)
	switch {
	case rest > time.Millisecond:
		time.Sleep(rest)
	case rest < -behindMost:
		c.due = time.Now()
	}
	c.now.Store(int64(until))
}
