package main

import (
	"math"
	"sync"
	"sync/atomic"
	"time"

	"bathtender/hal/board/clock"
)

// tach makes the pulses of one fan's tach, in a goroutine of its own.
type tach struct {
	wire  *wire
	rate  atomic.Uint64 // bits of a float64: pulses a second
	stops atomic.Bool
	ended sync.WaitGroup
	err   error
}

// The slowest rotor that still makes pulses, and how soon one that has stood is seen to
// turn.
const (
	slowest = 1.0 // pulses a second
	idle    = 50 * time.Millisecond
)

func startTach(w *wire) *tach {
	t := &tach{wire: w}
	t.ended.Go(func() { t.err = t.run() })
	return t
}

// turn has the fan turn with so many pulses a second from its next pulse on.
func (t *tach) turn(rate float64) { t.rate.Store(math.Float64bits(rate)) }

// stop ends the pulses.
func (t *tach) stop() error {
	t.stops.Store(true)
	t.ended.Wait()
	return t.err
}

func (t *tach) run() error {
	if t.wire == nil {
		return nil
	}
	if err := clock.RealTime(priority); err != nil {
		return err
	}
	next, high := clock.Now(), false
	for !t.stops.Load() {
		rate := math.Float64frombits(t.rate.Load())
		if !(rate >= slowest) {
			next = clock.Now() + idle
		} else {
			high = !high
			if err := t.wire.chip.Set(t.wire.offset, high); err != nil {
				return err
			}
			next += time.Duration(float64(time.Second) / rate / 2)
		}
		if err := clock.SleepUntil(next); err != nil {
			return err
		}
	}
	return nil
}
