package modbus

import (
	"errors"
	"time"
)

// ErrGone says that the port does not exist any more: the adapter was unplugged.
// A port returns it, or an error that wraps it.
var ErrGone = errors.New("the serial port is gone")

// Port is a serial line. One goroutine uses it.
type Port interface {
	// Read waits for bytes until the time is over and returns how many it has
	// put into p; 0 without an error where none came.
	Read(p []byte, wait time.Duration) (int, error)
	// Write sends all of p, at the latest until the time is over.
	Write(p []byte, wait time.Duration) error
	// Flush throws away what has come in.
	Flush() error
	Close() error
}
