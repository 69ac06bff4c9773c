package board

import (
	"time"

	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/tach"
)

// Lines are some lines of one chip; bit i of a set of levels is the i-th of them, 1
// while it is active. *gpiochip.Lines are.
type Lines interface {
	Set(on uint64) error
	// Get reads the lines without changing anything about them.
	Get() (on uint64, err error)
	Close() error
}

// dog is a watchdog whose timer runs.
type dog interface {
	Feed() error
	Close() error
}

// kernel is where a board gets its lines from.
type kernel interface {
	// outputs takes lines to be driven, off from the start.
	outputs(chip string, lines []gpiochip.Line) (Lines, error)
	inputs(chip string, lines []gpiochip.Line, debounce time.Duration) (Lines, error)
	edges(chip string, lines []gpiochip.Line) (tach.Edges, error)
	watchdog(path string, timeout time.Duration) (dog, error)
	// now is the monotonic clock.
	now() time.Duration
}
