package interlock

import "time"

// Kind is what happened to a protective function.
type Kind uint8

// Kinds of events.
const (
	NoEvent Kind = iota
	Tripped
	Holding
	Released
	WasReset
	ResetRefused
)

// Event is one thing that a protective function did. It holds no text, so that
// it can be made inside a tick; Sentence makes the text outside of it.
type Event struct {
	At       time.Duration
	Kind     Kind
	Function Function
	Place    uint8 // of the fan, probe or bank, from 0
	Verdict  Verdict
	Reason   uint8
	FirstOut bool
	Stood    Timer
	Value    int64
	Limit    int64
}

// Events is the events of one tick. It has room for everything that one tick
// can make happen; should it ever be full it says so, and the supervisor then
// switches everything off.
type Events struct {
	list [Slots]Event
	n    int
	Lost int
	// Withheld is what withholds a start at this tick, the most drastic of
	// them; it has no Kind where nothing does.
	Withheld Event
}

// All returns the events so far. They are overwritten after Empty.
func (e *Events) All() []Event { return e.list[:e.n] }

// Empty forgets all events.
func (e *Events) Empty() { e.n, e.Lost, e.Withheld = 0, 0, Event{} }

func (e *Events) add(kind Kind, event Event) {
	event.Kind = kind
	if e.n >= len(e.list) {
		e.Lost++
		return
	}
	e.list[e.n] = event
	e.n++
}
