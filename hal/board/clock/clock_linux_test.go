package clock_test

import (
	"os"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/hal/board/clock"
)

// The kernel's own account of the time since its start is the independent witness.
// /proc/uptime counts CLOCK_BOOTTIME, which is the monotonic clock and the time in
// which the machine was asleep (proc(5) and clock_gettime(2), from memory), so it
// is never the lesser of the two by more than its own hundredth of a second.
func TestNowIsTheKernelsMonotonicClock(t *testing.T) {
	before := clock.Now()
	text, err := os.ReadFile("/proc/uptime")
	require.NoError(t, err)
	first, _, _ := strings.Cut(string(text), " ")
	seconds, err := strconv.ParseFloat(first, 64)
	require.NoError(t, err)
	uptime := time.Duration(seconds * float64(time.Second))
	assert.LessOrEqual(t, before, uptime+10*time.Millisecond)
	assert.Positive(t, before)
	assert.GreaterOrEqual(t, clock.Now(), before)
}

func TestSleepUntilNeverWakesEarly(t *testing.T) {
	for _, wait := range []time.Duration{time.Microsecond, time.Millisecond, 20 * time.Millisecond} {
		at := clock.Now() + wait
		require.NoError(t, clock.SleepUntil(at))
		assert.GreaterOrEqual(t, clock.Now(), at)
	}
	before := clock.Now()
	require.NoError(t, clock.SleepUntil(before-time.Hour), "a time that has passed")
	require.NoError(t, clock.SleepUntil(-time.Hour), "a time before the clock's zero")
	assert.Less(t, clock.Now()-before, time.Minute)
}

func TestAPriorityIsTheThreads(t *testing.T) {
	for _, wrong := range []int{-1, 100} {
		assert.EqualError(t, clock.RealTime(wrong), "priority "+strconv.Itoa(wrong)+" of the loop is out of range, allowed are 0 to 99")
	}
	done := make(chan struct{})
	go func() { // the thread ends with this goroutine, since it stays locked
		defer close(done)
		err := clock.RealTime(50)
		attr, getErr := unix.SchedGetAttr(0, 0)
		if !assert.NoError(t, getErr) {
			return
		}
		if err != nil {
			assert.ErrorContains(t, err, "the loop cannot have real-time priority 50: ")
			assert.EqualValues(t, unix.SCHED_NORMAL, attr.Policy)
			return
		}
		assert.EqualValues(t, unix.SCHED_FIFO, attr.Policy)
		assert.EqualValues(t, 50, attr.Priority)
	}()
	<-done
}

func TestPriorityZeroLocksTheThreadAlone(t *testing.T) {
	require.NoError(t, clock.RealTime(0))
	defer runtime.UnlockOSThread()
	attr, err := unix.SchedGetAttr(0, 0)
	require.NoError(t, err)
	assert.EqualValues(t, unix.SCHED_NORMAL, attr.Policy)
}

// The kernel's own count of locked memory says whether it was locked (VmLck of
// proc(5), from memory).
func TestLockedMemory(t *testing.T) {
	locked := func() string {
		text, err := os.ReadFile("/proc/self/status")
		require.NoError(t, err)
		_, rest, found := strings.Cut(string(text), "VmLck:")
		require.True(t, found)
		line, _, _ := strings.Cut(rest, "\n")
		return strings.TrimSpace(line)
	}
	require.Equal(t, "0 kB", locked())
	if err := clock.LockMemory(); err != nil {
		assert.ErrorContains(t, err, "the program's memory cannot be locked: ")
		return
	}
	assert.NotEqual(t, "0 kB", locked())
	assert.NoError(t, unix.Munlockall())
}

func TestTheClockAllocatesNothing(t *testing.T) {
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		_ = clock.SleepUntil(clock.Now())
	}))
}
