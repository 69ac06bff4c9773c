package prooftest

import (
	"time"

	"bathtender/firmware/status"
	"bathtender/interlock"
)

// State is what the cabinet must be doing while a function is provoked.
type State uint8

// States.
const (
	// Resting is idle, with nothing on: the permit is seen to go.
	Resting State = iota
	// Heating is a session in its preheat, with the contactor closed and the heater
	// on, so that both are seen to fall.
	Heating
	// Starting has the function provoked first and a session started then.
	Starting
)

// Step is one protective function, for one fan or probe where it is for each.
type Step struct {
	Function interlock.Function
	// Place is that of the fan, probe or bank, from 0.
	Place int
	// By tells apart two ways to provoke the same function.
	By string
	// State is what the cabinet must be doing.
	State State
	// Do is what to do, and PutRight how to undo it. Do is empty where the function
	// cannot be provoked safely by hand; Otherwise then says how it may be proven.
	Do, PutRight, Otherwise string
	// Stands reports whether the cabinet shows that it has been done.
	Stands func(v *status.View) bool
	// Delay is how long the cause must stand by the machine file, Lag how much later
	// than its signal the function may rightly begin to count.
	Delay, Lag time.Duration
}

// ByHand reports whether the function can be provoked safely by hand.
func (s *Step) ByHand() bool { return s.Do != "" }

func (s *Step) row() *interlock.Row { return &interlock.Table[s.Function] }

// Name returns the function with its fan or probe: "airflow lost, fan 1".
func (s *Step) Name() string {
	name := s.Function.Name()
	if s.row().Scope != interlock.Whole {
		name += ", " + s.row().Scope.It(s.Place)
	}
	if s.By != "" {
		name += ", " + s.By
	}
	return name
}

// Takes returns what the function must be seen to take away, in words.
func (s *Step) Takes() string {
	switch takes := s.row().Takes; {
	case takes.Has(interlock.TakesContactor):
		return "the contactor opens, and may not close again"
	case takes.Has(interlock.TakesHeater | interlock.TakesEmission):
		return "heater and emission are taken away"
	case takes.Has(interlock.TakesHeater):
		return "the heater is taken away"
	case takes.Has(interlock.TakesEmission):
		return "emission is taken away"
	case takes.Has(interlock.TakesBank):
		return "the bank is taken out of service"
	default:
		return "no session may start"
	}
}

// Soon returns within what time it must be seen, in words.
func (s *Step) Soon() string {
	if s.Delay+s.Lag == 0 {
		return "at once"
	}
	return "within " + seconds((s.Delay + s.Lag).Seconds())
}
