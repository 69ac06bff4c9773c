package serial_test

import (
	"fmt"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// pty is a pseudo terminal: a serial line whose other end is in the test. A line
// has no speed and no parity here.
type pty struct {
	path string // of the end that is opened as a port
	fd   int    // of the other
	once sync.Once
}

func newPty(t *testing.T) *pty {
	fd, err := unix.Open("/dev/ptmx", unix.O_RDWR|unix.O_NOCTTY|unix.O_CLOEXEC, 0)
	require.NoError(t, err)
	require.NoError(t, unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0))
	number, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	require.NoError(t, err)
	p := &pty{path: fmt.Sprintf("/dev/pts/%d", number), fd: fd}
	t.Cleanup(p.unplug)
	return p
}

// unplug closes the other end, as an adapter does that is pulled out.
func (p *pty) unplug() { p.once.Do(func() { unix.Close(p.fd) }) }

func (p *pty) write(bytes []byte) { unix.Write(p.fd, bytes) }

// read waits for some bytes; none where the line is gone.
func (p *pty) read(into []byte, millis int) int {
	poll := []unix.PollFd{{Fd: int32(p.fd), Events: unix.POLLIN}}
	if n, err := unix.Poll(poll, millis); n < 1 || err != nil || poll[0].Revents&unix.POLLIN == 0 {
		return 0
	}
	n, err := unix.Read(p.fd, into)
	if err != nil {
		return 0
	}
	return n
}
