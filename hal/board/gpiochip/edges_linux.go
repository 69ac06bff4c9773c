package gpiochip

import (
	"errors"
	"fmt"
	"sync"
	"sync/atomic"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"

	"bathtender/hal/quantity"
)

// EdgesKept is how many edges the kernel keeps for a request until they are
// fetched: a second of eight fans at 128 pulses a second. The kernel's own choice,
// 16 a line, is lost within a tick.
const EdgesKept = 1024

// batch is how many edges are fetched with one call of the kernel.
const batch = 64

// Edges are lines of one chip whose edges the kernel reports.
type Edges struct {
	what   string // for messages
	closed atomic.Bool
	wake   int        // an event that ends the wait of Read
	mu     sync.Mutex // held while Read waits
	fd     int        // -1 once closed
	poll   [2]unix.PollFd
	raw    [batch]unix.GPIOV2LineEvent
}

// Edges takes lines whose edges are to be reported: those that begin the active
// state, with Falling those that end it too.
func (c Chip) Edges(lines []Line) (*Edges, error) {
	fd, err := c.take(request{lines: lines, flags: edgeFlags, buffer: EdgesKept})
	if err != nil {
		return nil, err
	}
	what := fmt.Sprintf("the edges of %s of chip %v", quantity.Count(len(lines), "line"), c)
	wake, err := unix.Eventfd(0, unix.EFD_CLOEXEC|unix.EFD_NONBLOCK)
	if err == nil {
		err = unix.SetNonblock(fd, true)
	}
	if err != nil {
		unix.Close(fd)
		return nil, fmt.Errorf("%s cannot be waited for: %w", what, err)
	}
	e := &Edges{what: what, wake: wake, fd: fd}
	e.poll[0] = unix.PollFd{Fd: int32(fd), Events: unix.POLLIN}
	e.poll[1] = unix.PollFd{Fd: int32(wake), Events: unix.POLLIN}
	return e, nil
}

// Read waits until there is an edge, at most for the given time, and fills in the
// edges that there are, oldest first, and returns how many; 0 once the time is
// over. Fewer than fit mean that there were no more. An error means that there will
// be none: the chip has gone, or ErrClosed. One goroutine reads.
func (e *Edges) Read(events []Event, wait time.Duration) (int, error) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.closed.Load() {
		return 0, ErrClosed
	}
	e.poll[0].Revents, e.poll[1].Revents = 0, 0
	switch n, err := unix.Poll(e.poll[:], int(max(wait, 0).Milliseconds())); {
	case e.closed.Load():
		return 0, ErrClosed
	case err == unix.EINTR || err == nil && n == 0:
		return 0, nil
	case err != nil:
		return 0, fmt.Errorf("%s cannot be waited for: %w", e.what, err)
	case e.poll[0].Revents&unix.POLLIN == 0:
		return 0, fmt.Errorf("%s will not come any more: the chip has gone", e.what)
	}
	return e.fetch(events)
}

// fetch takes what the kernel has, without waiting.
func (e *Edges) fetch(events []Event) (int, error) {
	const size = int(unsafe.Sizeof(unix.GPIOV2LineEvent{}))
	n := 0
	for n < len(events) {
		room := min(len(events)-n, batch)
		bytes := unsafe.Slice((*byte)(unsafe.Pointer(&e.raw)), room*size)
		got, err := unix.Read(e.fd, bytes)
		switch {
		case err == unix.EINTR:
			continue
		case err == unix.EAGAIN:
			return n, nil
		case err != nil:
			return n, fmt.Errorf("%s cannot be read: %w", e.what, err)
		}
		for i := range got / size {
			raw := &e.raw[i]
			events[n] = Event{
				At: time.Duration(raw.Timestamp_ns), Offset: int(raw.Offset), Seq: raw.Line_seqno,
				Rising: raw.Id == unix.GPIO_V2_LINE_EVENT_RISING_EDGE,
			}
			n++
		}
		if got < len(bytes) {
			break
		}
	}
	return n, nil
}

// Close lets go of the lines and wakes a Read that waits.
func (e *Edges) Close() error {
	if e.closed.Swap(true) {
		return nil
	}
	one := [8]byte{7: 1, 0: 1} // not zero in either order of bytes
	_, wakeErr := unix.Write(e.wake, one[:])
	e.mu.Lock()
	defer e.mu.Unlock()
	err := errors.Join(wakeErr, unix.Close(e.fd), unix.Close(e.wake))
	e.fd = -1
	if err != nil {
		return fmt.Errorf("%s cannot be let go: %w", e.what, err)
	}
	return nil
}
