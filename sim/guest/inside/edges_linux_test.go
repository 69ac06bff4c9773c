package inside

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/hal/board/clock"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/gpiosim"
)

const (
	tachs     = 4
	pulseRate = 200 // a second, of each
	pulses    = 1000
)

// train makes the pulses of four tachs, and returns how long it took.
func train(t *testing.T, chip *gpiosim.Chip) time.Duration {
	t.Helper()
	begin := clock.Now()
	next := begin
	for range pulses {
		for _, high := range []bool{true, false} {
			for line := range tachs {
				require.NoError(t, chip.Set(line, high))
			}
			next += time.Second / pulseRate / 2
			clock.SleepUntil(next)
		}
	}
	return clock.Now() - begin
}

// Our reader of edges and libgpiod's gpiomon, an independent program, count the same
// pulses of four tachs at 200 a second each: more than eight fans of 1500 rpm make. A
// line can be taken once only, so each has the pulses for itself; both must count all
// of them.
func TestEdgesAreCountedAsByAnotherProgram(t *testing.T) {
	needGuest(t)
	chip, err := gpiosim.New("edges", "tachs", tachs)
	require.NoError(t, err)
	defer chip.Close()

	theirs, took := countByGpiomon(t, chip)
	t.Logf("gpiomon counted %v of %d pulses on each of %d lines in %v", theirs, pulses, tachs, took)
	ours, lost, took := countByUs(t, chip)
	t.Logf("we counted %v of %d, and missed %v numbers, in %v", ours, pulses, lost, took)
	want := [tachs]int{pulses, pulses, pulses, pulses}
	require.Equal(t, want, ours)
	require.Equal(t, [tachs]int{}, lost)
	require.Equal(t, want, theirs)
}

func countByUs(t *testing.T, chip *gpiosim.Chip) (count, lost [tachs]int, took time.Duration) {
	found, err := gpiochip.Find("tachs")
	require.NoError(t, err)
	require.Equal(t, chip.Path, found.Path)
	lines := make([]gpiochip.Line, tachs)
	for i := range lines {
		lines[i] = gpiochip.Line{Signal: fmt.Sprintf("fan %d tach", i+1), Offset: i}
	}
	edges, err := found.Edges(lines)
	require.NoError(t, err)
	var done atomic.Bool
	var reader sync.WaitGroup
	var failed error
	reader.Go(func() {
		events := make([]gpiochip.Event, 256)
		var last [tachs]uint32
		for {
			n, err := edges.Read(events, 50*time.Millisecond)
			if err != nil {
				failed = err
				return
			}
			for _, e := range events[:n] {
				count[e.Offset]++
				lost[e.Offset] += int(e.Seq - last[e.Offset] - 1)
				last[e.Offset] = e.Seq
			}
			if n == 0 && done.Load() {
				return
			}
		}
	})
	took = train(t, chip)
	done.Store(true)
	reader.Wait()
	require.NoError(t, failed)
	require.NoError(t, edges.Close())
	return count, lost, took
}

func countByGpiomon(t *testing.T, chip *gpiosim.Chip) (count [tachs]int, took time.Duration) {
	monitor := exec.Command("/usr/bin/gpiomon", "--rising-edge", "--line-buffered", "--format=%o", chip.Path, "0", "1", "2", "3")
	out, err := monitor.StdoutPipe()
	require.NoError(t, err)
	monitor.Stderr = os.Stderr
	require.NoError(t, monitor.Start())
	defer monitor.Process.Kill()
	waitTaken(t, chip.Path)
	var reader sync.WaitGroup
	reader.Go(func() {
		for lines := bufio.NewScanner(out); lines.Scan(); {
			var line int
			if _, err := fmt.Sscan(lines.Text(), &line); err == nil && line >= 0 && line < tachs {
				count[line]++
			}
		}
	})
	took = train(t, chip)
	time.Sleep(500 * time.Millisecond) // for it to write what it has read
	require.NoError(t, monitor.Process.Signal(unix.SIGINT))
	reader.Wait()
	_ = monitor.Wait()
	return count, took
}

// waitTaken waits until a program has taken the lines of a chip.
func waitTaken(t *testing.T, chip string) {
	t.Helper()
	require.Eventually(t, func() bool {
		out, err := exec.Command("/usr/bin/gpioinfo", chip).Output()
		return err == nil && strings.Count(string(out), "gpiomon") == tachs
	}, 20*time.Second, 50*time.Millisecond)
}
