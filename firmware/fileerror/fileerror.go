// Package fileerror tells why a file could not be had.
package fileerror

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
)

// Cause returns the reason alone of an error of the file system or of a socket: the
// sentence around it has named the file.
func Cause(err error) error {
	if in := syscall.Errno(0); errors.As(err, &in) {
		return in
	}
	if in := (*fs.PathError)(nil); errors.As(err, &in) {
		return in.Err
	}
	if in := (*os.LinkError)(nil); errors.As(err, &in) {
		return in.Err
	}
	return err
}
