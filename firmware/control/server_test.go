package control_test

import (
	"bufio"
	"encoding/json"
	"fmt"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/control"
	"bathtender/firmware/presence"
	"bathtender/firmware/status"
)

// serve serves a control socket in a folder of its own. What is sent is answered
// with its verb and recipe.
func serve(t *testing.T, send func(presence.Command)) string {
	folder := t.TempDir()
	listener, err := control.Listen(folder, control.ControlSocket, control.ControlMode)
	require.NoError(t, err)
	viewer := control.NewViewer(func() status.View { return status.View{Format: 1, Machine: "slide tank"} })
	server := &control.Server{View: viewer.Line, Send: send}
	var serving sync.WaitGroup
	serving.Go(func() { assert.NoError(t, server.Serve(listener)) })
	t.Cleanup(func() {
		_ = listener.Close()
		server.Close()
		serving.Wait()
	})
	return filepath.Join(folder, control.ControlSocket)
}

func echo(c presence.Command) {
	c.Answer <- presence.Answer{OK: c.Recipe != "x", Text: fmt.Sprintf("verb %d, recipe %q", c.Verb, c.Recipe)}
}

// client is a connection that is read line by line.
type client struct {
	net.Conn
	lines *bufio.Reader
}

func dial(t *testing.T, path string) *client {
	conn, err := net.Dial("unix", path)
	require.NoError(t, err)
	t.Cleanup(func() { _ = conn.Close() })
	require.NoError(t, conn.SetDeadline(time.Now().Add(time.Minute)))
	return &client{Conn: conn, lines: bufio.NewReaderSize(conn, 1<<20)}
}

func (c *client) ask(t *testing.T, text string) string {
	_, err := c.Write([]byte(text))
	require.NoError(t, err)
	return c.line(t)
}

func (c *client) line(t *testing.T) string {
	line, err := c.lines.ReadString('\n')
	require.NoError(t, err)
	return strings.TrimSpace(line)
}

func TestWhatIsAskedIsAnswered(t *testing.T) {
	path := serve(t, echo)
	c := dial(t, path)
	var v status.View
	require.NoError(t, json.Unmarshal([]byte(c.ask(t, `{"ask":"status"}`+"\n")), &v))
	assert.Equal(t, "slide tank", v.Machine)
	assert.Equal(t, `{"ok":true,"text":"verb 1, recipe \"heavy\""}`, c.ask(t, `{"ask":"start","recipe":"heavy"}`+"\n"))
	assert.Equal(t, `{"ok":true,"text":"verb 2, recipe \"\""}`, c.ask(t, `{"ask":"stop"}`+"\n"))
	assert.Equal(t, `{"ok":true,"text":"verb 3, recipe \"\""}`, c.ask(t, `{"ask":"reset"}`+"\n"))
	for range 3 {
		first := c.ask(t, `{"ask":"status"}`+"\n")
		assert.NotEmpty(t, first)
	}

	text, err := control.Ask(path, control.Asked{Ask: "start", Recipe: "gentle"})
	require.NoError(t, err)
	assert.Equal(t, `verb 1, recipe "gentle"`, text)
	_, err = control.Ask(path, control.Asked{Ask: "start", Recipe: "x"})
	assert.EqualError(t, err, `verb 1, recipe "x"`)
	_, err = control.Ask(filepath.Join(t.TempDir(), "no.sock"), control.Asked{Ask: "stop"})
	assert.ErrorContains(t, err, "is the program running?")
}

func TestAWatchGoesOn(t *testing.T) {
	c := dial(t, serve(t, echo))
	line := c.ask(t, `{"ask":"watch"}`+"\n")
	assert.Contains(t, line, `"machine":"slide tank"`)
	assert.Equal(t, line, c.line(t))
}

