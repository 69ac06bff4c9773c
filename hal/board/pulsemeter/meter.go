package pulsemeter

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/board/sampled"
)

// Config is what a pulse meter is read with.
type Config struct {
	Pulses int // per kilowatt-hour, 1 to PulsesMost
	// Quiet is so little power that the meter counts as quiet: before it has given
	// two pulses there is no reading, unless the silence alone shows that there
	// is no more than this.
	Quiet physic.Power
	// Log takes a sentence when the meter begins to work or ceases to, and why;
	// nil for nobody. It is called by whoever gives the edges.
	Log func(sentence string)
}

// Meter makes watts of the edges of a line. Whoever reads the line gives them:
// one goroutine calls Edge, Watched and Lost, any number call Read.
type Meter struct {
	config    Config
	condition sampled.Condition
	filter    filter
	last      time.Duration // the last pulse
	pulsed    bool          // there has been one since the line is watched

	watts   sampled.Cell[physic.Power] // at the time of the pulse that ends the period
	watched atomic.Int64               // when the line was last read, one more than nanoseconds; 0 for not
	since   atomic.Int64               // from when on there has been no pulse
	known   atomic.Bool                // watts are of the line as it is watched now
}

// New returns a meter. The error names what in the configuration cannot be.
func New(c Config) (*Meter, error) {
	if c.Pulses < 1 || c.Pulses > PulsesMost {
		return nil, fmt.Errorf("a meter of %d pulses per kilowatt-hour is none, allowed are 1 to %d", c.Pulses, PulsesMost)
	}
	return &Meter{config: c, condition: sampled.Condition{Log: c.Log}}, nil
}

// Start does nothing: whoever reads the line drives the meter.
func (m *Meter) Start(context.Context) {}

// Close does nothing, like Start.
func (m *Meter) Close() error { return nil }

// Watched says that the line was read without an error, and that all edges up to
// the given time of the monotonic clock have been given. Readings count as old
// from the last time that it was said.
func (m *Meter) Watched(at time.Duration) {
	if m.watched.Load() == 0 {
		m.since.Store(int64(at))
	}
	m.watched.Store(int64(at) + 1)
}

// Lost says that the line could not be read, or that edges were lost: what they
// would have told is unknown. The reason is one sentence.
func (m *Meter) Lost(reason string) {
	m.watched.Store(0)
	m.known.Store(false)
	m.pulsed, m.filter = false, filter{}
	m.condition.Bad("the meter gives no reading: " + reason)
}

// Edge takes an edge of the line, rising into a pulse, at a time of the monotonic
// clock. Edges shorter apart than those of a meter make no pulse.
func (m *Meter) Edge(at time.Duration, rising bool) {
	at, pulse := m.filter.edge(at, rising)
	if !pulse {
		return
	}
	if m.pulsed {
		m.watts.Put(Power(m.config.Pulses, at-m.last), at)
		m.known.Store(true)
		m.condition.Good("the meter works: it gives pulses")
	}
	m.last, m.pulsed = at, true
	m.since.Store(int64(at))
}

// Read returns the watts at the given time of the clock; a pulse meter tells
// nothing else. It never waits.
func (m *Meter) Read(now time.Duration) hal.Meter {
	watched := m.watched.Load()
	if watched == 0 {
		return hal.Meter{}
	}
	// No more than one pulse in this time is what the silence allows.
	bound := Power(m.config.Pulses, now-time.Duration(m.since.Load()))
	age := max(now-time.Duration(watched-1), 0)
	last := m.watts.Reading(now)
	switch {
	case m.known.Load() && last.Valid:
		return hal.Meter{Watts: hal.Aged(min(last.Value, bound), age)}
	case bound <= m.config.Quiet:
		return hal.Meter{Watts: hal.Aged(bound, age)}
	default:
		return hal.Meter{}
	}
}
