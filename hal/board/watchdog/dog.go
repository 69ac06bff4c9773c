package watchdog

import (
	"errors"
	"fmt"
	"sync"
	"time"

	"bathtender/hal/quantity"
)

// device is the kernel's watchdog; the errors are its reasons alone.
type device interface {
	write([]byte) error
	// stopsOnlyOnRequest says whether the timer goes on when the device is closed
	// without the letter V.
	stopsOnlyOnRequest() (bool, error)
	// setTimeout sets the time, in seconds, and returns the one that the device
	// took.
	setTimeout(seconds int) (int, error)
	close() error
}

// Dog is an open watchdog, whose timer runs.
type Dog struct {
	path    string
	timeout time.Duration
	mu      sync.Mutex
	device  device // nil once closed
}

// Allowed returns an error where a timeout is not one that a watchdog can be set
// to: whole seconds, 1 or more.
func Allowed(timeout time.Duration) error {
	if timeout < time.Second || timeout%time.Second != 0 {
		return fmt.Errorf("the watchdog's timeout of %s is not in whole seconds, allowed are 1 s and more", quantity.FormatDuration(timeout))
	}
	return nil
}

// start sets an open device to the timeout. Where that fails the device is closed
// in order, since its timer has been running from the moment it was opened. To what
// is no watchdog nothing is written: it may be a disk.
func start(path string, d device, timeout time.Duration) (*Dog, error) {
	stays, err := d.stopsOnlyOnRequest()
	if err != nil {
		return nil, errors.Join(fmt.Errorf("%s is not a watchdog: %w", path, err), d.close())
	}
	dog := &Dog{path: path, timeout: timeout, device: d}
	if err := dog.set(stays); err != nil {
		return nil, errors.Join(err, dog.Close())
	}
	return dog, nil
}

func (d *Dog) set(stays bool) error {
	if !stays {
		return fmt.Errorf("the watchdog at %s stops when its program dies, allowed is one that only stops on request", d.path)
	}
	seconds := int(d.timeout / time.Second)
	took, err := d.device.setTimeout(seconds)
	if err != nil {
		return fmt.Errorf("the watchdog at %s cannot be set to %d s: %w", d.path, seconds, err)
	}
	if took != seconds {
		return fmt.Errorf("the watchdog at %s was set to %d s and took %d s, allowed is a time that it has", d.path, seconds, took)
	}
	return nil
}

// Timeout returns how long the timer runs unfed.
func (d *Dog) Timeout() time.Duration { return d.timeout }

// food is anything but the letter V.
var food = []byte{0}

// Feed starts the timer anew.
func (d *Dog) Feed() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.device == nil {
		return fmt.Errorf("the watchdog at %s cannot be fed: it was closed", d.path)
	}
	if err := d.device.write(food); err != nil {
		return fmt.Errorf("the watchdog at %s cannot be fed: %w", d.path, err)
	}
	return nil
}

// Close stops the timer. An error means that it may still run, and reset the
// board.
func (d *Dog) Close() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if d.device == nil {
		return nil
	}
	stop := d.device.write([]byte("V"))
	err := errors.Join(stop, d.device.close())
	d.device = nil
	if err != nil {
		return fmt.Errorf("the watchdog at %s cannot be stopped, and may reset the board within %s: %w", d.path, quantity.FormatDuration(d.timeout), err)
	}
	return nil
}
