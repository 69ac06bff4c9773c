package setup

import (
	"context"
	"time"

	"bathtender/hal"
)

// Sampling is what everything that is measured beside the loop is made with.
type Sampling struct {
	// Clock is the monotonic clock of the snapshots.
	Clock func() time.Duration
	// Log takes a sentence when something begins to work or ceases to, and why;
	// nil for nobody. Several goroutines call it.
	Log func(sentence string)
	// OneWire is the folder of the 1-Wire devices; empty for that of Linux.
	OneWire string
}

// MeterSource is a meter that is read beside the loop. A *pulsemeter.Meter is
// given the edges of its line by whoever reads the board's lines.
type MeterSource interface {
	// Read returns the last values with their ages at a time of the clock.
	Read(now time.Duration) hal.Meter
	// Start begins to measure, until the context ends or Close.
	Start(context.Context)
	Close() error
}
