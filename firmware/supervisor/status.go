package supervisor

import (
	"bathtender/firmware/health"
	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

// Status is what there is to see of a supervisor after a tick.
type Status struct {
	Phase  recipe.Phase
	Recipe string // of the running session; empty for none
	Side   int    // being cleaned, from 1; 0 while no session runs
	ToGo   recipe.ToGo
	// RollCall is the bank that a roll-call leaves off, from 1; 0 for none.
	RollCall int
	// Permits of this tick, and the first-out of a shutdown.
	Permits   interlock.Permits
	FirstOut  interlock.FirstOut
	Commanded hal.Outputs
	Estimates interlock.Estimates
}

// Status returns what there is to see.
func (s *Supervisor) Status() Status {
	m := &s.memory.Sequence
	status := Status{
		Phase:     m.Phase,
		ToGo:      m.Remaining(&s.config.Timing, s.config.Recipes, s.estimates.ToSet),
		Permits:   s.work.Permits,
		FirstOut:  s.memory.Interlock.First,
		Commanded: s.memory.Commanded,
		Estimates: s.estimates,
		RollCall:  int(m.Roll),
	}
	if m.Recipe != 0 {
		status.Recipe, status.Side = s.running().Name, int(m.Side)+1
	}
	return status
}

// Explain tells, for each protective function, what it found at the last tick.
func (s *Supervisor) Explain() []interlock.Explanation {
	if s.work.Judged.Snapshot == nil {
		return nil
	}
	return interlock.Explain(&s.config.Interlock, s.memory.Interlock, &s.work.Judged)
}

// Lockouts returns what must be stored to survive power loss.
func (s *Supervisor) Lockouts() interlock.Set { return s.memory.Interlock.Lockouts() }

// Record returns what health keeps from session to session.
func (s *Supervisor) Record() health.Record { return s.record }

// Memory returns a copy of all that the deciding part remembers.
func (s *Supervisor) Memory() Memory { return s.memory }

// Banks returns how many banks the cabinet has.
func (s *Supervisor) Banks() int { return s.config.Interlock.Power.Banks }
