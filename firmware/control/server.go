package control

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"net"
	"sync"
	"time"

	"bathtender/firmware/presence"
)

// Limits on clients.
const (
	clientsMost = 16
	// idleMost is how long a client may take for its line, or to read one.
	idleMost = 5 * time.Second
	// WatchEvery is the time between two views of a watch.
	WatchEvery = 500 * time.Millisecond
	// answerMost is how long the loop may take to answer.
	answerMost = 5 * time.Second
)

// Server serves one socket.
type Server struct {
	// View returns a view as one line of JSON with its newline. It is called by
	// many goroutines.
	View func() ([]byte, error)
	// Send hands a command to the loop; nil for a socket that only shows.
	Send func(presence.Command)

	mutex   sync.Mutex
	clients map[net.Conn]bool
	closed  bool
	done    sync.WaitGroup
}

// Serve answers clients until the listener is closed.
func (s *Server) Serve(listener net.Listener) error {
	for {
		conn, err := listener.Accept()
		switch {
		case errors.Is(err, net.ErrClosed):
			s.Close()
			return nil
		case err != nil:
			// Out of file descriptors, say: the loop goes on without watchers.
			time.Sleep(100 * time.Millisecond)
			continue
		}
		if !s.enter(conn) {
			_ = conn.SetWriteDeadline(time.Now().Add(100 * time.Millisecond))
			line, _ := json.Marshal(Reply{Error: fmt.Sprintf("%d clients are connected already, which is the most", clientsMost)})
			_, _ = conn.Write(append(line, '\n'))
			_ = conn.Close()
			continue
		}
		go func() {
			defer s.leave(conn)
			s.serve(conn)
		}()
	}
}

// Close hangs up on all clients and waits until they have gone.
func (s *Server) Close() {
	s.mutex.Lock()
	s.closed = true
	for conn := range s.clients {
		_ = conn.Close()
	}
	s.mutex.Unlock()
	s.done.Wait()
}

func (s *Server) enter(conn net.Conn) bool {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	if s.closed || len(s.clients) >= clientsMost {
		return false
	}
	if s.clients == nil {
		s.clients = map[net.Conn]bool{}
	}
	s.clients[conn] = true
	s.done.Add(1)
	return true
}

func (s *Server) leave(conn net.Conn) {
	_ = conn.Close()
	s.mutex.Lock()
	delete(s.clients, conn)
	s.mutex.Unlock()
	s.done.Done()
}

// serve answers one client, request after request.
func (s *Server) serve(conn net.Conn) {
	if s.Send != nil {
		if err := checkPeer(conn); err != nil {
			s.say(conn, Reply{Error: err.Error()})
			return
		}
	}
	lines := bufio.NewReaderSize(conn, lineMost)
	for {
		_ = conn.SetReadDeadline(time.Now().Add(idleMost))
		line, err := lines.ReadSlice('\n')
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			s.say(conn, Reply{Error: fmt.Sprintf("the request is longer than the %d bytes that are allowed", lineMost)})
			return
		case err != nil:
			return
		}
		asked, err := parse(line, s.allowed())
		if err != nil {
			s.say(conn, Reply{Error: err.Error()})
			return
		}
		if !s.answer(conn, asked) {
			return
		}
	}
}

func (s *Server) allowed() []string {
	if s.Send == nil {
		return everything[:2]
	}
	return everything
}

// everything is all that can be asked, to see first.
var everything = []string{askStatus, askWatch, askStart, askStop, askReset}

// answer answers one request, and reports whether the client may ask again.
func (s *Server) answer(conn net.Conn, asked Asked) bool {
	switch asked.Ask {
	case askStatus:
		return s.show(conn)
	case askWatch:
		for s.show(conn) {
			time.Sleep(WatchEvery)
		}
		return false
	case askStart:
		return s.order(conn, presence.Command{Verb: presence.Start, Recipe: asked.Recipe})
	case askStop:
		return s.order(conn, presence.Command{Verb: presence.Stop})
	default:
		return s.order(conn, presence.Command{Verb: presence.Reset})
	}
}

// order hands a command to the loop and waits for what comes of it.
func (s *Server) order(conn net.Conn, c presence.Command) bool {
	answer := make(chan presence.Answer, 1)
	c.Answer = answer
	s.Send(c)
	select {
	case a := <-answer:
		if a.OK {
			return s.say(conn, Reply{OK: true, Text: a.Text})
		}
		return s.say(conn, Reply{Error: a.Text})
	case <-time.After(answerMost):
		return s.say(conn, Reply{Error: fmt.Sprintf("the loop has not answered within %d s", int(answerMost.Seconds()))})
	}
}

func (s *Server) show(conn net.Conn) bool {
	line, err := s.View()
	if err != nil {
		s.say(conn, Reply{Error: err.Error()})
		return false
	}
	return s.put(conn, line)
}

func (s *Server) say(conn net.Conn, r Reply) bool {
	line, err := json.Marshal(r)
	return err == nil && s.put(conn, append(line, '\n'))
}

func (s *Server) put(conn net.Conn, line []byte) bool {
	_ = conn.SetWriteDeadline(time.Now().Add(idleMost))
	_, err := conn.Write(line)
	return err == nil
}
