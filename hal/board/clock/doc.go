// Package clock is the board's one clock, and what makes a loop wake on time.
//
// The clock is the kernel's monotonic one, the same that stamps the edges of
// lines: it never jumps, and stands still while the board sleeps. A loop that
// waits with SleepUntil on a locked thread wakes as soon as the kernel lets it,
// without the runtime's timers in between.
package clock
