package prooftest

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/status"
)

const (
	// viewEvery is the time from one view to the next, replyMost how long an answer
	// may take: a start waits for its tick.
	viewEvery = 100 * time.Millisecond
	replyMost = 10 * time.Second
	// lineMost bounds an answer.
	lineMost = 1 << 20
)

// Socket is the running program, over its control socket. It connects anew for each
// request: between two of them a hand may take its time.
type Socket struct {
	path string
	last time.Time
}

// NewSocket returns the program that answers at a path.
func NewSocket(path string) *Socket { return &Socket{path: path} }

// View implements Watcher.
func (s *Socket) View() (*status.View, error) {
	time.Sleep(time.Until(s.last.Add(viewEvery)))
	s.last = time.Now()
	line, err := s.talk("status", "")
	if err != nil {
		return nil, err
	}
	var answer struct {
		status.View
		Error string `json:"error"`
	}
	if err := json.Unmarshal(line, &answer); err != nil {
		return nil, fmt.Errorf("%s does not answer with what there is to see: %.100q", s.path, line)
	}
	switch {
	case answer.Error != "":
		return nil, errors.New(answer.Error)
	case answer.Format != 1:
		return nil, fmt.Errorf("what %s shows has the form %d, this version reads 1", s.path, answer.Format)
	}
	return &answer.View, nil
}

// Ask implements Watcher.
func (s *Socket) Ask(what, recipe string) (string, error) {
	line, err := s.talk(what, recipe)
	if err != nil {
		return "", err
	}
	var reply struct {
		OK    bool   `json:"ok"`
		Text  string `json:"text"`
		Error string `json:"error"`
	}
	if err := json.Unmarshal(line, &reply); err != nil {
		return "", fmt.Errorf("%s gives no answer that can be read: %.100q", s.path, line)
	}
	if !reply.OK || reply.Error != "" {
		if reply.Error == "" {
			reply.Error = "the program refuses, and does not say why"
		}
		return "", errors.New(reply.Error)
	}
	return reply.Text, nil
}

// talk sends one request and returns the line that answers it.
func (s *Socket) talk(what, recipe string) ([]byte, error) {
	conn, err := net.DialTimeout("unix", s.path, replyMost)
	if err != nil {
		return nil, fmt.Errorf("no program answers at %s: %w", s.path, fileerror.Cause(err))
	}
	defer conn.Close()
	_ = conn.SetDeadline(time.Now().Add(replyMost))
	request, err := json.Marshal(struct {
		Ask    string `json:"ask"`
		Recipe string `json:"recipe,omitempty"`
	}{what, recipe})
	if err != nil {
		return nil, err
	}
	if _, err := conn.Write(append(request, '\n')); err != nil {
		return nil, fmt.Errorf("nothing can be asked at %s: %w", s.path, fileerror.Cause(err))
	}
	line, err := bufio.NewReader(io.LimitReader(conn, lineMost)).ReadBytes('\n')
	if err != nil {
		return nil, fmt.Errorf("the program at %s does not answer: %w", s.path, fileerror.Cause(err))
	}
	return line, nil
}
