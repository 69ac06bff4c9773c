package tach

import (
	"sync"
	"time"

	"bathtender/hal"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/sampled"
)

const (
	// wait is the longest that a monitor waits for an edge; it is how old the
	// news can be that a fan stands still.
	wait = 40 * time.Millisecond
	// gather is how long a monitor lets edges come together before it fetches
	// them: the loop's processor is then woken 100 times a second at most, however
	// fast the fans turn.
	gather = 10 * time.Millisecond
	// none is what is left for the loop where there is no speed to be had.
	none hal.RotationalSpeed = -1
)

// Edges are where a monitor reads; *gpiochip.Edges is.
type Edges interface {
	Read(events []gpiochip.Event, wait time.Duration) (int, error)
	Close() error
}

// Monitor reads the edges of lines of one chip in a goroutine of its own and turns
// them into speeds.
type Monitor struct {
	edges Edges
	now   func() time.Duration
	lines []*Monitored
	ended sync.WaitGroup

	mu  sync.Mutex
	err error
}

// Monitored is one line of a monitor: a tach, or somebody else who is told of its
// edges.
type Monitored struct {
	Offset int
	// Pulses is told every edge where it is not nil, and the tach is not used.
	Pulses Pulses
	Tach   Tach

	cell  sampled.Cell[hal.RotationalSpeed]
	edges []Edge
	seq   uint32 // of the last edge that Pulses was told of
}

// Pulses is told of the edges of a line, from the monitor's goroutine.
type Pulses interface {
	// Edge is one edge, rising into a pulse, at a time of the monotonic clock.
	Edge(at time.Duration, rising bool)
	// Watched says that all edges up to a time have been told.
	Watched(at time.Duration)
	// Lost says that edges were lost, and why.
	Lost(reason string)
}

// batch is how many edges a monitor fetches at once.
const batch = 256

// Watch starts a monitor of the edges of the given lines; now is the clock of the
// edges, which is the kernel's monotonic one. Close ends it and closes the edges.
func Watch(edges Edges, now func() time.Duration, lines []*Monitored) *Monitor {
	m := &Monitor{edges: edges, now: now, lines: lines}
	for _, l := range lines {
		l.edges = make([]Edge, 0, batch)
	}
	m.ended.Go(m.run)
	return m
}

func (m *Monitor) run() {
	events := make([]gpiochip.Event, batch)
	for {
		before := m.now()
		n, err := m.edges.Read(events, 0)
		if err == nil {
			m.share(events[:n], before)
			if n == 0 {
				n, err = m.edges.Read(events, wait)
				if err == nil && n > 0 {
					// These came after before: up to then nothing else did.
					m.share(events[:n], events[n-1].At)
				}
			}
		}
		if err != nil {
			m.mu.Lock()
			m.err = err
			m.mu.Unlock()
			m.leave()
			return
		}
		if n < len(events) {
			time.Sleep(gather)
		}
	}
}

// share tells each line its edges. Where the batch is full there are more, and
// nothing is known after its last edge.
func (m *Monitor) share(events []gpiochip.Event, until time.Duration) {
	if len(events) == batch {
		until = min(until, events[batch-1].At)
	}
	for _, l := range m.lines {
		l.edges = l.edges[:0]
		for _, e := range events {
			switch {
			case e.Offset != l.Offset:
			case l.Pulses != nil:
				l.tell(e)
			case e.Rising:
				l.edges = append(l.edges, Edge{At: e.At, Seq: e.Seq})
			}
		}
		if l.Pulses != nil {
			l.Pulses.Watched(until)
			continue
		}
		l.Tach.Feed(l.edges, until)
		l.leave(until)
	}
}

// tell tells of an edge, and of those before it that were lost.
func (l *Monitored) tell(e gpiochip.Event) {
	if l.seq != 0 && e.Seq != l.seq+1 {
		l.Pulses.Lost("edges of its line were lost")
	}
	l.seq = e.Seq
	l.Pulses.Edge(e.At, e.Rising)
}

// leave puts the speed at a time where the loop finds it.
func (l *Monitored) leave(at time.Duration) {
	speed := none
	if r := l.Tach.Speed(at); r.Valid {
		speed = r.Value
	}
	l.cell.Put(speed, at)
}

// leave takes all speeds away: there will be no edges any more.
func (m *Monitor) leave() {
	for _, l := range m.lines {
		l.cell.Put(none, m.now())
		if l.Pulses != nil {
			l.Pulses.Lost("its line cannot be read any more")
		}
	}
}

// Speed returns the speed of the line, as it was last known, for a loop that looks
// at the given time of the same clock; no reading where that is older than Window.
// It never waits.
func (l *Monitored) Speed(now time.Duration) hal.Reading[hal.RotationalSpeed] {
	r := l.cell.Reading(now)
	if !r.Valid || r.Value < 0 || r.Age > Window {
		return hal.Reading[hal.RotationalSpeed]{}
	}
	return r
}

// Err returns why the monitor has ended, nil while it runs.
func (m *Monitor) Err() error {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.err
}

// Close ends the monitor and lets go of the lines.
func (m *Monitor) Close() error {
	err := m.edges.Close()
	m.ended.Wait()
	return err
}
