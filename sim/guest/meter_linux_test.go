package guest

import (
	"bufio"
	"io"
	"net"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// meter is the mains meter of testdata/meter.py: another project's Modbus server.
type meter struct {
	// Bus is the meter's end of the serial line, Watts where what it measures is written.
	bus   net.Conn
	watts io.WriteCloser
	said  strings.Builder
}

func startMeter(t *testing.T) *meter {
	t.Helper()
	// Debian's own Python, which has Debian's modules.
	const python = "/usr/bin/python3"
	if exec.Command(python, "-c", "import pymodbus").Run() != nil {
		missing(t, "there is no pymodbus (Debian: python3-pymodbus)")
	}
	m := &meter{}
	c := exec.CommandContext(t.Context(), python, "testdata/meter.py")
	c.Stderr = &m.said
	in, err := c.StdinPipe()
	require.NoError(t, err)
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	t.Cleanup(func() { in.Close(); _ = c.Wait() })
	port, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err, "the meter has not begun")
	m.watts = in
	m.bus, err = net.Dial("tcp", "127.0.0.1:"+strings.TrimSpace(port))
	require.NoError(t, err)
	t.Cleanup(func() { m.bus.Close() })
	return m
}

// connect joins the meter to a machine: its first serial port is the bus, on the second
// it tells what the meter measures.
func (m *meter) connect(t *testing.T, machine *Machine) {
	t.Helper()
	var copying sync.WaitGroup
	for _, way := range []struct {
		to   io.Writer
		from io.Reader
	}{{m.bus, machine.Serial[0]}, {machine.Serial[0], m.bus}, {m.watts, machine.Serial[1]}} {
		copying.Go(func() { _, _ = io.Copy(way.to, way.from) })
	}
	t.Cleanup(func() { m.bus.Close(); copying.Wait() })
}

// The whole session with a meter that is not ours: on a serial port, Modbus RTU by
// another implementation, that gets from the cabinet what there is to measure. While it
// emits the program is ended in order: everything is
// off, the watchdog leaves the machine alone, and the journal can be read.
func TestInTheGuestASessionWithAnotherMeter(t *testing.T) {
	needKernel(t)
	t.Parallel()
	m := startMeter(t)
	machine := start(t, Guest{
		Files: sessionFiles(t, "/dev/ttyS1"), Pace: Counted, SerialPorts: 2, Limit: 5 * time.Minute,
		Jobs: []Job{insideJob(sessionTest, "INSIDE_FAN=", "INSIDE_SIGNAL=SIGTERM", "INSIDE_METER=outside")},
	})
	m.connect(t, machine)
	r := machine.Wait()
	if os.Getenv("BATHTENDER_SHOW") != "" {
		t.Log(r.Console)
	}
	requirePassed(t, r)
	showMeasured(t, r, sessionTest)
}
