package status

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"time"

	"bathtender/hal/quantity"
)

const (
	// lineMost bounds an answer of the program, in bytes.
	lineMost = 1 << 20
	// dialMost is how long the program may take to take a call, answerMost how long
	// to answer, and how long a watch may be silent: it sends twice a second.
	dialMost   = 5 * time.Second
	answerMost = 10 * time.Second
)

// Client asks a running program what there is to see. It is not for several
// goroutines at once.
type Client struct {
	path string
	conn net.Conn
	in   *bufio.Reader
}

// Dial calls the program at a Unix socket. The error is a sentence with the path.
func Dial(path string) (*Client, error) {
	conn, err := net.DialTimeout("unix", path, dialMost)
	if err != nil {
		if reason := refused(err); reason != "" {
			return nil, fmt.Errorf("the program at %s cannot be asked: %s", quantity.Quote(path), reason)
		}
		return nil, fmt.Errorf("nobody answers at %s: is the program running?", path)
	}
	return &Client{path: path, conn: conn, in: bufio.NewReaderSize(conn, 64<<10)}, nil
}

// refused tells a call that this user may not make from one that nobody takes.
func refused(err error) string {
	if errors.Is(err, fs.ErrPermission) {
		return "this user may not use the socket"
	}
	return ""
}

// Close hangs up.
func (c *Client) Close() error { return c.conn.Close() }

// Status returns one view.
func (c *Client) Status() (View, error) {
	if err := c.ask("status"); err != nil {
		return View{}, err
	}
	return c.next()
}

// Watch calls do with one view after the other, two a second, until do returns an
// error, which is returned, the program hangs up, or the context ends.
func (c *Client) Watch(ctx context.Context, do func(View) error) error {
	defer context.AfterFunc(ctx, func() { c.conn.Close() })()
	if err := c.ask("watch"); err != nil {
		return ended(ctx, err)
	}
	for {
		view, err := c.next()
		if err != nil {
			return ended(ctx, err)
		}
		if err := do(view); err != nil {
			return err
		}
	}
}

// ended prefers the end of the context to the error that it has caused.
func ended(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	return err
}

func (c *Client) ask(what string) error {
	if err := c.conn.SetDeadline(time.Now().Add(answerMost)); err != nil {
		return fmt.Errorf("the program at %s cannot be asked: %w", c.path, err)
	}
	if _, err := fmt.Fprintf(c.conn, "{\"ask\":%q}\n", what); err != nil {
		return fmt.Errorf("the program at %s has hung up", c.path)
	}
	return nil
}

// next reads one answer.
func (c *Client) next() (View, error) {
	if err := c.conn.SetDeadline(time.Now().Add(answerMost)); err != nil {
		return View{}, fmt.Errorf("the program at %s cannot be heard: %w", c.path, err)
	}
	line, err := c.line()
	if err != nil {
		return View{}, err
	}
	view, err := Parse(line)
	if err != nil {
		return View{}, fmt.Errorf("the program at %s %w", c.path, err)
	}
	return view, nil
}

// line reads a line of no more than lineMost bytes, without its end.
func (c *Client) line() ([]byte, error) {
	var line []byte
	for {
		part, err := c.in.ReadSlice('\n')
		if len(line)+len(part) > lineMost {
			return nil, fmt.Errorf("the program at %s has sent a line of more than %d bytes, allowed are %d", c.path, lineMost, lineMost)
		}
		line = append(line, part...)
		var slow net.Error
		switch {
		case err == nil:
			return bytes.TrimSuffix(line, []byte("\n")), nil
		case err == bufio.ErrBufferFull:
		case errors.As(err, &slow) && slow.Timeout():
			return nil, fmt.Errorf("the program at %s has said nothing for %s, allowed are %s between two answers",
				c.path, quantity.FormatDuration(answerMost), quantity.FormatDuration(answerMost))
		case err == io.EOF && len(line) > 0:
			return nil, fmt.Errorf("the program at %s has hung up in the middle of a line of %s", c.path, quantity.Count(len(line), "byte"))
		default:
			return nil, fmt.Errorf("the program at %s has hung up", c.path)
		}
	}
}

// Parse reads a view from its line. The error says, without its subject, what was
// sent instead: "says: ...", or "has sent ...".
func Parse(line []byte) (View, error) {
	var answer struct {
		View
		Error string `json:"error"`
	}
	if err := json.Unmarshal(line, &answer); err != nil {
		return View{}, fmt.Errorf("has sent %s, which is no view of a tank: %w", quantity.Quote(string(line)), err)
	}
	switch {
	case answer.Error != "":
		return View{}, fmt.Errorf("says: %s", answer.Error)
	case answer.Format < 1:
		return View{}, fmt.Errorf("has sent %s, which is no view of a tank: its format is %d, allowed is 1",
			quantity.Quote(string(line)), answer.Format)
	case answer.Format > 1:
		return View{}, fmt.Errorf("has sent a view of format %d, known here is 1: one of the two programs is older", answer.Format)
	}
	return answer.View, nil
}
