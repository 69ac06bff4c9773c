package board

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/tach"
)

// Config is a cabinet's wiring, and what else Open needs to know of it.
type Config struct {
	// Lines are all that is wired, each signal once. What is not wired is an
	// absent contact, no reading, or an output that nobody has.
	Lines []Line
	// Fans are the fans in their order; each has a line "fan 1 tach" and so on.
	Fans []Fan
	// Probes and Meter are read at every tick and must not wait for their sensors;
	// nil for one that is not fitted.
	Probes [hal.MaxProbes]Probe
	Meter  Meter
	// MeterPulses is told both edges of the line "meter pulses" and is needed where
	// there is one. It is called from a goroutine of the board.
	MeterPulses tach.Pulses
	// Debounce is how long a contact or button must be steady before it counts as
	// changed; 0 for at once. A contact that chatters faster stays what it was, so
	// it must be short: less than half a period of the mains, 8 ms.
	Debounce time.Duration
	// Tick is the period of the loop, Lease how long outputs last that no Write
	// renews: more than Tick.
	Tick, Lease time.Duration
	// Watchdog is the board's own; none with an empty Path.
	Watchdog Watchdog
}

// Line is a signal and the line that carries it. The chip is given by its label, or
// by its path where that begins with a slash.
type Line struct {
	Signal    string
	Chip      string
	Offset    int
	ActiveLow bool
	Bias      gpiochip.Bias // of an input
}

// Fan is a fan with a tach.
type Fan struct {
	Pulses           int // a revolution, 1 or more
	Nominal, Minimum hal.RotationalSpeed
}

// Watchdog is where the board's watchdog is and how long it waits to be fed, in
// whole seconds.
type Watchdog struct {
	Path    string
	Timeout time.Duration
}

// Probe is a temperature probe that is measured beside the loop; now is the
// monotonic clock's.
type Probe interface {
	Read(now time.Duration) hal.Reading[physic.Temperature]
}

// Meter is a power meter that is measured beside the loop.
type Meter interface {
	Read(now time.Duration) hal.Meter
}
