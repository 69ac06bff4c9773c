//go:build !linux

package serial

import (
	"errors"
	"time"

	"bathtender/hal/board/modbus"
)

// Port is an open serial line. There is none on this operating system.
type Port struct{}

// Open says that there is no serial line.
func Open(s Setting) (*Port, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	return nil, errors.New("serial ports are read on Linux only")
}

// Read reads nothing.
func (*Port) Read([]byte, time.Duration) (int, error) { return 0, modbus.ErrGone }

// Write writes nothing.
func (*Port) Write([]byte, time.Duration) error { return modbus.ErrGone }

// Flush does nothing.
func (*Port) Flush() error { return modbus.ErrGone }

// Close does nothing.
func (*Port) Close() error { return nil }