func TestWrongRequestsGetASentence(t *testing.T) {
	path := serve(t, echo)
	for text, want := range map[string]string{
		"hello\n":                               `the request "hello" is no JSON object with "ask" and perhaps "recipe"`,
		"{\"ask\":\"stop\",\"x\":1}\n":          `the request "{\"ask\":\"stop\",\"x\":1}" is no JSON object with "ask" and perhaps "recipe"`,
		"{\"ask\":\"stop\"} {}\n":               "the request goes on after its JSON object, allowed is one object a line",
		"{\"ask\":\"halt\"}\n":                  `this socket does not take "halt", allowed are status, watch, start, stop, reset`,
		"{\"ask\":\"start\"}\n":                 "start needs a recipe",
		"{\"ask\":\"stop\",\"recipe\":\"g\"}\n": "stop takes no recipe",
		strings.Repeat("x", 5000) + "\n":        "the request is longer than the 1024 bytes that are allowed",
		"\x00\xff\n":                            `the request "\x00\xff" is no JSON object with "ask" and perhaps "recipe"`,
	} {
		var r control.Reply
		require.NoError(t, json.Unmarshal([]byte(dial(t, path).ask(t, text)), &r), "%q", text)
		assert.Equal(t, control.Reply{Error: want}, r)
	}
}

// The socket of the watchers has no way to the loop.
func TestTheStatusSocketOnlyShows(t *testing.T) {
	path := serve(t, nil)
	assert.Equal(t, `{"ok":false,"error":"this socket does not take \"stop\", allowed are status, watch"}`, dial(t, path).ask(t, `{"ask":"stop"}`+"\n"))
}

func TestMoreClientsThanThereIsRoomFor(t *testing.T) {
	path := serve(t, echo)
	var first []*client
	for range 16 {
		c := dial(t, path)
		c.ask(t, `{"ask":"status"}`+"\n")
		first = append(first, c)
	}
	assert.Equal(t, `{"ok":false,"error":"16 clients are connected already, which is the most"}`, dial(t, path).line(t))
	require.NoError(t, first[0].Close())
	assert.Eventually(t, func() bool {
		text, err := control.Ask(path, control.Asked{Ask: "stop"})
		return err == nil && text != ""
	}, time.Minute, 10*time.Millisecond, "one has left")
}

// A client that says nothing is cut off, and one that does not read.
func TestSlowClientsAreCutOff(t *testing.T) {
	path := serve(t, echo)
	silent, deaf := dial(t, path), dial(t, path)
	_, err := deaf.Write([]byte(`{"ask":"watch"}` + "\n"))
	require.NoError(t, err)
	_, err = silent.lines.ReadString('\n')
	assert.Error(t, err, "hung up on")
	assert.NotErrorIs(t, err, os.ErrDeadlineExceeded)
}

func TestAnAnswerThatDoesNotCome(t *testing.T) {
	path := serve(t, func(presence.Command) {})
	_, err := control.Ask(path, control.Asked{Ask: "stop"})
	assert.EqualError(t, err, "the loop has not answered within 5 s")
}

func TestASocketThatIsThereAlready(t *testing.T) {
	path := serve(t, echo)
	folder := filepath.Dir(path)
	_, err := control.Listen(folder, control.ControlSocket, control.ControlMode)
	assert.EqualError(t, err, "another program answers at "+path+" already")

	other := t.TempDir()
	dead, err := net.Listen("unix", filepath.Join(other, control.StatusSocket))
	require.NoError(t, err)
	dead.(*net.UnixListener).SetUnlinkOnClose(false)
	require.NoError(t, dead.Close())
	l, err := control.Listen(other, control.StatusSocket, control.StatusMode)
	require.NoError(t, err, "one that was left behind is taken away")
	info, err := os.Stat(filepath.Join(other, control.StatusSocket))
	require.NoError(t, err)
	assert.Equal(t, control.StatusMode, info.Mode().Perm())
	require.NoError(t, l.Close())

	file := filepath.Join(other, control.ControlSocket)
	require.NoError(t, os.WriteFile(file, []byte("mine"), 0o600))
	_, err = control.Listen(other, control.ControlSocket, control.ControlMode)
	assert.EqualError(t, err, file+" is no socket, and nothing else may lie there")

	_, err = control.Listen(filepath.Join(other, "nowhere"), control.ControlSocket, control.ControlMode)
	assert.ErrorContains(t, err, "no such file or directory")
}

func FuzzRequests(f *testing.F) {
	f.Add([]byte(`{"ask":"status"}`))
	f.Add([]byte(`{"ask":"start","recipe":"heavy"}`))
	f.Add([]byte(`{"ask":"start","recipe":"heavy"}{}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		asked, err := control.Parse(line)
		if err != nil {
			assert.NotContains(t, err.Error(), "\n")
			return
		}
		assert.Equal(t, asked.Ask == "start", asked.Recipe != "")
	})
}
