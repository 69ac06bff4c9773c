package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/firmware/cli"
	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

// seen is what has come to a terminal so far.
type seen struct {
	mutex sync.Mutex
	text  string
}

func (s *seen) all() string {
	s.mutex.Lock()
	defer s.mutex.Unlock()
	return s.text
}

// pseudoTerminal returns a terminal of a size (pty(7) of Linux), and what comes to
// it.
func pseudoTerminal(t *testing.T, columns, lines uint16) (*os.File, *seen) {
	screen, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	t.Cleanup(func() { screen.Close() })
	require.NoError(t, unix.IoctlSetPointerInt(int(screen.Fd()), unix.TIOCSPTLCK, 0))
	number, err := unix.IoctlGetInt(int(screen.Fd()), unix.TIOCGPTN)
	require.NoError(t, err)
	program, err := os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	t.Cleanup(func() { program.Close() })
	require.NoError(t, unix.IoctlSetWinsize(int(program.Fd()), unix.TIOCSWINSZ, &unix.Winsize{Col: columns, Row: lines}))
	s := &seen{}
	go func() {
		part := make([]byte, 4096)
		for {
			n, err := screen.Read(part)
			s.mutex.Lock()
			s.text += string(part[:n])
			s.mutex.Unlock()
			if err != nil {
				return
			}
		}
	}()
	return program, s
}

func (s *seen) eventually(t *testing.T, text string) {
	t.Helper()
	require.Eventually(t, func() bool { return strings.Contains(s.all(), text) }, time.Minute, 10*time.Millisecond, "%q does not come", text)
}

// On a terminal the screen is drawn anew in place; when the program falls silent no
// value is left, when it comes back the screen goes on, and at the end the terminal
// is as it was.
func TestTheLiveScreen(t *testing.T) {
	terminal, s := pseudoTerminal(t, 70, 30)
	socket := filepath.Join(t.TempDir(), "s")
	p, err := example.Listen(socket, example.Clean())
	require.NoError(t, err)
	client, err := status.Dial(socket)
	require.NoError(t, err)
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- watchScreen(ctx, terminal, client, socket) }()
	s.eventually(t, "CLEAN, SIDE 1 OF 2")
	p.Show(example.Tripped())
	s.eventually(t, "airflow lost, fan 2")
	p.Close()
	s.eventually(t, "nobody answers at")
	_, after, _ := strings.Cut(s.all(), "no word from the program")
	assert.NotContains(t, after, "51.1", "a stale value")
	assert.Contains(t, after, "nothing is known of the tank")
	p, err = example.Listen(socket, example.Preheat())
	require.NoError(t, err)
	defer p.Close()
	s.eventually(t, "PREHEAT")
	stop()
	require.NoError(t, <-ended)
	s.eventually(t, giveScreen)
	all := s.all()
	assert.True(t, strings.HasPrefix(all, takeScreen))
	assert.True(t, strings.HasSuffix(all, giveScreen))
	assert.Equal(t, 1, strings.Count(all, "\x1b[2J"), "it is cleared once, and then drawn in place")
	assert.Greater(t, strings.Count(all, home), 4)
}

func TestATerminalIsFoundBehindAStream(t *testing.T) {
	terminal, _ := pseudoTerminal(t, 80, 24)
	file, live := cli.Terminal(terminal)
	assert.True(t, live)
	assert.Same(t, terminal, file)
	plain, err := os.Create(filepath.Join(t.TempDir(), "plain"))
	require.NoError(t, err)
	defer plain.Close()
	_, live = cli.Terminal(plain)
	assert.False(t, live)
	_, live = cli.Terminal(&strings.Builder{})
	assert.False(t, live)
}

func TestNoColoursWhereTheyAreNotWanted(t *testing.T) {
	t.Setenv("NO_COLOR", "")
	t.Setenv("TERM", "xterm")
	assert.True(t, colours())
	t.Setenv("TERM", "dumb")
	assert.False(t, colours())
	t.Setenv("TERM", "xterm")
	t.Setenv("NO_COLOR", "1")
	assert.False(t, colours())
}

// The verb itself, ended as Ctrl-C does.
func TestAnInterruptEndsTheLiveScreenInOrder(t *testing.T) {
	terminal, s := pseudoTerminal(t, 80, 24)
	socket := filepath.Join(t.TempDir(), "s")
	p, err := example.Listen(socket, example.Idle())
	require.NoError(t, err)
	defer p.Close()
	var said strings.Builder
	ended := make(chan int, 1)
	go func() {
		ended <- command(cli.Streams{In: strings.NewReader(""), Out: terminal, Err: &said}, []string{"status", "-socket", socket})
	}()
	s.eventually(t, "nothing wants attention")
	require.NoError(t, unix.Kill(os.Getpid(), unix.SIGINT))
	assert.Equal(t, cli.OK, <-ended)
	s.eventually(t, giveScreen)
	assert.Empty(t, said.String())
}
