package pulsemeter

import "time"

const (
	// leastPulse is how long a pulse lasts at least, and leastGap the time after
	// it (IEC 62053-31, from memory; the manuals of several meters say the same).
	leastPulse = 30 * time.Millisecond
	leastGap   = 30 * time.Millisecond
	// bounce is how much of a pulse's least time a contact may be open while it
	// bounces (common practice, no source).
	bounce = 5 * time.Millisecond
)

// filter finds the pulses among the edges of a line. The zero filter has seen
// none.
type filter struct {
	high   bool
	up     time.Duration // the last edge up
	down   time.Duration // the last edge down
	seen   bool          // there has been an edge down
	begun  time.Duration // the first edge of what may be a pulse
	sum    time.Duration // how long that has been high
	given  bool          // it is already told
	before time.Duration // the last edge of either kind
}

// edge takes the next edge and reports a pulse that has now lasted long enough,
// with the time of its first edge. A gap that is too short does not end a pulse,
// and a pulse that is too short is none.
func (f *filter) edge(at time.Duration, rising bool) (begun time.Duration, pulse bool) {
	if at < f.before {
		return 0, false // an edge from the past tells nothing any more
	}
	f.before = at
	if rising {
		if !f.high && f.seen && at-f.down < leastGap {
			f.high, f.up = true, at
			return 0, false
		}
		// Another edge up without one down between them is a lost edge: whether
		// there was a gap before this is unknown, so it makes no pulse.
		lost := f.high
		f.high, f.up, f.begun, f.sum, f.given = true, at, at, 0, lost
		return 0, false
	}
	if !f.high {
		return 0, false
	}
	f.high, f.seen, f.down = false, true, at
	f.sum += at - f.up
	if f.given || at-f.begun < leastPulse || f.sum < leastPulse-bounce {
		return 0, false
	}
	f.given = true
	return f.begun, true
}
