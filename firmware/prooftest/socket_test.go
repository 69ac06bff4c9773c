package prooftest

import (
	"bufio"
	"net"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// answering serves one answer for each request, whatever is asked, and returns what was.
func answering(t *testing.T, answers ...string) (path string, asked chan string) {
	path = filepath.Join(t.TempDir(), "s")
	listener, err := net.Listen("unix", path)
	require.NoError(t, err)
	t.Cleanup(func() { listener.Close() })
	asked = make(chan string, len(answers))
	go func() {
		for _, answer := range answers {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			line, _ := bufio.NewReader(conn).ReadString('\n')
			asked <- line
			_, _ = conn.Write([]byte(answer))
			conn.Close()
		}
	}()
	return path, asked
}

func TestASocketIsAskedAndAnswers(t *testing.T) {
	path, asked := answering(t,
		`{"format":1,"machine":"slide tank","uptime_s":12.5,"contacts":[{"name":"leak sensor","state":"open"}]}`+"\n",
		`{"ok":true,"text":"the session begins"}`+"\n", `{"ok":false,"error":"no start while a trip waits for its reset"}`+"\n",
		`{"ok":false}`+"\n", `{"error":"16 clients are connected already"}`+"\n", `{"format":2}`+"\n", "hello\n", "", "no end")
	s := NewSocket(path)
	v, err := s.View()
	require.NoError(t, err)
	assert.Equal(t, "{\"ask\":\"status\"}\n", <-asked)
	assert.Equal(t, 12.5, v.Uptime)
	assert.True(t, opens("leak sensor")(v))
	text, err := s.Ask("start", "gentle")
	require.NoError(t, err)
	assert.Equal(t, "{\"ask\":\"start\",\"recipe\":\"gentle\"}\n", <-asked)
	assert.Equal(t, "the session begins", text)
	_, err = s.Ask("reset", "")
	assert.EqualError(t, err, "no start while a trip waits for its reset")
	assert.Equal(t, "{\"ask\":\"reset\"}\n", <-asked)
	_, err = s.Ask("reset", "")
	assert.EqualError(t, err, "the program refuses, and does not say why")
	_, err = s.View()
	assert.EqualError(t, err, "16 clients are connected already")
	_, err = s.View()
	assert.ErrorContains(t, err, "has the form 2, this version reads 1")
	_, err = s.View()
	assert.ErrorContains(t, err, "does not answer with what there is to see")
	_, err = s.View()
	assert.ErrorContains(t, err, "does not answer: EOF")
	_, err = s.View()
	assert.ErrorContains(t, err, "does not answer: EOF")
}

func TestNobodyAnswers(t *testing.T) {
	_, err := NewSocket(filepath.Join(t.TempDir(), "none")).View()
	assert.ErrorContains(t, err, "no program answers at ")
}
