package journal

import (
	"time"

	"bathtender/firmware/supervisor"
	"bathtender/hal/trace"
)

// Before and After are how much of a trip a black-box window shows.
const (
	Before = 120 * time.Second
	After  = 60 * time.Second
	// windowMost bounds a window that further trips prolong.
	windowMost = 10 * time.Minute
	// stateEvery is how often the supervisor's state is kept for a window to
	// begin at.
	stateEvery = 10 * time.Second
)

// ring holds the rows of the time that a window goes back, and the states that
// it can begin at.
type ring struct {
	rows   []trace.Row
	first  int // number of the oldest row there is, counted from the program's start
	next   int // number of the row to come
	states []mark
}

// mark is what the supervisor remembered before a row.
type mark struct {
	row   int
	at    time.Duration // of that row
	state *supervisor.State
}

// ringMost bounds the ring for a very short tick.
const ringMost = 20000

func newRing(tick time.Duration) ring {
	return ring{rows: make([]trace.Row, min(int((Before+2*stateEvery)/max(tick, time.Millisecond))+1, ringMost))}
}

// clear forgets all rows: those to come do not follow on them.
func (r *ring) clear() { r.first, r.states = r.next, nil }

// push adds a row, and the state before it where there is one.
func (r *ring) push(row *trace.Row, state *supervisor.State) {
	if state != nil {
		r.states = append(r.states, mark{r.next, row.Time, state})
	}
	if len(r.states) == 0 {
		r.next++ // no window can begin here
		r.first = r.next
		return
	}
	r.rows[r.next%len(r.rows)] = *row
	r.next++
	r.first = max(r.first, r.next-len(r.rows))
	for len(r.states) > 0 && r.states[0].row < r.first {
		r.states = r.states[1:]
	}
	// Only the last state before the window's time is of use.
	for len(r.states) > 1 && row.Time-r.states[1].at >= Before {
		r.states = r.states[1:]
	}
	if len(r.states) > 0 {
		r.first = r.states[0].row
	}
}

// start returns the state that a window which is opened now begins with; there is
// none while no state is known.
func (r *ring) start() *supervisor.State {
	if len(r.states) == 0 {
		return nil
	}
	return r.states[0].state
}

// each calls do with the rows that follow on that state, until it gives an error.
func (r *ring) each(do func(*trace.Row) error) error {
	for n := r.first; n < r.next; n++ {
		if err := do(&r.rows[n%len(r.rows)]); err != nil {
			return err
		}
	}
	return nil
}
