package report

import "time"

// barsMax bounds the intervals that one Bars keeps.
const barsMax = 2048

// Bars is an on/off track: when something was on. It is fed every tick and
// holds at most 2048 intervals; when they run out, the two with the shortest
// pause between them become one. A short time on is so never lost, only a
// pause may be, and Joined says how many and how long.
//
// Make one with NewBars.
type Bars struct {
	spans   []span
	on      bool
	latest  time.Duration
	begun   bool
	origin  time.Duration
	total   time.Duration
	starts  int64
	joined  int64
	longest time.Duration
}

// A span is one interval of time.
type span struct{ from, to time.Duration }

// NewBars returns an empty on/off track with all the memory it will need.
func NewBars() *Bars { return &Bars{spans: make([]span, 0, barsMax)} }

// Set says whether it is on from this instant until the next call. Calls with
// the state unchanged are free and carry the end of the session forward. A time
// before the latest one counts as the latest one, and a negative time as 0.
func (b *Bars) Set(at time.Duration, on bool) {
	at = max(at, b.latest)
	if !b.begun {
		b.begun, b.origin, b.latest = true, at, at
	}
	if b.on {
		b.total += at - b.latest
		b.spans[len(b.spans)-1].to = at
	}
	b.latest = at
	if on && !b.on {
		b.starts++
		if len(b.spans) == barsMax {
			b.join()
		}
		b.spans = append(b.spans, span{at, at})
	}
	b.on = on
}

// join closes the shortest pause between two intervals.
func (b *Bars) join() {
	best := 1
	for i := 2; i < len(b.spans); i++ {
		// Of equal pauses the one between short intervals goes, so that what is
		// lost is spread over the session.
		d := b.pause(i) - b.pause(best)
		if d < 0 || d == 0 && b.across(i) < b.across(best) {
			best = i
		}
	}
	b.longest = max(b.longest, b.pause(best))
	b.joined++
	b.spans[best-1].to = b.spans[best].to
	b.spans = append(b.spans[:best], b.spans[best+1:]...)
}

// pause is the time off before interval i.
func (b *Bars) pause(i int) time.Duration { return b.spans[i].from - b.spans[i-1].to }

// across is how long the interval would be that joins i to the one before.
func (b *Bars) across(i int) time.Duration { return b.spans[i].to - b.spans[i-1].from }

// OnTime is the exact time on, whatever was joined.
func (b *Bars) OnTime() time.Duration { return b.total }

// Starts is how often it went on.
func (b *Bars) Starts() int64 { return b.starts }

// Joined is how many pauses are not shown, and the longest of them.
func (b *Bars) Joined() (pauses int64, longest time.Duration) { return b.joined, b.longest }
