package board

import (
	"time"

	"bathtender/hal/board/clock"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/tach"
	"bathtender/hal/board/watchdog"
)

// linux is the kernel of a board.
type linux struct{}

// thisKernel returns the one that the program runs on.
func thisKernel() (kernel, error) { return linux{}, nil }

// The concrete types that are returned as interfaces are nil where there is an
// error, and must not become an interface that is not.

func (linux) outputs(chip string, lines []gpiochip.Line) (Lines, error) {
	c, err := gpiochip.Find(chip)
	if err != nil {
		return nil, err
	}
	taken, err := c.Outputs(lines)
	if err != nil {
		return nil, err
	}
	return taken, nil
}

func (linux) inputs(chip string, lines []gpiochip.Line, debounce time.Duration) (Lines, error) {
	c, err := gpiochip.Find(chip)
	if err != nil {
		return nil, err
	}
	taken, err := c.Inputs(lines, debounce)
	if err != nil {
		return nil, err
	}
	return taken, nil
}

func (linux) edges(chip string, lines []gpiochip.Line) (tach.Edges, error) {
	c, err := gpiochip.Find(chip)
	if err != nil {
		return nil, err
	}
	taken, err := c.Edges(lines)
	if err != nil {
		return nil, err
	}
	return taken, nil
}

func (linux) watchdog(path string, timeout time.Duration) (dog, error) {
	d, err := watchdog.Open(path, timeout)
	if err != nil {
		return nil, err
	}
	return d, nil
}

func (linux) now() time.Duration { return clock.Now() }
