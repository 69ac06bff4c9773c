package loop

import "time"

// Clock is what the loop keeps time by: the monotonic time of the board, and a
// wait until a moment of it.
type Clock interface {
	Now() time.Duration
	// Wait returns at the moment or soon after it; at once where it is past.
	Wait(until time.Duration)
}
