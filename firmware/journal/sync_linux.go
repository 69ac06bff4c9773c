package journal

import (
	"os"
	"syscall"
)

// Sync makes the data durable, and of the rest only what it takes to find them.
func (f osFile) Sync() error {
	if err := syscall.Fdatasync(int(f.Fd())); err != nil {
		return &os.PathError{Op: "fdatasync", Path: f.Name(), Err: err}
	}
	return f.inPlace()
}
