// Package scenario runs scripted sessions: a machine, a recipe, a seed, events
// at given times, and what is expected of the supervisor, each with its time
// limit.
package scenario

import (
	"time"

	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/firmware/tomlfile"
	"bathtender/hal"
	"bathtender/sim/fault"
	"bathtender/sim/plant"
)

// Scenario is one scripted session.
type Scenario struct {
	// Name is the file's name, for messages.
	Name    string
	About   string
	Machine *machine.Machine
	Recipe  *recipe.File
	Config  supervisor.Config
	Plant   plant.Config
	World   plant.World
	// Length is the longest that the session may take.
	Length  time.Duration
	Events  []Event
	Expects []Expect
	Bounds  Bounds
}

// Event is something that happens to the cabinet or is asked of it. Exactly
// one of Fault, Request, Stall and Restart is set.
type Event struct {
	// At is the time of the event, counted from the start, or from the first
	// time that Phase begins where HasPhase is set.
	At       time.Duration
	Phase    recipe.Phase
	HasPhase bool
	Fault    fault.Fault
	Request  hal.Request
	// Stall makes a tick late; Restart kills the program and starts it anew
	// after so long.
	Stall, Restart time.Duration
	// For is how long it lasts; 0 for a fault that stays, and for a button
	// that is let go at once.
	For  time.Duration
	name string
}

// Name returns what the event is called in messages and in after =.
func (e *Event) Name() string { return e.name }

// Expect is something that must come true within a time after an event, and may
// have to stay so.
type Expect struct {
	// After is the place of the event plus 1; 0 for the start.
	After         int
	Within, Stays time.Duration
	// Says is a sentence that must have been said since the event, with * for
	// any text. FirstOut is the first-out, as the status shows it.
	Says, FirstOut string
	Phase          recipe.Phase
	HasPhase       bool
	// On and Off are what must really be on and off in the cabinet.
	On, Off []Thing
	at      tomlfile.Position
}

// Thing is something in the cabinet that is on or off.
type Thing string

// Things that an expectation can name.
const (
	Contactor Thing = "contactor"
	Heater    Thing = "heater"
	Emission  Thing = "emission"
	Fans      Thing = "fans"
	Sounder   Thing = "sounder"
)

// Bounds are what the cabinet must really stay within, in K; 0 for no bound.
type Bounds struct {
	Bath, Plate, Winding, Joint, Cabinet float64
	// Trips is how many trips there may be; -1 for any number.
	Trips int
}
