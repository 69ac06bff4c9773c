package inside

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/hal/board/clock"
)

// supervisor is the real program, as it runs on a board.
type supervisor struct {
	command *exec.Cmd
	ended   sync.WaitGroup
	mutex   sync.Mutex
	said    []string
}

const (
	journal = "/tmp/journal"
	sockets = "/tmp/sockets"
)

// startSupervisor makes a journal and starts the program. What it says goes to the
// console too.
func startSupervisor(t *testing.T) *supervisor {
	t.Helper()
	out, err := exec.Command("/bin/bathtender", "new-journal", journal).CombinedOutput()
	require.NoError(t, err, "%s", out)
	require.NoError(t, os.MkdirAll(sockets, 0o755))
	s := &supervisor{command: exec.Command("/bin/bathtender", "run", "-machine", "/etc/machine.toml",
		"-journal", journal, "-sockets", sockets, "/etc/recipe.toml")}
	s.command.Stderr = os.Stderr
	pipe, err := s.command.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, s.command.Start())
	t.Cleanup(func() {
		if t.Failed() {
			fmt.Printf("%s", log())
		}
		_ = s.command.Process.Kill()
	})
	s.ended.Go(func() {
		for lines := bufio.NewScanner(pipe); lines.Scan(); {
			fmt.Println("  run:", lines.Text())
			s.mutex.Lock()
			s.said = append(s.said, lines.Text())
			s.mutex.Unlock()
		}
	})
	return s
}

// log returns what is in the journal.
func log() []byte {
	out, err := exec.Command("/bin/bathtender", "log", "-journal", journal).CombinedOutput()
	if err != nil {
		out = fmt.Appendf(out, "%v\n", err)
	}
	return out
}

// measured is the pipe on which the cabinet tells a meter what there is to measure.
const measured = "/tmp/measured"

// startMeter starts a mains meter that is not ours, and waits until it is there.
func startMeter(t *testing.T) {
	t.Helper()
	require.NoError(t, unix.Mkfifo(measured, 0o600))
	c := exec.Command("/usr/bin/python3", "/etc/meter.py", measured, "/tmp/meter")
	c.Env = []string{"PYTHONDONTWRITEBYTECODE=1"}
	c.Stderr = os.Stderr
	out, err := c.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, c.Start())
	t.Cleanup(func() { _ = c.Process.Kill() })
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	require.Equal(t, "the meter is there\n", line)
}

// waitForThermometers waits until the kernel has found all that the cabinet has.
func waitForThermometers(t *testing.T) {
	t.Helper()
	require.Eventually(t, func() bool {
		found, err := filepath.Glob("/sys/bus/w1/devices/28-*/temperature")
		return err == nil && len(found) == 3
	}, time.Minute, 50*time.Millisecond, "the kernel has not found three thermometers")
}

// signal sends it a signal, and returns when.
func (s *supervisor) signal(t *testing.T, signal os.Signal) time.Duration {
	t.Helper()
	at := clock.Now()
	require.NoError(t, s.command.Process.Signal(signal))
	return at
}

// since returns the time of the first line of the cabinet after a moment that holds a
// text, waiting for it.
func (c *cabinet) since(t *testing.T, after time.Duration, text string, patience time.Duration) time.Duration {
	t.Helper()
	at := c.look(after, text, patience)
	if at == 0 {
		t.Fatalf("the cabinet has not said %q within %v after %v:\n%s", text, patience, after, strings.Join(c.all(), "\n"))
	}
	return at
}

// look is since for what need not come; 0 where it has not.
func (c *cabinet) look(after time.Duration, text string, patience time.Duration) time.Duration {
	for end := clock.Now() + patience; ; time.Sleep(20 * time.Millisecond) {
		for _, line := range c.all() {
			var seconds float64
			if _, err := fmt.Sscanf(line, "cabinet %f", &seconds); err != nil {
				continue
			}
			at := time.Duration(seconds * float64(time.Second))
			if at >= after && strings.Contains(line, text) {
				return at
			}
		}
		if clock.Now() > end {
			return 0
		}
	}
}

// press presses a button for half a second.
func (c *cabinet) press(t *testing.T, button string) time.Duration {
	t.Helper()
	at := clock.Now()
	c.order(t, "press "+button)
	time.Sleep(500 * time.Millisecond)
	c.order(t, "release "+button)
	return at
}

