package gpiochip

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"golang.org/x/sys/unix"

	"bathtender/hal/quantity"
)

// Lines are some lines of one chip that were taken together. Bit i of a set of
// levels is the i-th of them; a bit is 1 while its line is active. Any number of
// goroutines may use them.
type Lines struct {
	what  string // for messages
	mu    sync.Mutex
	fd    int // -1 once closed
	all   uint64
	value unix.GPIOV2LineValues // kept here, so that no call allocates
}

var errClosed = errors.New("they have been let go")

// Outputs takes lines to be driven, all of them off, and finds them so. A failure
// leaves none of them taken; the error has a sentence for each line that is wrong.
func (c Chip) Outputs(lines []Line) (*Lines, error) {
	taken, err := c.lines(request{lines: lines, flags: outputFlags}, "output")
	if err != nil {
		return nil, err
	}
	on, err := taken.Get()
	problems := []error{err}
	for i, l := range lines {
		if on&(1<<i) != 0 {
			problems = append(problems, fmt.Errorf("%s was taken as off, and reads on", c.place(l)))
		}
	}
	if err := errors.Join(problems...); err != nil {
		return nil, errors.Join(err, taken.Close())
	}
	return taken, nil
}

// Inputs takes lines to be read. Their levels change only once they have been the
// same for the given time; 0 has none of that.
func (c Chip) Inputs(lines []Line, debounce time.Duration) (*Lines, error) {
	return c.lines(request{lines: lines, flags: inputFlags, debounce: debounce}, "input")
}

func (c Chip) lines(r request, what string) (*Lines, error) {
	fd, err := c.take(r)
	if err != nil {
		return nil, err
	}
	return &Lines{
		what: fmt.Sprintf("the %s of chip %v", quantity.Count(len(r.lines), what), c),
		fd:   fd, all: ^uint64(0) >> (64 - len(r.lines)),
	}, nil
}

// Set drives all lines at once.
func (l *Lines) Set(on uint64) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.fd < 0 {
		return fmt.Errorf("%s cannot be set: %w", l.what, errClosed)
	}
	l.value = unix.GPIOV2LineValues{Bits: on, Mask: l.all}
	if err := ioctl(l.fd, unix.GPIO_V2_LINE_SET_VALUES_IOCTL, &l.value); err != nil {
		return fmt.Errorf("%s cannot be set: %w", l.what, err)
	}
	return nil
}

// Get reads all lines at once. It changes nothing about them: an output stays one.
func (l *Lines) Get() (uint64, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.fd < 0 {
		return 0, fmt.Errorf("%s cannot be read: %w", l.what, errClosed)
	}
	l.value = unix.GPIOV2LineValues{Mask: l.all}
	if err := ioctl(l.fd, unix.GPIO_V2_LINE_GET_VALUES_IOCTL, &l.value); err != nil {
		return 0, fmt.Errorf("%s cannot be read: %w", l.what, err)
	}
	return l.value.Bits & l.all, nil
}

// Close lets go of the lines. It drives nothing: outputs are driven off before.
func (l *Lines) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.fd < 0 {
		return nil
	}
	err := unix.Close(l.fd)
	l.fd = -1
	if err != nil {
		return fmt.Errorf("%s cannot be let go: %w", l.what, err)
	}
	return nil
}
