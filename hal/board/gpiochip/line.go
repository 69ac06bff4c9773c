package gpiochip

import (
	"errors"
	"time"
)

// LinesMax is how many lines one request may take (linux/gpio.h).
const LinesMax = 64

// Consumer is the name under which the kernel shows the lines that were taken.
const Consumer = "bathtender"

// Line is one line of a chip as it is asked for. The zero Bias leaves the line's
// resistors as they are.
type Line struct {
	// Signal is what is wired to the line; messages name it.
	Signal string
	Offset int // on the chip, from 0
	// ActiveLow says that the line is active while its voltage is low.
	ActiveLow bool
	Bias      Bias
	// Falling has edges reported that end the active state, besides those that
	// begin it. It counts for edges alone.
	Falling bool
}

// Bias is the resistor that the chip itself connects to an input. A chip that has
// none ignores it.
type Bias uint8

// The kinds of bias.
const (
	BiasAsIs Bias = iota
	BiasOff
	BiasUp
	BiasDown
)

// Event is one edge of a line.
type Event struct {
	At     time.Duration // on the kernel's monotonic clock
	Offset int           // of the line on its chip
	// Seq counts the edges of the line from 1, those included that were lost
	// because nobody fetched them; it wraps at 2^32.
	Seq    uint32
	Rising bool // the line became active
}

// ErrClosed is what a read of edges returns once they have been let go.
var ErrClosed = errors.New("the edges have been let go")
