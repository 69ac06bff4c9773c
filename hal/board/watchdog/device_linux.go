package watchdog

import (
	"errors"
	"fmt"
	"time"

	"golang.org/x/sys/unix"
)

// kernel is a watchdog of the kernel: a descriptor of its device.
type kernel int

// Open opens the watchdog at a path and sets it to a timeout, in whole seconds.
// From then on it must be fed.
func Open(path string, timeout time.Duration) (*Dog, error) {
	if err := Allowed(timeout); err != nil {
		return nil, err
	}
	for {
		fd, err := unix.Open(path, unix.O_WRONLY|unix.O_CLOEXEC, 0)
		switch {
		case err == nil:
			return start(path, kernel(fd), timeout)
		case err == unix.EINTR:
		case errors.Is(err, unix.EBUSY):
			return nil, fmt.Errorf("the watchdog at %s is in use by another program (%w), allowed is one that only this program feeds", path, err)
		default:
			return nil, fmt.Errorf("the watchdog at %s cannot be opened: %w", path, err)
		}
	}
}

func (k kernel) write(b []byte) error {
	for {
		switch n, err := unix.Write(int(k), b); {
		case err == unix.EINTR:
		case err == nil && n != len(b):
			return fmt.Errorf("%d of %d bytes were taken", n, len(b))
		default:
			return err
		}
	}
}

func (k kernel) stopsOnlyOnRequest() (bool, error) {
	info, err := unix.IoctlGetWatchdogInfo(int(k))
	if err != nil {
		return false, err
	}
	return info.Options&unix.WDIOF_MAGICCLOSE != 0, nil
}

func (k kernel) setTimeout(seconds int) (int, error) {
	if err := unix.IoctlSetPointerInt(int(k), unix.WDIOC_SETTIMEOUT, seconds); err != nil {
		return 0, err
	}
	return unix.IoctlGetInt(int(k), unix.WDIOC_GETTIMEOUT)
}

func (k kernel) close() error { return unix.Close(int(k)) }
