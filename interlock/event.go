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

// Events is the events of one tick. Should they ever be too many, the supervisor
// switches everything off.
type Events struct {
	List[Event]
	// Withheld is what withholds a start at this tick, the most drastic of
	// them; it has no Kind where nothing does.
	Withheld Event
}

// Empty forgets all events.
func (e *Events) Empty() {
	e.List.Empty()
	e.Withheld = Event{}
}

func (e *Events) add(kind Kind, event Event) {
	event.Kind = kind
	e.Add(event)
}
