package serial

import (
	"errors"
	"fmt"
	"time"

	"golang.org/x/sys/unix"

	"bathtender/hal/board/modbus"
)

// Port is an open serial line, this program's alone. One goroutine uses it. It
// is a modbus.Port.
type Port struct {
	fd   int
	poll [1]unix.PollFd
}

// Open opens a line and sets it up. What was waiting on it is thrown away. The
// error names the line and the reason.
func Open(s Setting) (*Port, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	// Without O_NONBLOCK the open itself may wait for a modem.
	fd, err := unix.Open(s.Path, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, fmt.Errorf("serial port %q cannot be opened: %w", s.Path, err)
	}
	if err := setUp(fd, s); err != nil {
		unix.Close(fd)
		return nil, err
	}
	return &Port{fd: fd}, nil
}

func setUp(fd int, s Setting) error {
	if err := unix.IoctlSetInt(fd, unix.TIOCEXCL, 0); err != nil {
		return fmt.Errorf("%q is no serial port: %w", s.Path, err)
	}
	t := unix.Termios{
		Cflag:  unix.CS8 | unix.CREAD | unix.CLOCAL | unix.BOTHER,
		Ispeed: uint32(s.Baud), Ospeed: uint32(s.Baud),
	}
	switch s.Parity {
	case "even":
		t.Cflag |= unix.PARENB
	case "odd":
		t.Cflag |= unix.PARENB
	default:
		// Eleven bits a character in any case (serial line specification, 2.5.1). A
		// meter with one stop bit does not mind a second.
		t.Cflag |= unix.CSTOPB
	}
	// A character with a wrong parity arrives as 0: the checksum finds it.
	if s.Parity != "none" {
		t.Iflag |= unix.INPCK
	}
	t.Cc[unix.VMIN] = 1
	if err := unix.IoctlSetTermios(fd, unix.TCSETS2, &t); err != nil {
		return fmt.Errorf("serial port %q cannot be set to %d baud with parity %s: %w", s.Path, s.Baud, s.Parity, err)
	}
	got, err := unix.IoctlGetTermios(fd, unix.TCGETS2)
	if err != nil {
		return fmt.Errorf("serial port %q does not tell its setting: %w", s.Path, err)
	}
	// A receiver still finds each bit where sender and receiver are 2 % apart
	// (common practice, no source).
	if off := int(got.Ospeed) - s.Baud; off > s.Baud/50 || off < -s.Baud/50 {
		return fmt.Errorf("serial port %q runs at %d baud where %d baud are wanted, allowed is 2 %% more or less", s.Path, got.Ospeed, s.Baud)
	}
	return unix.IoctlSetInt(fd, unix.TCFLSH, unix.TCIOFLUSH)
}

// Read waits for bytes until the time is over and returns how many it has put
// into p; 0 without an error where none came. The error wraps modbus.ErrGone
// where the line is gone.
func (p *Port) Read(into []byte, wait time.Duration) (int, error) {
	end := time.Now().Add(wait)
	for {
		n, err := unix.Read(p.fd, into)
		switch {
		case n > 0:
			return n, nil
		case err == unix.EAGAIN:
			if ready, err := p.wait(unix.POLLIN, time.Until(end)); !ready {
				return 0, err
			}
		case err == unix.EINTR:
		default:
			return 0, gone(err) // no byte and no error is a line that was hung up
		}
	}
}

// Write sends all of the bytes, at the latest until the time is over.
func (p *Port) Write(bytes []byte, wait time.Duration) error {
	end := time.Now().Add(wait)
	for len(bytes) > 0 {
		n, err := unix.Write(p.fd, bytes)
		switch {
		case n > 0:
			bytes = bytes[n:]
		case err == unix.EAGAIN:
			if ready, err := p.wait(unix.POLLOUT, time.Until(end)); err != nil {
				return err
			} else if !ready {
				return errStuck
			}
		case err == unix.EINTR:
		default:
			return gone(err)
		}
	}
	return nil
}

var errStuck = errors.New("the serial port does not send")

// wait returns whether the line is ready before the time is over.
func (p *Port) wait(events int16, left time.Duration) (bool, error) {
	if left <= 0 {
		return false, nil
	}
	p.poll[0] = unix.PollFd{Fd: int32(p.fd), Events: events}
	limit := unix.NsecToTimespec(int64(left))
	n, err := unix.Ppoll(p.poll[:], &limit, nil)
	switch {
	case err == unix.EINTR:
		return true, nil // look again
	case err != nil:
		return false, gone(err)
	case n > 0 && p.poll[0].Revents&events == 0:
		return false, gone(nil) // hung up, or no line any more
	default:
		return n > 0, nil
	}
}

// Flush throws away what has come in.
func (p *Port) Flush() error {
	if err := unix.IoctlSetInt(p.fd, unix.TCFLSH, unix.TCIFLUSH); err != nil {
		return gone(err)
	}
	return nil
}

// Close gives the line back.
func (p *Port) Close() error { return unix.Close(p.fd) }

// gone returns an error for a call that an existing line never fails.
func gone(err error) error {
	if err == nil || err == unix.EIO || err == unix.ENODEV || err == unix.ENXIO {
		return modbus.ErrGone
	}
	return fmt.Errorf("%w: %w", modbus.ErrGone, err)
}
