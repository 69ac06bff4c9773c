package tach

import (
	"time"

	"bathtender/hal"
)

const (
	// Window is how far back a speed looks, and how long a silence means that
	// the fan stands. With 2 pulses a revolution it sees down to 75 rpm.
	Window = 400 * time.Millisecond
	// fastest is how many times its nominal speed no fan turns.
	fastest = 3
	// A window in which this share of all pulses came faster than a fan can make
	// them is noise; fewer are single disturbances, which add nothing to a speed.
	impossibleShare = 8
	// Intervals whose standard deviation is over half their mean are noise, not a
	// fan: those of pulses by chance have one as large as the mean (a Poisson
	// process), those of a fan that gets six times as fast within the window have
	// half the mean. With fewer than this many there is no telling.
	intervalsJudged = 4
	// kept is how many of the last pulses are remembered.
	kept = 256
)

// Edge is a pulse of a tach: its time on the monotonic clock, and its number among
// all pulses of the line, which shows those that were lost.
type Edge struct {
	At  time.Duration
	Seq uint32
}

// Tach is one tach. It knows no speed until it was told some edges, or that there
// were none for long enough. The zero Tach never knows one.
type Tach struct {
	pulses   int64         // a revolution
	shortest time.Duration // between two pulses of a fan

	watched bool          // whether it was told anything yet
	since   time.Duration // from when on edges are known without a gap
	until   time.Duration // and up to when
	seq     uint32        // of the last edge
	numbers bool          // whether seq is known

	at         [kept]time.Duration // the last pulses, a ring
	next, n    int
	impossible [kept]time.Duration // the last pulses that came too fast, a ring
	nextBad    int
	bad        int
}

// New returns the tach of a fan of the given pulses a revolution, 1 or more, and
// nominal speed, over 0. Anything else never gives a speed.
func New(pulses int, nominal hal.RotationalSpeed) Tach {
	if pulses < 1 || nominal < hal.RPM {
		return Tach{}
	}
	period := int64(time.Minute) * int64(hal.RPM) / int64(pulses) / int64(nominal)
	return Tach{pulses: int64(pulses), shortest: time.Duration(period / fastest)}
}

// Feed tells the tach all edges that there were since the last call, oldest first,
// up to the given time.
func (t *Tach) Feed(edges []Edge, until time.Duration) {
	if !t.watched {
		t.watched, t.since = true, until
		if len(edges) > 0 {
			t.since = min(until, edges[0].At)
		}
	}
	for _, e := range edges {
		if t.numbers && e.Seq != t.seq+1 {
			t.forget(e.At)
		}
		t.seq, t.numbers = e.Seq, true
		t.pulse(e.At)
	}
	t.until = max(t.until, until)
}

// pulse takes one edge. One that comes sooner than a fan can make it is not
// counted: a slow or ringing edge gives two, and they must not add speed.
func (t *Tach) pulse(at time.Duration) {
	if last, ok := t.last(0); ok && at-last < t.shortest {
		t.impossible[t.nextBad] = at
		t.nextBad = (t.nextBad + 1) % kept
		t.bad = min(t.bad+1, kept)
		return
	}
	t.at[t.next] = at
	t.next = (t.next + 1) % kept
	t.n = min(t.n+1, kept)
}

// forget begins anew: edges before the given time were lost, and it is not known
// how many or when.
func (t *Tach) forget(at time.Duration) {
	t.n, t.bad, t.since = 0, 0, at
}

// last returns the time of the i-th last pulse, 0 for the last.
func (t *Tach) last(i int) (time.Duration, bool) {
	if i >= t.n {
		return 0, false
	}
	return t.at[(t.next-1-i+2*kept)%kept], true
}
