package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/firmware/cli"
)

// atTerminal is the program on a terminal of its own, with a person before it.
type atTerminal struct {
	*testing.T
	keys    *os.File
	program *os.File
	command *exec.Cmd
	was     unix.Termios

	lock sync.Mutex
	seen bytes.Buffer
}

// sitDown starts the program at a terminal.
func sitDown(t *testing.T, dir string, args ...string) *atTerminal {
	keys, program := terminal(t)
	a := &atTerminal{T: t, keys: keys, program: program}
	t.Cleanup(func() { program.Close() })
	a.was = a.mode()
	a.command = exec.Command("bathtender-sim", args...)
	a.command.Dir, a.command.Stdin, a.command.Stdout, a.command.Stderr = dir, program, program, program
	a.command.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	require.NoError(t, a.command.Start())
	t.Cleanup(func() { a.command.Process.Kill() })
	go func() {
		var some [1024]byte
		for {
			n, err := keys.Read(some[:])
			a.lock.Lock()
			a.seen.Write(some[:n])
			a.lock.Unlock()
			if err != nil {
				return
			}
		}
	}()
	return a
}

func (a *atTerminal) mode() unix.Termios {
	m, err := unix.IoctlGetTermios(int(a.program.Fd()), unix.TCGETS)
	require.NoError(a, err)
	return *m
}

// screen returns all that has been shown.
func (a *atTerminal) screen() string {
	a.lock.Lock()
	defer a.lock.Unlock()
	return a.seen.String()
}

// waitFor waits until a text has been shown so often.
func (a *atTerminal) waitFor(text string, times int) {
	seen := func() bool { return strings.Count(a.screen(), text) >= times }
	for begun := time.Now(); !seen(); time.Sleep(2 * time.Millisecond) {
		if time.Since(begun) > 30*time.Second {
			require.FailNow(a, "it was not shown", "%q\n%s", text, a.screen())
		}
	}
}

// enter types a line at a prompt.
func (a *atTerminal) enter(line string) {
	require.Eventually(a, func() bool { return a.mode() != a.was }, 30*time.Second, time.Millisecond)
	_, err := a.keys.WriteString(line + "\r")
	require.NoError(a, err)
}

// end waits until the program has ended, and returns how.
func (a *atTerminal) end() *os.ProcessState {
	a.command.Wait()
	assert.Equal(a, a.was, a.mode(), "the terminal is as it was before")
	return a.command.ProcessState
}

// A person at a prompt: a slip, the arrow keys, a wait that is cut short, and what
// was typed is kept as a script that does the same.
func TestAPersonAtThePrompt(t *testing.T) {
	dir := t.TempDir()
	a := sitDown(t, dir, "bench", "-keep", "kept.txt", "-trace", "t.csv")
	a.waitFor("0:00:00> ", 1)
	a.enter("set bath 41 degC")
	a.enter("strat gentle")
	a.waitFor(`prompt:2:1: there is no statement "strat", did you mean start?`, 1)
	a.enter("start gentle")
	a.waitFor(`session of "gentle" begins`, 1)
	a.enter("wait until phase clean within 1 min")
	a.waitFor("clean begins", 1)
	a.waitFor("as expected", 1)
	a.enter("set fan 2 310 rpm")
	a.enter("wait 2 s")
	a.waitFor("# fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped", 1)
	a.enter("expect emission off, fans on")
	a.waitFor("as expected", 2)
	a.enter("\x1b[A\x1b[A") // two lines up: wait 2 s
	a.waitFor("0:00:17.3> ", 1)
	a.enter("expect heater on")
	a.waitFor("prompt:9:8: expected heater on, but the heater is off", 1)
	a.enter("quit")
	state := a.end()
	assert.Equal(t, cli.Failed, state.ExitCode(), "%s", a.screen())
	a.waitFor("failed: prompt, 1 failure", 1)

	kept := string(readFile(t, filepath.Join(dir, "kept.txt")))
	assert.Equal(t, "# Kept from a bench.\nset bath 41 degC\nstart gentle\nwait until phase clean within 1 min\nset fan 2 310 rpm\nwait 2 s\n"+
		"expect emission off, fans on\nwait 2 s\nexpect heater on\nquit\n", kept)
	again := filepath.Join(dir, "again.csv")
	code, _, errs := sim("bench", "-trace", again, filepath.Join(dir, "kept.txt"))
	assert.Equal(t, cli.Failed, code)
	assert.Regexp(t, `kept\.txt:9:8: expected heater on, but the heater is off\n$`, errs)
	assert.Equal(t, string(readFile(t, filepath.Join(dir, "t.csv"))), string(readFile(t, again)), "the same, tick by tick")
}

// Ctrl-C while time passes cuts the wait short; at the prompt it ends the program.
func TestAnInterruptAtThePrompt(t *testing.T) {
	dir := t.TempDir()
	a := sitDown(t, dir, "bench", "-keep", "kept.txt", "-machine", writeSlow(t, dir))
	a.waitFor("0:00:00> ", 1)
	for try := 1; !strings.Contains(a.screen(), "cut short: wait "); try++ { // it may come before the first tick
		a.enter("wait 24 h")
		require.Eventually(t, func() bool { return a.mode() == a.was }, 30*time.Second, time.Millisecond, "it waits")
		time.Sleep(time.Duration(try) * time.Millisecond)
		_, err := a.keys.WriteString("\x03") // Ctrl-C
		require.NoError(t, err)
		a.waitFor("cut short", try)
	}
	a.enter("wait 24 h")
	require.Eventually(t, func() bool { return a.mode() == a.was }, 30*time.Second, time.Millisecond, "it waits")
	require.NoError(t, a.command.Process.Signal(syscall.SIGTERM))
	state := a.end()
	assert.Equal(t, 128+int(syscall.SIGTERM), state.ExitCode(), "%s", a.screen())
	assert.Regexp(t, `(?m)^wait [0-9]+ ms$`, string(readFile(t, filepath.Join(dir, "kept.txt"))))
}

// writeSlow writes a machine file with so short a tick that a day of it takes a
// while.
func writeSlow(t *testing.T, dir string) string {
	text := string(readFile(t, "../testdata/machines/slide-tank.toml"))
	text = strings.Replace(text, `tick = "100 ms"`, `tick = "10 ms"`, 1)
	path := filepath.Join(dir, "slow.toml")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// A signal at the prompt ends the program with its trace in order.
func TestASignalAtThePromptLeavesEverythingInOrder(t *testing.T) {
	dir := t.TempDir()
	a := sitDown(t, dir, "bench", "-trace", "t.csv")
	a.enter("wait 1 s")
	a.waitFor("0:00:01> ", 1)
	require.Eventually(t, func() bool { return a.mode() != a.was }, 30*time.Second, time.Millisecond)
	require.NoError(t, a.command.Process.Signal(syscall.SIGTERM))
	assert.Equal(t, 128+int(syscall.SIGTERM), a.end().ExitCode())
	code, out, errs := sim("replay", filepath.Join(dir, "t.csv"))
	assert.Equal(t, cli.OK, code, "%s", errs)
	assert.Contains(t, out, "10 rows; the decisions and events of 10 are as recorded")
}

// The end of the input, and nothing expected, is a good end.
func TestTheEndOfTheInputEndsTheProgram(t *testing.T) {
	a := sitDown(t, t.TempDir(), "bench")
	a.waitFor("0:00:00> ", 1)
	_, err := a.keys.WriteString("\x04")
	require.NoError(t, err)
	assert.Equal(t, cli.OK, a.end().ExitCode())
	assert.NotContains(t, a.screen(), "passed")
}
