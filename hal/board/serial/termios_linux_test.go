package serial

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"golang.org/x/sys/unix"
)

// What the kernel is asked for. A pseudo terminal takes size and parity of the
// characters back, so this is the only place where they can be seen without a
// real line. Eleven bits a character, with even parity by default and two stop
// bits without one: serial line specification V1.02, 2.5.1.
func TestWhatTheKernelIsAskedFor(t *testing.T) {
	for parity, want := range map[string]uint32{
		"even": unix.PARENB, "odd": unix.PARENB | unix.PARODD, "none": unix.CSTOPB,
	} {
		got := termios(Setting{Path: "line", Baud: 9600, Parity: parity})
		assert.Equal(t, uint32(unix.CS8), got.Cflag&unix.CSIZE, parity)
		assert.Equal(t, want, got.Cflag&(unix.PARENB|unix.PARODD|unix.CSTOPB), parity)
		assert.NotZero(t, got.Cflag&unix.CREAD, parity)
		assert.NotZero(t, got.Cflag&unix.CLOCAL, "no modem is waited for")
		assert.Zero(t, got.Cflag&unix.CRTSCTS, "no line of a modem holds it up")
		assert.Equal(t, parity != "none", got.Iflag&unix.INPCK != 0, parity)
		assert.Zero(t, got.Lflag|got.Oflag)
	}
}
