package guest

import (
	"encoding/json"
	"fmt"
	"net"
	"sync"
)

// monitor is the emulator's own account of what happens to the machine, in its
// documented machine protocol: a line of JSON each.
type monitor struct {
	conn   net.Conn
	closed chan struct{}
	mutex  sync.Mutex
	seen   []string
}

func newMonitor(conn net.Conn) *monitor {
	m := &monitor{conn: conn, closed: make(chan struct{})}
	go m.listen()
	// Events come only after this.
	_, _ = fmt.Fprintln(conn, `{"execute":"qmp_capabilities"}`)
	return m
}

func (m *monitor) listen() {
	defer close(m.closed)
	lines := json.NewDecoder(m.conn)
	for {
		var line struct {
			Event string
			Data  struct{ Action, Reason string }
		}
		if lines.Decode(&line) != nil {
			return
		}
		if line.Event == "" {
			continue
		}
		text := line.Event
		for _, more := range []string{line.Data.Action, line.Data.Reason} {
			if more != "" {
				text += " " + more
			}
		}
		m.mutex.Lock()
		m.seen = append(m.seen, text)
		m.mutex.Unlock()
	}
}

// events returns those so far.
func (m *monitor) events() []string {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	return append([]string(nil), m.seen...)
}

// close waits for what the emulator has still to say; it must have ended, or never have
// begun, so that its end of the connection is closed.
func (m *monitor) close() {
	<-m.closed
	m.conn.Close()
}
