package example

import (
	"bufio"
	"encoding/json"
	"net"
	"strings"
	"sync"
	"time"

	"bathtender/firmware/status"
)

// Program stands in for a running program at a Unix socket: it answers as that
// does, with the view that it was told last.
type Program struct {
	listener net.Listener

	mutex sync.Mutex
	line  string // what is sent
	conns map[net.Conn]bool
	asked []string
}

// every is the time between two views of a watch.
const every = 50 * time.Millisecond

// Listen begins to answer at a path.
func Listen(path string, v status.View) (*Program, error) {
	listener, err := net.Listen("unix", path)
	if err != nil {
		return nil, err
	}
	p := &Program{listener: listener, conns: map[net.Conn]bool{}}
	p.Show(v)
	go func() {
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			p.mutex.Lock()
			p.conns[conn] = true
			p.mutex.Unlock()
			go p.answer(conn)
		}
	}()
	return p, nil
}

// Show changes the view.
func (p *Program) Show(v status.View) {
	line, err := json.Marshal(v)
	if err != nil {
		line = []byte(`{"error":"the example cannot be written"}`)
	}
	p.Send(string(line) + "\n")
}

// Send changes what is sent, whatever it is.
func (p *Program) Send(line string) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	p.line = line
}

// Asked returns the lines that were asked so far.
func (p *Program) Asked() []string {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	return append([]string(nil), p.asked...)
}

// Close ends the program and hangs up on everybody.
func (p *Program) Close() {
	p.listener.Close()
	p.mutex.Lock()
	defer p.mutex.Unlock()
	for conn := range p.conns {
		conn.Close()
	}
}

func (p *Program) answer(conn net.Conn) {
	defer conn.Close()
	in := bufio.NewScanner(conn)
	for in.Scan() {
		p.mutex.Lock()
		p.asked = append(p.asked, in.Text())
		p.mutex.Unlock()
		for {
			p.mutex.Lock()
			line := p.line
			p.mutex.Unlock()
			if _, err := conn.Write([]byte(line)); err != nil {
				return
			}
			if !strings.Contains(in.Text(), "watch") {
				break
			}
			time.Sleep(every)
		}
	}
}
