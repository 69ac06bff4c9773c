// Package service tells the service manager how the program is, by the readiness
// protocol of systemd (sd_notify(3)): a datagram of plain text to a Unix socket
// that the manager names in the environment. Without a manager it does nothing.
package service

import (
	"fmt"
	"net"
	"os"
	"strconv"
	"strings"
	"time"

	"bathtender/firmware/fileerror"
)

// Manager is the service manager, or the lack of one: the zero Manager.
type Manager struct {
	conn  net.Conn
	every time.Duration // between two signs of life; 0 for none
	last  time.Time
}

// Find returns the manager that the environment names.
func Find() (*Manager, error) { return find(os.Getenv, os.Getpid()) }

func find(env func(string) string, pid int) (*Manager, error) {
	path := env("NOTIFY_SOCKET")
	if path == "" {
		return &Manager{}, nil
	}
	if !strings.HasPrefix(path, "/") && !strings.HasPrefix(path, "@") {
		return nil, fmt.Errorf("NOTIFY_SOCKET %q is no socket, allowed is a path, or @ and a name", path)
	}
	conn, err := net.Dial("unixgram", path) // the library knows the @ of an abstract name
	if err != nil {
		return nil, fmt.Errorf("the service manager does not answer at %q: %w", path, fileerror.Cause(err))
	}
	m := &Manager{conn: conn}
	usec := env("WATCHDOG_USEC")
	if owner := env("WATCHDOG_PID"); usec == "" || owner != "" && owner != strconv.Itoa(pid) {
		return m, nil
	}
	n, err := strconv.ParseInt(usec, 10, 64)
	if err != nil || n <= 0 || n > int64(time.Hour/time.Microsecond) {
		_ = conn.Close()
		return nil, fmt.Errorf("WATCHDOG_USEC %q is no time, allowed are 1 to 3600000000 microseconds", usec)
	}
	// Half of the time, as the protocol advises.
	m.every = time.Duration(n) * time.Microsecond / 2
	return m, nil
}

// Ready says that the program is up: the board answers and the loop is about to
// tick.
func (m *Manager) Ready(status string) { m.say("READY=1\nSTATUS=" + status) }

// Stopping says that the program ends in order.
func (m *Manager) Stopping() { m.say("STOPPING=1") }

var alive = []byte("WATCHDOG=1")

// Alive is called after each healthy tick, and tells the manager now and then. It
// neither waits nor allocates.
func (m *Manager) Alive() {
	if m.every == 0 {
		return
	}
	now := time.Now()
	if now.Sub(m.last) < m.every/2 {
		return
	}
	m.last = now
	// A manager that does not read must not hold the loop up.
	_ = m.conn.SetWriteDeadline(now.Add(time.Millisecond))
	_, _ = m.conn.Write(alive)
}

func (m *Manager) say(text string) {
	if m.conn == nil {
		return
	}
	_ = m.conn.SetWriteDeadline(time.Now().Add(time.Second))
	_, _ = m.conn.Write([]byte(text))
}
