package main

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// terminal returns the two ends of a pseudo-terminal (pty(7) of Linux).
func terminal(t *testing.T) (screen, program *os.File) {
	screen, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	t.Cleanup(func() { screen.Close() })
	require.NoError(t, unix.IoctlSetPointerInt(int(screen.Fd()), unix.TIOCSPTLCK, 0))
	number, err := unix.IoctlGetInt(int(screen.Fd()), unix.TIOCGPTN)
	require.NoError(t, err)
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	return screen, program
}

// On a terminal the progress is one line, which is taken away again.
func TestProgressIsShownOnATerminalAndTakenAway(t *testing.T) {
	screen, program := terminal(t)
	p := newProgress(program)
	p.show("a/long.toml", 90*time.Second)
	p.next = time.Time{} // as if a tenth of a second had passed
	p.show("a/long.toml", 1800*time.Second)
	p.done()
	p.done()
	require.NoError(t, program.Close())
	seen, err := io.ReadAll(screen)
	if err != nil { // the other end of a terminal gone is EIO
		require.ErrorIs(t, err, unix.EIO)
	}
	assert.Regexp(t, `^long\.toml: at 0:01:30, \d+ times real time\r +\rlong\.toml: at 0:30:00, \d+ times real time\r +\r$`, string(seen))
	// What is left of the line: every character has been written over.
	parts := strings.Split(string(seen), "\r")
	assert.Equal(t, len(parts[0]), len(parts[1]))
}

// Elsewhere there is none: a log or a file would keep each line of it.
func TestProgressIsSilentElsewhere(t *testing.T) {
	var out bytes.Buffer
	p := newProgress(&out)
	p.show("x.toml", time.Minute)
	p.done()
	assert.Empty(t, out.String())

	file, err := os.Create(t.TempDir() + "/log")
	require.NoError(t, err)
	p = newProgress(file)
	p.show("x.toml", time.Minute)
	p.done()
	require.NoError(t, file.Close())
	kept, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	assert.Empty(t, kept)
}
