package clock

import (
	"fmt"
	"runtime"
	"time"

	"golang.org/x/sys/unix"
)

// Now returns the time of CLOCK_MONOTONIC.
func Now() time.Duration {
	var now unix.Timespec
	if err := unix.ClockGettime(unix.CLOCK_MONOTONIC, &now); err != nil {
		// POSIX allows an error for an unknown clock only; every kernel has this one.
		panic(fmt.Sprintf("the monotonic clock cannot be read: %v", err))
	}
	return time.Duration(now.Nano())
}

// SleepUntil waits until the given time of Now's clock; it returns at once where
// that has passed. The thread is blocked in the kernel, so a caller that must wake
// on time has locked its goroutine to it.
func SleepUntil(at time.Duration) error {
	to := unix.NsecToTimespec(int64(max(at, 0)))
	for {
		switch err := unix.ClockNanosleep(unix.CLOCK_MONOTONIC, unix.TIMER_ABSTIME, &to, nil); err {
		case nil:
			return nil
		case unix.EINTR: // a signal of the runtime; the time to wake is still the same
		default:
			return fmt.Errorf("the loop cannot sleep until %v on the monotonic clock: %w", at, err)
		}
	}
}

// RealTime locks the calling goroutine to its thread and has the kernel prefer
// that thread to every other program without such a priority, from 1, the lowest,
// to 99. With 0 it only locks the thread.
func RealTime(priority int) error {
	if priority < 0 || priority > 99 {
		return fmt.Errorf("priority %d of the loop is out of range, allowed are 0 to 99", priority)
	}
	runtime.LockOSThread()
	if priority == 0 {
		return nil
	}
	attr := unix.SchedAttr{Size: unix.SizeofSchedAttr, Policy: unix.SCHED_FIFO, Priority: uint32(priority)}
	if err := unix.SchedSetAttr(0, &attr, 0); err != nil {
		return fmt.Errorf("the loop cannot have real-time priority %d: %w; allowed is a user with the right to it (CAP_SYS_NICE, or a limit of rtprio), or priority 0", priority, err)
	}
	return nil
}

// LockMemory has all of the program's memory read in, its code too, and keeps it and
// what it will yet get from being paged out: where there is no swap, it is code that
// would otherwise be dropped and fetched again from a slow card. On 64 bit processors
// this takes some 50 MB, since the runtime's heap is then there in full.
func LockMemory() error {
	if err := unix.Mlockall(unix.MCL_CURRENT | unix.MCL_FUTURE); err != nil {
		return fmt.Errorf("the program's memory cannot be locked: %w; allowed is a user with the right to it (CAP_IPC_LOCK, or a limit of memlock)", err)
	}
	return nil
}
