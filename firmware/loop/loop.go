package loop

import (
	"errors"
	"fmt"
	"io"
	"time"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
)

// Record is what the loop needs of a journal; it never waits.
type Record interface {
	OK() bool
	KeptOK() bool
	Tick(wall time.Time, snapshot *hal.Snapshot, request hal.Request, out hal.Outputs, events []supervisor.Event)
}

// Hand says what is asked at a tick. It is called once a tick and never waits.
type Hand interface {
	Ask(now time.Duration, status *supervisor.Status) hal.Request
	// Told hands back what came of the request. The events are overwritten by the
	// next tick.
	Told(s *supervisor.Supervisor, events []supervisor.Event)
}

// Parts are what a loop is made of. All must be there but Healthy.
type Parts struct {
	Board      hal.Board
	Supervisor *supervisor.Supervisor
	Record     Record
	Hand       Hand
	Clock      Clock
	// Wall is the wall clock; it may jump.
	Wall func() time.Time
	// Tick is the period, Deadline the longest time from one tick to the next.
	Tick, Deadline time.Duration
	// Healthy is called after each tick that fed the watchdog; it must not wait.
	Healthy func()
}

// Loop drives a supervisor.
type Loop struct {
	parts    Parts
	snapshot hal.Snapshot
	status   supervisor.Status
	frame    Frame
	pending  bool // there is something that no watcher has been offered
	since    int  // ticks since the last offer
	out      published
	// writeFailed is why the last outputs are not known to be as asked.
	writeFailed error
	// boardTime is the time of the last snapshot, readAt when it was read.
	boardTime, readAt time.Duration
}

// New returns a loop that has not begun.
func New(parts Parts) *Loop {
	l := &Loop{parts: parts}
	l.parts.Supervisor.Still(&l.frame.Still)
	l.out.offer(&l.frame)
	return l
}

// offerEvery is how many ticks lie between two frames when nothing happens.
const offerEvery = 5

// Run ticks until stop is closed or the board has no more snapshots, and then
// drives all outputs off. It is the caller's to lock the thread and to close the
// board; a panic passes through, with the outputs left to board, lease and
// watchdog.
func (l *Loop) Run(stop <-chan struct{}) error {
	clock, tick := l.parts.Clock, l.parts.Tick
	next := clock.Now()
	last := next
	begun := false
	for {
		select {
		case <-stop:
			return l.end(nil)
		default:
		}
		now := clock.Now()
		l.frame.Lateness.count(max(now-next, 0))
		if begun && now-last > l.parts.Deadline {
			l.frame.Lateness.Late++
		}
		last, begun = now, true
		if err := l.tick(now); err != nil {
			return l.end(err)
		}
		next += tick
		if behind := clock.Now() - next; behind > tick {
			// The ticks that were missed are not made up for: each of them would
			// find the same readings.
			skipped := behind / tick
			l.frame.Lateness.Skipped += uint64(skipped)
			next += skipped * tick
		}
		clock.Wait(next)
	}
}

// tick is one period.
func (l *Loop) tick(now time.Duration) error {
	p := &l.parts
	switch err := p.Board.Read(&l.snapshot); {
	case errors.Is(err, io.EOF):
		return err
	case err != nil:
		// No reading at all: all that the snapshot holds is the time, by the board's
		// own clock.
		l.snapshot = hal.Snapshot{Time: l.boardTime + now - l.readAt}
	}
	l.boardTime, l.readAt = l.snapshot.Time, now
	l.snapshot.OutputsOK = l.snapshot.OutputsOK && l.writeFailed == nil
	l.snapshot.RecordOK = l.snapshot.RecordOK && p.Record.OK()
	l.snapshot.KeptOK = l.snapshot.KeptOK && p.Record.KeptOK()
	request := p.Hand.Ask(l.snapshot.Time, &l.status)
	out, events := p.Supervisor.Tick(&l.snapshot, request)
	l.writeFailed = p.Board.Write(out)
	if out.FeedWatchdog && p.Healthy != nil {
		p.Healthy()
	}
	l.status = p.Supervisor.Status()
	l.frame.happened(events)
	p.Hand.Told(p.Supervisor, events)
	p.Record.Tick(p.Wall(), &l.snapshot, request, out, events)
	l.publish(request, out, len(events) > 0)
	return nil
}

// publish offers a frame to the watchers, a few times a second and when something
// has happened.
func (l *Loop) publish(request hal.Request, out hal.Outputs, happened bool) {
	l.since++
	l.pending = l.pending || happened || l.since >= offerEvery
	if !l.pending {
		return
	}
	l.frame.Request, l.frame.Outputs = request, out
	l.parts.Supervisor.Still(&l.frame.Still)
	if l.out.offer(&l.frame) {
		l.pending, l.since = false, 0
	}
}

// end drives all outputs off, and publishes the last frame.
func (l *Loop) end(why error) error {
	l.parts.Supervisor.Still(&l.frame.Still)
	l.out.put(&l.frame)
	if errors.Is(why, io.EOF) {
		why = nil
	}
	if err := l.parts.Board.Write(hal.Outputs{}); err != nil {
		return errors.Join(why, fmt.Errorf("the outputs could not be switched off: %w", err))
	}
	return why
}

// Frame copies what was published last. Any goroutine may call it.
func (l *Loop) Frame(f *Frame) { l.out.copyTo(f) }
