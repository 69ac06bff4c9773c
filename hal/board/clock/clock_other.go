//go:build !linux

package clock

import (
	"errors"
	"time"
)

// start is the zero of the clock where there is no board.
var start = time.Now()

var errLinux = errors.New("a board needs Linux: this system has no such scheduling")

// Now returns the time since the program's start.
func Now() time.Duration { return time.Since(start) }

// SleepUntil waits until the given time of Now's clock.
func SleepUntil(at time.Duration) error {
	time.Sleep(at - Now())
	return nil
}

// RealTime returns an error: only Linux has it.
func RealTime(int) error { return errLinux }

// LockMemory returns an error: only Linux has it.
func LockMemory() error { return errLinux }
