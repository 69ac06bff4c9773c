package inside

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/hal/board/watchdog"
)

// What the process that feeds the watchdog is told by its environment, and how long the
// watchdog waits.
const (
	feeds           = "INSIDE_FEEDS"
	watchdogTimeout = 3 * time.Second
)

// TestFeeder is no test: it is the program that dies in the one below.
func TestFeeder(t *testing.T) {
	path := os.Getenv(feeds)
	if path == "" {
		t.Skip("is run by TestTheWatchdogBites")
	}
	dog, err := watchdog.Open(path, watchdogTimeout)
	require.NoError(t, err)
	for {
		require.NoError(t, dog.Feed())
		time.Sleep(500 * time.Millisecond)
	}
}

// A program that feeds a watchdog dies by a signal (INSIDE_SIGNAL), after it has lived
// for longer than the watchdog waits; then the machine must be reset. The test tells
// every tenth of a second that it is still there: by the last of these lines the other
// side knows how soon that was.
func TestTheWatchdogBites(t *testing.T) {
	needGuest(t)
	kill := unix.SignalNum(os.Getenv("INSIDE_SIGNAL"))
	require.NotZero(t, kill)
	path := watchdogNamed(t, os.Getenv("INSIDE_WATCHDOG"))

	feeder := exec.Command("/proc/self/exe", "-test.run", "^TestFeeder$")
	feeder.Env = append(os.Environ(), feeds+"="+path)
	feeder.Stdout, feeder.Stderr = os.Stdout, os.Stderr
	require.NoError(t, feeder.Start())
	defer feeder.Process.Kill()
	time.Sleep(3 * watchdogTimeout)
	require.NoError(t, feeder.Process.Signal(kill))
	for begin := time.Now(); time.Since(begin) < 10*watchdogTimeout; time.Sleep(100 * time.Millisecond) {
		fmt.Printf("still there %.1f s later\n", time.Since(begin).Seconds())
	}
	t.Fatal("nothing has reset the machine")
}

// watchdogNamed returns the device of the watchdog that calls itself so.
func watchdogNamed(t *testing.T, name string) string {
	t.Helper()
	found, err := filepath.Glob("/sys/class/watchdog/watchdog*/identity")
	require.NoError(t, err)
	for _, path := range found {
		identity, err := os.ReadFile(path)
		require.NoError(t, err)
		if strings.TrimSpace(string(identity)) == name {
			return filepath.Join("/dev", filepath.Base(filepath.Dir(path)))
		}
	}
	t.Fatalf("no watchdog of %v is called %q", found, name)
	return ""
}