// startSession presses RESET and START until a session has begun, and returns when
// something emits: the sensors take a while to be read, and what that has tripped is to be
// reset.
func (c *cabinet) startSession(t *testing.T) time.Duration {
	t.Helper()
	for range 20 {
		c.press(t, "reset")
		time.Sleep(500 * time.Millisecond)
		at := c.press(t, "start")
		if on := c.look(at, "fans", 2*time.Second); on != 0 {
			return c.since(t, on, " emit", 2*time.Minute)
		}
	}
	t.Fatalf("START has started nothing:\n%s", strings.Join(c.all(), "\n"))
	return 0
}

// stillThere tells every tenth of a second that the machine has not been reset.
func stillThere(begin time.Duration) {
	for clock.Now()-begin < 30*time.Second {
		fmt.Printf("still there %.1f s later\n", (clock.Now() - begin).Seconds())
		time.Sleep(100 * time.Millisecond)
	}
}

// TestASession is a whole session of the real program against the cabinet: START by the
// button, emission; with INSIDE_FAN a fan that fails, a reset by the button and a
// second session; then the program is ended by INSIDE_SIGNAL while it emits. What the
// cabinet saw, and when, is what counts.
func TestASession(t *testing.T) {
	needGuest(t)
	args := []string{"-bath", "41 degC"}
	if os.Getenv("INSIDE_METER") == "another" {
		startMeter(t)
		args = append(args, "-meter", measured)
	} else {
		args = append(args, "-modbus", "/tmp/meter")
	}
	c := startCabinet(t, args...)
	late := os.Getenv("INSIDE_LATE") != ""
	if !late {
		waitForThermometers(t)
	}
	s := startSupervisor(t)
	emits := c.startSession(t)
	if !late {
		// The sounder would say that something has tripped before.
		require.Zero(t, c.look(0, "sounder", 0), "a healthy cabinet has tripped:\n%s", log())
	}

	if os.Getenv("INSIDE_FAN") != "" {
		time.Sleep(6 * time.Second)
		asked := clock.Now()
		c.order(t, "fan stalled, fan 2")
		failed := c.since(t, asked, "fan stalled", 5*time.Second)
		off := c.since(t, failed, "nothing emits", 10*time.Second)
		t.Logf("fan 2 stalled while emitting: nothing emits %v later", (off - failed).Round(time.Millisecond))
		// The rotor takes 0.6 s to fall below its minimum in the model; then the delay of
		// "airflow lost", 1 s; then a tick, and the window of the tach.
		require.Less(t, off-failed, 3*time.Second)
		c.order(t, "no fan stalled, fan 2")
		time.Sleep(40 * time.Second) // the fan is up again, the run-on over
		emits = c.startSession(t)
	}
	time.Sleep(3 * time.Second)

	switch name := os.Getenv("INSIDE_SIGNAL"); name {
	case "SIGTERM":
		at := s.signal(t, unix.SIGTERM)
		off := c.since(t, at, "nothing on", 5*time.Second)
		t.Logf("ended in order while emitting: nothing is on %v later", (off - at).Round(time.Millisecond))
		s.ended.Wait()
		require.NoError(t, s.command.Wait())
		time.Sleep(10 * time.Second) // the watchdog was told, and does not reset the machine
		said := string(log())
		fmt.Print(said)
		require.Regexp(t, `session of "heavy" begins`, said)
	case "SIGKILL":
		at := s.signal(t, unix.SIGKILL)
		off := c.since(t, at, "nothing on", 5*time.Second)
		t.Logf("killed while emitting: nothing is on %v later", (off - at).Round(time.Millisecond))
		// The machine file's lease.
		require.Less(t, off-at, 300*time.Millisecond)
		stillThere(at)
		t.Fatal("nothing has reset the machine")
	case "SIGSTOP":
		at := s.signal(t, unix.SIGSTOP)
		// It is there, and so are its lines: nobody but the watchdog, and the relay that the
		// heartbeat holds, can help. Both wait for as long; the watchdog resets this machine,
		// and with it goes the cabinet.
		t.Log("stopped while emitting: nothing but the watchdog is left")
		stillThere(at)
		t.Fatal("nothing has reset the machine")
	default:
		t.Fatalf("INSIDE_SIGNAL is %q, emission began at %v", name, emits)
	}
}
