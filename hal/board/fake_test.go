package board

import (
	"errors"
	"sync"
	"time"

	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/tach"
)

// cabinet is a modelled kernel with the lines of one cabinet: levels by signal. It
// keeps apart what was driven and what a line reads.
type cabinet struct {
	start time.Time

	mu      sync.Mutex
	driven  map[string]bool // outputs that were taken, as last driven
	level   map[string]bool // inputs; an output here reads this instead
	broken  map[string]bool // signals whose line cannot be read
	refuses map[string]bool // signals whose line cannot be set
	busy    map[string]error
	log     []string // what was done, in order
	dog     fakeDog
	fans    map[int]time.Duration // the period of the pulses on a line
}

func newCabinet() *cabinet {
	return &cabinet{
		start: time.Now(), driven: map[string]bool{}, level: map[string]bool{},
		broken: map[string]bool{}, refuses: map[string]bool{}, busy: map[string]error{}, fans: map[int]time.Duration{},
	}
}

func (c *cabinet) now() time.Duration { return time.Hour + time.Since(c.start) }

func (c *cabinet) take(lines []gpiochip.Line) error {
	var problems []error
	for _, l := range lines {
		problems = append(problems, c.busy[l.Signal])
	}
	return errors.Join(problems...)
}

func (c *cabinet) outputs(_ string, lines []gpiochip.Line) (Lines, error) {
	if err := c.take(lines); err != nil {
		return nil, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, l := range lines {
		c.driven[l.Signal] = false
	}
	return &fakeLines{c: c, lines: lines}, nil
}

func (c *cabinet) inputs(_ string, lines []gpiochip.Line, _ time.Duration) (Lines, error) {
	if err := c.take(lines); err != nil {
		return nil, err
	}
	return &fakeLines{c: c, lines: lines}, nil
}

func (c *cabinet) edges(_ string, lines []gpiochip.Line) (tach.Edges, error) {
	if err := c.take(lines); err != nil {
		return nil, err
	}
	return &fakeEdges{c: c, lines: lines, closed: make(chan struct{})}, nil
}

func (c *cabinet) watchdog(path string, _ time.Duration) (dog, error) {
	if err := c.busy[path]; err != nil {
		return nil, err
	}
	c.dog.note("open")
	return &c.dog, nil
}

// on returns which outputs are driven on.
func (c *cabinet) on() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	list := []string{}
	for _, name := range []string{"contactor", "fans", "heater", "bank 1", "bank 2", "heartbeat", "sounder", "lamp"} {
		if c.driven[name] {
			list = append(list, name)
		}
	}
	return list
}

func (c *cabinet) set(what map[string]bool, name string, to bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	what[name] = to
}

// unset makes an output read as it is driven again.
func (c *cabinet) unset(name string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	delete(c.level, name)
}

// fakeLines are lines of a cabinet.
type fakeLines struct {
	c     *cabinet
	lines []gpiochip.Line
}

func (l *fakeLines) Set(on uint64) error {
	l.c.mu.Lock()
	defer l.c.mu.Unlock()
	for i, line := range l.lines {
		if l.c.refuses[line.Signal] {
			return errors.New("input/output error at " + line.Signal)
		}
		l.c.driven[line.Signal] = on&(1<<i) != 0
	}
	return nil
}

func (l *fakeLines) Get() (uint64, error) {
	l.c.mu.Lock()
	defer l.c.mu.Unlock()
	var on uint64
	for i, line := range l.lines {
		if l.c.broken[line.Signal] {
			return 0, errors.New("input/output error at " + line.Signal)
		}
		level, ok := l.c.level[line.Signal]
		if !ok {
			level = l.c.driven[line.Signal]
		}
		if level {
			on |= 1 << i
		}
	}
	return on, nil
}

func (l *fakeLines) Close() error {
	l.c.mu.Lock()
	defer l.c.mu.Unlock()
	for _, line := range l.lines {
		l.c.log = append(l.c.log, "close "+line.Signal)
	}
	return nil
}

// fakeEdges are lines that pulse steadily.
type fakeEdges struct {
	c      *cabinet
	lines  []gpiochip.Line
	closed chan struct{}
	sent   map[int]uint32
	last   map[int]time.Duration
}

func (e *fakeEdges) Read(events []gpiochip.Event, wait time.Duration) (int, error) {
	select {
	case <-e.closed:
		return 0, gpiochip.ErrClosed
	case <-time.After(wait):
	}
	e.c.mu.Lock()
	defer e.c.mu.Unlock()
	if e.sent == nil {
		e.sent, e.last = map[int]uint32{}, map[int]time.Duration{}
	}
	n, now := 0, e.c.now()
	for _, l := range e.lines {
		period := e.c.fans[l.Offset]
		if period == 0 {
			continue
		}
		if e.last[l.Offset] == 0 {
			e.last[l.Offset] = now
		}
		for ; e.last[l.Offset]+period <= now && n < len(events); n++ {
			e.last[l.Offset] += period
			e.sent[l.Offset]++
			events[n] = gpiochip.Event{At: e.last[l.Offset], Offset: l.Offset, Seq: e.sent[l.Offset], Rising: true}
		}
	}
	return n, nil
}

func (e *fakeEdges) Close() error {
	close(e.closed)
	return nil
}

// fakeDog keeps what was done to it.
type fakeDog struct {
	mu    sync.Mutex
	done  string
	fault error
}

func (d *fakeDog) note(what string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.done += what + " "
	return d.fault
}

func (d *fakeDog) Feed() error  { return d.note("feed") }
func (d *fakeDog) Close() error { return d.note("close") }
