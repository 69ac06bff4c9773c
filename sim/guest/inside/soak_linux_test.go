package inside

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/hal/board/clock"
)

// held is what a program holds: resident memory in KiB, open files, threads.
type held struct{ memory, files, threads int }

func (s *supervisor) held(t *testing.T) (h held) {
	t.Helper()
	folder := filepath.Join("/proc", strconv.Itoa(s.command.Process.Pid))
	status, err := os.ReadFile(filepath.Join(folder, "status"))
	require.NoError(t, err)
	for line := range strings.Lines(string(status)) {
		_, _ = fmt.Sscanf(line, "VmRSS: %d", &h.memory)
		_, _ = fmt.Sscanf(line, "Threads: %d", &h.threads)
	}
	files, err := os.ReadDir(filepath.Join(folder, "fd"))
	require.NoError(t, err)
	h.files = len(files)
	require.NotZero(t, h.memory)
	require.NotZero(t, h.threads)
	return h
}

func (h held) most(other held) held {
	return held{max(h.memory, other.memory), max(h.files, other.files), max(h.threads, other.threads)}
}

// TestASoak runs the real program for INSIDE_SOAK, with a session in each of six parts
// of that time. After the first half it must not need more than before, but for 1 MiB
// that a garbage collector may well keep; and no tick may be missing.
func TestASoak(t *testing.T) {
	needGuest(t)
	lasts, err := time.ParseDuration(os.Getenv("INSIDE_SOAK"))
	require.NoError(t, err)
	c := startCabinet(t, "-bath", "41 degC", "-modbus", "/tmp/meter")
	waitForThermometers(t)
	s := startSupervisor(t)
	begin := clock.Now()
	var halves [2]held
	sessions := 0
	const parts = 6
	for part := range time.Duration(parts) {
		until := begin + lasts*(part+1)/parts
		c.startSession(t)
		sessions++
		for clock.Now() < until {
			halves[part*2/parts] = halves[part*2/parts].most(s.held(t))
			time.Sleep(min(10*time.Second, max(until-clock.Now(), time.Millisecond)))
		}
	}
	ended := clock.Now()
	s.signal(t, unix.SIGTERM)
	s.ended.Wait()
	require.NoError(t, s.command.Wait())
	t.Logf("%v with %d sessions: in the first half at most %d KiB, %d files, %d threads, in the second %d KiB, %d files, %d threads",
		(ended - begin).Round(time.Second), sessions, halves[0].memory, halves[0].files, halves[0].threads,
		halves[1].memory, halves[1].files, halves[1].threads)
	require.LessOrEqual(t, halves[1].memory, halves[0].memory+1024)
	require.LessOrEqual(t, halves[1].files, halves[0].files)
	require.LessOrEqual(t, halves[1].threads, halves[0].threads+1)

	found := regexp.MustCompile(`(\d+) ticks, (\d+) over the deadline, (\d+) skipped; woken at most (\S+ \S+) late`).
		FindStringSubmatch(strings.Join(s.said, "\n"))
	require.NotNil(t, found, "the program has not said how it kept its time")
	t.Log(found[0])
	ticks, err := strconv.Atoi(found[1])
	require.NoError(t, err)
	require.Equal(t, "0", found[2], "ticks over the deadline")
	require.Equal(t, "0", found[3], "ticks skipped")
	// Ten a second, but for the second in which the program starts.
	require.InDelta(t, (ended-begin).Seconds()*10, ticks, 20)
}
