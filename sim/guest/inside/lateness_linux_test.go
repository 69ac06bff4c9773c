package inside

import (
	"fmt"
	"os/exec"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bathtender/hal/board/clock"
)

// The loop's way of waking, absolute times on a locked thread with a real-time
// priority, against cyclictest, an independent program that measures just that, with
// the same period and priority in the same machine. The processor is emulated, so the
// microseconds mean nothing for a board; what can be judged is that our way is of the
// same kind: 99 of 100 wake-ups are not more than 0.2 ms later than the worst of
// cyclictest's.
func TestWakingAsAnotherProgram(t *testing.T) {
	needGuest(t)
	const period, wakes, priority = 10 * time.Millisecond, 500, 50

	out, err := exec.Command("/usr/bin/cyclictest", "--quiet", "--mlockall", fmt.Sprintf("--priority=%d", priority),
		fmt.Sprintf("--interval=%d", period.Microseconds()), fmt.Sprintf("--loops=%d", wakes)).CombinedOutput()
	require.NoError(t, err, "%s", out)
	found := regexp.MustCompile(`Avg:\s*(\d+) Max:\s*(\d+)`).FindSubmatch(out)
	require.NotNil(t, found, "%s", out)
	microseconds := func(text []byte) time.Duration {
		n, err := strconv.Atoi(string(text))
		require.NoError(t, err)
		return time.Duration(n) * time.Microsecond
	}
	mean, worst := microseconds(found[1]), microseconds(found[2])
	t.Logf("cyclictest: %d wake-ups every %v, late by %v in the mean, %v at worst", wakes, period, mean, worst)

	require.NoError(t, clock.LockMemory())
	require.NoError(t, clock.RealTime(priority))
	defer runtime.UnlockOSThread()
	late := make([]time.Duration, 0, wakes)
	for next := clock.Now() + period; len(late) < wakes; next += period {
		require.NoError(t, clock.SleepUntil(next))
		now := clock.Now()
		require.GreaterOrEqual(t, now, next, "woken early")
		late = append(late, now-next)
	}
	slices.Sort(late)
	t.Logf("we:         %d wake-ups every %v, late by %v in the median, %v for 99 of 100, %v at worst",
		wakes, period, late[wakes/2], late[wakes*99/100], late[wakes-1])
	require.LessOrEqual(t, late[wakes*99/100], worst+200*time.Microsecond)
}
