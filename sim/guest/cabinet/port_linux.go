package main

import (
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// openPort opens a serial port, or a file, to be written to as it is: without line ends
// made of others, echo, or waiting for the other side.
func openPort(path string) (*os.File, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE|unix.O_NOCTTY|unix.O_NONBLOCK, 0o644)
	if err != nil {
		return nil, fmt.Errorf("the meter's port cannot be opened: %w", err)
	}
	t, err := unix.IoctlGetTermios(int(f.Fd()), unix.TCGETS)
	if err != nil {
		return f, nil // not a serial port
	}
	t.Iflag, t.Oflag, t.Lflag = 0, 0, 0
	t.Cflag = unix.CS8 | unix.CREAD | unix.CLOCAL | unix.B115200
	if err := unix.IoctlSetTermios(int(f.Fd()), unix.TCSETS, t); err != nil {
		f.Close()
		return nil, fmt.Errorf("the meter's port at %s cannot be set up: %w", path, err)
	}
	return f, nil
}
