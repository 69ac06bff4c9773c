package bench

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// terminal returns the two ends of a pseudo-terminal (pty(7) of Linux).
func terminal(t *testing.T) (keys, program *os.File) {
	keys, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	t.Cleanup(func() { keys.Close() })
	require.NoError(t, unix.IoctlSetPointerInt(int(keys.Fd()), unix.TIOCSPTLCK, 0))
	number, err := unix.IoctlGetInt(int(keys.Fd()), unix.TIOCGPTN)
	require.NoError(t, err)
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|unix.O_NOCTTY, 0)
	require.NoError(t, err)
	t.Cleanup(func() { program.Close() })
	return keys, program
}

// mode returns how a terminal is set.
func mode(t *testing.T, f *os.File) unix.Termios {
	m, err := unix.IoctlGetTermios(int(f.Fd()), unix.TCGETS)
	require.NoError(t, err)
	return *m
}

func TestAPromptNeedsATerminalAtBothEnds(t *testing.T) {
	_, program := terminal(t)
	file, err := os.Create(t.TempDir() + "/x")
	require.NoError(t, err)
	defer file.Close()
	for _, c := range []struct {
		in  io.Reader
		out io.Writer
	}{{file, program}, {program, file}, {&bytes.Buffer{}, program}, {program, &bytes.Buffer{}}} {
		_, ok := NewPrompt(c.in, c.out, nil)
		assert.False(t, ok)
	}
}

// press types keys as soon as a line is being read.
func press(t *testing.T, keys, program *os.File, was unix.Termios, text string) {
	go func() {
		for mode(t, program) == was {
			time.Sleep(time.Millisecond)
		}
		keys.WriteString(text)
	}()
}

// Between two lines the terminal is as it was, and after them, however they end.
func TestTheTerminalIsPutBack(t *testing.T) {
	keys, program := terminal(t)
	was := mode(t, program)
	p, ok := NewPrompt(program, program, nil)
	require.True(t, ok)
	defer p.Close()
	go io.Copy(io.Discard, keys) // what is shown

	press(t, keys, program, was, "wait 1 sx\x7f\x1b[D\x1b[C\r") // a slip, mended, and arrows
	line, err := p.Next("0:00:00> ")
	require.NoError(t, err)
	assert.Equal(t, "wait 1 s", line)
	assert.Equal(t, was, mode(t, program))

	press(t, keys, program, was, "\x1b[A\r") // arrow up: the line before
	line, err = p.Next("0:00:01> ")
	require.NoError(t, err)
	assert.Equal(t, "wait 1 s", line)

	// A panic on the way.
	p.Complete(func(string) string {
		assert.NotEqual(t, was, mode(t, program), "it is raw while a line is being read")
		panic("a slip in the program")
	})
	press(t, keys, program, was, "w\t\r")
	assert.PanicsWithValue(t, "a slip in the program", func() { p.Next("0:00:01> ") })
	assert.Equal(t, was, mode(t, program))
}

func TestTheEndOfTheInputEndsThePrompt(t *testing.T) {
	for _, key := range []string{"\x04", "\x03", "half a line\x03"} { // Ctrl-D, Ctrl-C
		keys, program := terminal(t)
		was := mode(t, program)
		p, ok := NewPrompt(program, program, nil)
		require.True(t, ok)
		go io.Copy(io.Discard, keys)
		press(t, keys, program, was, key)
		_, err := p.Next("> ")
		assert.Equal(t, io.EOF, err)
		assert.Equal(t, was, mode(t, program))
		p.Close()
	}
}

// An interrupt cuts the statement short that is being done, and nothing else.
func TestAnInterruptCutsAStatementShort(t *testing.T) {
	_, program := terminal(t)
	p, ok := NewPrompt(program, program, func(os.Signal) { t.Error("it has left") })
	require.True(t, ok)
	defer p.Close()
	assert.False(t, p.Stopped())
	p.signals <- os.Interrupt
	require.Eventually(t, p.Stopped, time.Minute, time.Millisecond)
}

// Another signal puts the terminal back and leaves, after the statement that is
// being done.
func TestASignalLeavesWithTheTerminalPutBack(t *testing.T) {
	keys, program := terminal(t)
	was := mode(t, program)
	left := make(chan os.Signal, 1)
	p, ok := NewPrompt(program, program, func(s os.Signal) { left <- s })
	require.True(t, ok)
	go io.Copy(io.Discard, keys)
	reading := make(chan bool)
	go func() {
		close(reading)
		p.Next("> ") // ends with the test: nobody types
	}()
	<-reading
	require.Eventually(t, func() bool { return mode(t, program) != was }, time.Minute, time.Millisecond)
	p.signals <- unix.SIGTERM
	assert.Equal(t, unix.SIGTERM, <-left)
	assert.Equal(t, was, mode(t, program))
}
