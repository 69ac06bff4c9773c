// Package whatif compares the decisions of two supervisors over the same
// readings: those of a machine file as it was, and those of a changed one.
//
// The readings stay those that were recorded. Where the changed machine would
// have done something else, the cabinet would have answered otherwise from then
// on, which nobody knows: differences after the first are what the changed file
// would have made of what really followed.
package whatif

import (
	"fmt"
	"strings"
	"time"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// Decision is what one of the two decided at a tick.
type Decision struct {
	Outputs hal.Outputs
	Events  []supervisor.Event
	// Text are the sentences of the events.
	Text []string
}

// Comparison is what two supervisors made of the same readings. The zero
// Comparison has seen nothing.
type Comparison struct {
	// Banks is how many banks the cabinet has.
	Banks int
	// Rows counts the ticks, Otherwise those with other outputs.
	Rows, Otherwise int
	spans           []Span
	acts            [interlock.Slots]act
	open            bool
	last            time.Duration
	events          []Line
}

// Span is a time in which the outputs differ in the same way.
type Span struct {
	From, To time.Duration
	Rows     int
	Was, Is  hal.Outputs
}

// act is when a protective function first acted.
type act struct {
	was, is         time.Duration
	hasWas, hasIs   bool
	wasText, isText string
}

// Line is something that happened to only one of the two, or to both.
type Line struct {
	At      time.Duration
	Was, Is bool
	Text    string
}

// Tick takes the decisions of one tick in: as it was, and as it would be.
func (c *Comparison) Tick(at time.Duration, was, is *Decision) {
	c.Rows++
	c.compare(at, was.Outputs, is.Outputs)
	c.note(at, was.Events, was.Text, false)
	c.note(at, is.Events, is.Text, true)
	c.merge(at, was.Text, is.Text)
	c.last = at
}

// compare notes where the outputs differ. The beat of the heart says nothing.
func (c *Comparison) compare(at time.Duration, was, is hal.Outputs) {
	was.Heartbeat, is.Heartbeat = false, false
	if was == is {
		c.open = false
		return
	}
	c.Otherwise++
	if n := len(c.spans); c.open && c.spans[n-1].Was == was && c.spans[n-1].Is == is {
		c.spans[n-1].To = at
		c.spans[n-1].Rows++
		return
	}
	c.open = true
	c.spans = append(c.spans, Span{From: at, To: at, Rows: 1, Was: was, Is: is})
}

func (c *Comparison) note(at time.Duration, events []supervisor.Event, text []string, changed bool) {
	for i := range events {
		e := &events[i].Interlock
		if e.Kind != interlock.Tripped && e.Kind != interlock.Holding {
			continue
		}
		a := &c.acts[interlock.SlotOf(e.Function, int(e.Place))]
		switch {
		case changed && !a.hasIs:
			a.is, a.hasIs, a.isText = at, true, text[i]
		case !changed && !a.hasWas:
			a.was, a.hasWas, a.wasText = at, true, text[i]
		}
	}
}

// merge keeps the story of both, in order.
func (c *Comparison) merge(at time.Duration, was, is []string) {
	taken := make([]bool, len(is))
	for _, text := range was {
		line := Line{At: at, Was: true, Text: text}
		for i := range is {
			if !taken[i] && is[i] == text {
				taken[i], line.Is = true, true
				break
			}
		}
		c.events = append(c.events, line)
	}
	for i := range is {
		if !taken[i] {
			c.events = append(c.events, Line{At: at, Is: true, Text: is[i]})
		}
	}
}

// Story returns what happened to either of the two, in order.
func (c *Comparison) Story() []Line { return c.events }

// Spans returns the times in which the outputs differ.
func (c *Comparison) Spans() []Span { return c.spans }

// Text says how the outputs of a span differ.
func (s *Span) Text(banks int) string {
	var parts []string
	add := func(name string, was, is bool) {
		if was != is {
			parts = append(parts, fmt.Sprintf("%s %s, would be %s", name, onOff(was), onOff(is)))
		}
	}
	add("contactor", s.Was.Contactor, s.Is.Contactor)
	add("fans", s.Was.Fans, s.Is.Fans)
	add("heater", s.Was.Heater, s.Is.Heater)
	if s.Was.Banks != s.Is.Banks {
		parts = append(parts, fmt.Sprintf("banks %s, would be %s", s.Was.Banks.Text(banks), s.Is.Banks.Text(banks)))
	}
	add("watchdog", s.Was.FeedWatchdog, s.Is.FeedWatchdog)
	add("sounder", s.Was.Sounder, s.Is.Sounder)
	add("lamp", s.Was.Lamp, s.Is.Lamp)
	return strings.Join(parts, "; ")
}

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}
