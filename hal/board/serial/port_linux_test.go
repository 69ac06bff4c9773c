package serial_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/hal/board/modbus"
	"bathtender/hal/board/serial"
)

var _ modbus.Port = (*serial.Port)(nil)

func open(t *testing.T, s serial.Setting) *serial.Port {
	port, err := serial.Open(s)
	require.NoError(t, err)
	t.Cleanup(func() { port.Close() })
	return port
}

// All bytes go through as they are: no line end is changed, nothing is echoed,
// no byte stops the line.
func TestAllBytesGoThrough(t *testing.T) {
	line := newPty(t)
	port := open(t, serial.Setting{Path: line.path, Baud: 9600, Parity: "even"})
	var all [256]byte
	for i := range all {
		all[i] = byte(i)
	}
	gather := func(read func([]byte) int) []byte {
		var got []byte
		into := make([]byte, 300)
		for n := read(into); n > 0; n = read(into) {
			if got = append(got, into[:n]...); len(got) >= len(all) {
				break
			}
		}
		return got
	}
	line.write(all[:])
	assert.Equal(t, all[:], gather(func(into []byte) int {
		n, err := port.Read(into, time.Minute)
		assert.NoError(t, err)
		return n
	}))
	require.NoError(t, port.Write(all[:], time.Minute))
	assert.Equal(t, all[:], gather(func(into []byte) int { return line.read(into, 60_000) }))
	assert.Zero(t, line.read(make([]byte, 10), 20), "nothing is echoed")
}

// The settings as the kernel gives them back, read from the other end.
func TestTheSettings(t *testing.T) {
	for _, c := range []struct {
		setting  serial.Setting
		set, not uint32
	}{
		{serial.Setting{Baud: 9600, Parity: "even"}, unix.PARENB, unix.PARODD | unix.CSTOPB},
		{serial.Setting{Baud: 1200, Parity: "odd"}, unix.PARENB | unix.PARODD, unix.CSTOPB},
		{serial.Setting{Baud: 115200, Parity: "none"}, unix.CSTOPB, unix.PARENB | unix.PARODD},
		{serial.Setting{Baud: 14400, Parity: "even"}, unix.PARENB, 0}, // a speed that has no name
	} {
		line := newPty(t)
		c.setting.Path = line.path
		port := open(t, c.setting)
		got, err := unix.IoctlGetTermios(line.fd, unix.TCGETS2)
		require.NoError(t, err)
		assert.Equal(t, uint32(c.setting.Baud), got.Ospeed)
		assert.Equal(t, uint32(c.setting.Baud), got.Ispeed)
		// A pseudo terminal has no parity: Linux takes it back from the setting.
		set := c.set &^ unix.PARENB
		assert.Equal(t, set, got.Cflag&set)
		assert.Zero(t, got.Cflag&c.not)
		assert.Equal(t, uint32(unix.CS8), got.Cflag&unix.CSIZE)
		assert.Zero(t, got.Lflag&(unix.ICANON|unix.ECHO|unix.ISIG))
		assert.Zero(t, got.Oflag&unix.OPOST)
		assert.Zero(t, got.Iflag&(unix.IXON|unix.ICRNL|unix.ISTRIP))
		assertAlone(t, line.path)
		require.NoError(t, port.Close())
	}
}

// assertAlone demands that nobody else can open the line. Root always can, and is
// told.
func assertAlone(t *testing.T, path string) {
	fd, err := unix.Open(path, unix.O_RDWR|unix.O_NOCTTY, 0)
	if err == unix.EBUSY {
		return
	}
	require.NoError(t, err)
	defer unix.Close(fd)
	alone, err := unix.IoctlGetInt(fd, unix.TIOCGEXCL)
	require.NoError(t, err)
	assert.Equal(t, 1, alone)
}

func TestReadingWaitsNoLonger(t *testing.T) {
	line := newPty(t)
	port := open(t, serial.Setting{Path: line.path, Baud: 9600, Parity: "none"})
	begun := time.Now()
	n, err := port.Read(make([]byte, 10), 30*time.Millisecond)
	assert.NoError(t, err)
	assert.Zero(t, n)
	assert.GreaterOrEqual(t, time.Since(begun), 30*time.Millisecond)
	n, err = port.Read(make([]byte, 10), 0)
	assert.NoError(t, err)
	assert.Zero(t, n)
}

func TestFlushThrowsAway(t *testing.T) {
	line := newPty(t)
	port := open(t, serial.Setting{Path: line.path, Baud: 9600, Parity: "even"})
	line.write([]byte{1, 2, 3})
	into := make([]byte, 1)
	n, err := port.Read(into, time.Minute) // they are here now
	require.NoError(t, err)
	require.Equal(t, 1, n)
	require.NoError(t, port.Flush())
	n, err = port.Read(into, 20*time.Millisecond)
	assert.NoError(t, err)
	assert.Zero(t, n)
}

func TestALineThatIsGone(t *testing.T) {
	line := newPty(t)
	port := open(t, serial.Setting{Path: line.path, Baud: 9600, Parity: "even"})
	go func() {
		time.Sleep(20 * time.Millisecond)
		line.unplug()
	}()
	_, err := port.Read(make([]byte, 10), time.Minute)
	assert.ErrorIs(t, err, modbus.ErrGone, "while it waits")
	_, err = port.Read(make([]byte, 10), time.Minute)
	assert.ErrorIs(t, err, modbus.ErrGone)
	assert.ErrorIs(t, port.Write([]byte{1}, time.Minute), modbus.ErrGone)
}

func TestWrongSettings(t *testing.T) {
	for want, s := range map[string]serial.Setting{
		`no serial port is named, allowed is one as in "/dev/ttyUSB0"`:                 {Baud: 9600, Parity: "even"},
		`serial port "/dev/null" cannot run at 0 baud, allowed are 50 to 4000000`:      {Path: "/dev/null", Parity: "even"},
		`serial port "/dev/null" has no parity "mark", allowed are even, odd and none`: {Path: "/dev/null", Baud: 9600, Parity: "mark"},
		`"/dev/null" is no serial port: inappropriate ioctl for device`:                {Path: "/dev/null", Baud: 9600, Parity: "even"},
		`serial port "/dev/none" cannot be opened: no such file or directory`:          {Path: "/dev/none", Baud: 9600, Parity: "even"},
	} {
		_, err := serial.Open(s)
		assert.EqualError(t, err, want)
	}
}

func TestReadingAndWritingAllocatesNothing(t *testing.T) {
	line := newPty(t)
	port := open(t, serial.Setting{Path: line.path, Baud: 9600, Parity: "even"})
	into, bytes := make([]byte, 64), []byte{1, 2, 3}
	assert.Zero(t, testing.AllocsPerRun(50, func() {
		line.write(bytes)
		_, _ = port.Read(into, time.Second)
		_ = port.Write(bytes, time.Second)
		_ = port.Flush()
		line.read(into, 1000)
	}))
}
