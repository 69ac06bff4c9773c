package serial

import "fmt"

// Setting is how a line is set up. Characters have 8 data bits.
type Setting struct {
	Path   string // of the device: "/dev/ttyUSB0"
	Baud   int    // bits per second
	Parity string // "even", "odd" or "none"; with none there are two stop bits
}

// check returns an error where a setting cannot be.
func (s Setting) check() error {
	switch {
	case s.Path == "":
		return fmt.Errorf("no serial port is named, allowed is one as in %q", "/dev/ttyUSB0")
	case s.Baud < 50 || s.Baud > 4_000_000:
		return fmt.Errorf("serial port %q cannot run at %d baud, allowed are 50 to 4000000", s.Path, s.Baud)
	case s.Parity != "even" && s.Parity != "odd" && s.Parity != "none":
		return fmt.Errorf("serial port %q has no parity %q, allowed are even, odd and none", s.Path, s.Parity)
	default:
		return nil
	}
}
