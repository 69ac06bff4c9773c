package service

import (
	"net"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func listen(t *testing.T, name string) *net.UnixConn {
	c, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: name, Net: "unixgram"})
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	return c
}

func heard(t *testing.T, c *net.UnixConn) string {
	b := make([]byte, 200)
	require.NoError(t, c.SetReadDeadline(time.Now().Add(20*time.Second)))
	n, err := c.Read(b)
	require.NoError(t, err)
	return string(b[:n])
}

func environment(of map[string]string) func(string) string {
	return func(name string) string { return of[name] }
}

func TestWithoutAManagerNothingIsSaid(t *testing.T) {
	m, err := find(environment(nil), 7)
	require.NoError(t, err)
	m.Ready("up")
	m.Alive()
	m.Stopping()
}

// The words are those of sd_notify(3).
func TestTheManagerHearsHowItIs(t *testing.T) {
	for _, name := range []string{filepath.Join(t.TempDir(), "n.sock"), "@bathtender-test"} {
		c := listen(t, name)
		m, err := find(environment(map[string]string{"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "2000000", "WATCHDOG_PID": "7"}), 7)
		require.NoError(t, err)
		assert.Equal(t, time.Second, m.every)
		m.Ready("idle")
		assert.Equal(t, "READY=1\nSTATUS=idle", heard(t, c))
		for range 1000 {
			m.Alive()
		}
		m.Stopping()
		assert.Equal(t, "WATCHDOG=1", heard(t, c))
		assert.Equal(t, "STOPPING=1", heard(t, c), "one sign of life is enough for a while")
	}
}

func TestAnothersWatchdogIsNotFed(t *testing.T) {
	name := filepath.Join(t.TempDir(), "n.sock")
	listen(t, name)
	m, err := find(environment(map[string]string{"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "2000000", "WATCHDOG_PID": "8"}), 7)
	require.NoError(t, err)
	assert.Zero(t, m.every)
}

func TestAWrongEnvironmentGetsASentence(t *testing.T) {
	name := filepath.Join(t.TempDir(), "n.sock")
	listen(t, name)
	for _, c := range []struct {
		env  map[string]string
		want string
	}{
		{map[string]string{"NOTIFY_SOCKET": "vsock:2:1"}, `NOTIFY_SOCKET "vsock:2:1" is no socket, allowed is a path, or @ and a name`},
		{map[string]string{"NOTIFY_SOCKET": "/none/x"}, `the service manager does not answer at "/none/x": no such file or directory`},
		{map[string]string{"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "soon"}, `WATCHDOG_USEC "soon" is no time, allowed are 1 to 3600000000 microseconds`},
		{map[string]string{"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "-1"}, `WATCHDOG_USEC "-1" is no time, allowed are 1 to 3600000000 microseconds`},
	} {
		_, err := find(environment(c.env), 7)
		assert.EqualError(t, err, c.want)
	}
}

// A manager that does not read fills its queue; the loop must not wait for it.
func TestAManagerThatDoesNotRead(t *testing.T) {
	name := filepath.Join(t.TempDir(), "n.sock")
	listen(t, name)
	m, err := find(environment(map[string]string{"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "4"}), 7)
	require.NoError(t, err)
	begun := time.Now()
	for range 300 {
		m.Alive()
	}
	assert.Less(t, time.Since(begun), 20*time.Second)
}

func TestASignOfLifeAllocatesNothing(t *testing.T) {
	name := filepath.Join(t.TempDir(), "n.sock")
	c := listen(t, name)
	go func() {
		b := make([]byte, 64)
		for {
			if _, err := c.Read(b); err != nil {
				return
			}
		}
	}()
	m, err := find(environment(map[string]string{"NOTIFY_SOCKET": name, "WATCHDOG_USEC": "4"}), 7)
	require.NoError(t, err)
	assert.Zero(t, testing.AllocsPerRun(100, m.Alive))
}
