package recipe

import (
	"time"

	"bathtender/interlock"
)

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

// Events is the events of one tick.
type Events = interlock.List[Event]
