package recipe

import "time"

// Kind is what happened to a session.
type Kind uint8

// Kinds of events.
const (
	NoEvent Kind = iota
	Started
	Began // a phase
	Ended
	StartRefused
)

// Reason is why a session ended or a start was refused.
type Reason uint8

// Reasons.
const (
	NoReason Reason = iota
	Finished
	Stopped
	TrippedOut     // a trip took away what the session needs
	NotHeating     // the heater tripped, or the bath did not get warm in time
	HeldTooLong    // a hold or a turn-over went on for too long
	TooFewBanks    // fewer banks in service than the recipe asks for
	NotIdle        // a start while a session runs or runs on
	NoSuchRecipe   // a start of a recipe that this machine does not have
	PermitWithheld // a start without a permit
)

// Event is one thing that a session did. It holds no text.
type Event struct {
	At     time.Duration
	Kind   Kind
	Reason Reason
	Phase  Phase
	Side   uint8
	Recipe uint8 // its place plus 1
}

// Events is the events of one tick, more than enough for what one can make
// happen. Should it ever be full it says so.
type Events struct {
	list [8]Event
	n    int
	Lost int
}

// All returns the events so far. They are overwritten after Empty.
func (e *Events) All() []Event { return e.list[:e.n] }

// Empty forgets all events.
func (e *Events) Empty() { e.n, e.Lost = 0, 0 }

func (e *Events) add(event Event) {
	if e.n >= len(e.list) {
		e.Lost++
		return
	}
	e.list[e.n] = event
	e.n++
}
