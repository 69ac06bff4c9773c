package guest

import (
	"bytes"
	"context"
	"strings"
	"sync"
	"time"
)

// console takes what the guest writes to its console.
type console struct {
	mutex   sync.Mutex
	written bytes.Buffer
}

func (c *console) Write(data []byte) (int, error) {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return c.written.Write(data)
}

// text returns all of it, with the line ends of a file.
func (c *console) text() string {
	c.mutex.Lock()
	defer c.mutex.Unlock()
	return strings.ReplaceAll(c.written.String(), "\r\n", "\n")
}

// Says waits until the console holds a text, and reports whether it came before the
// machine ended.
func (m *Machine) Says(ctx context.Context, text string) bool {
	for {
		if strings.Contains(m.console.text(), text) {
			return true
		}
		select {
		case <-ctx.Done():
			return false
		case <-m.context.Done():
			return false
		case <-m.monitor.closed:
			return strings.Contains(m.console.text(), text)
		case <-time.After(20 * time.Millisecond):
		}
	}
}
