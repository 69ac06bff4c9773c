package guest

import (
	"bytes"
	"strings"
	"sync"
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
