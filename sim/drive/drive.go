// Package drive drives one loop: the modelled cabinet and the supervisor, tick
// by tick, as the board's program would drive it in the cabinet. The supervisor
// is the shipped one; nothing of it is copied or switched off here.
package drive

import (
	"time"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/sim/plant"
)

// Session is a cabinet with a supervisor on its board.
type Session struct {
	Plant      *plant.Plant
	Supervisor *supervisor.Supervisor
	// Snapshot, Request, Outputs and Events are those of the last tick.
	Snapshot hal.Snapshot
	Request  hal.Request
	Outputs  hal.Outputs
	Events   []supervisor.Event
	// Ticks counts the ticks so far.
	Ticks int64

	config supervisor.Config
	tick   time.Duration
	kept   supervisor.Kept // what the board has stored
	stall  time.Duration
}

// New returns a session of a program that was just started, in a plant, with
// what was kept from before.
func New(config supervisor.Config, kept supervisor.Kept, p *plant.Plant) *Session {
	return &Session{
		Plant: p, Supervisor: supervisor.New(config, kept),
		config: config, tick: config.Interlock.Tick, kept: kept,
	}
}

// Tick lets one period pass in the cabinet and ticks once.
func (s *Session) Tick(request hal.Request) error {
	s.Plant.Step(s.tick + s.stall)
	s.stall = 0
	if err := s.Plant.Read(&s.Snapshot); err != nil {
		return err
	}
	s.Request = request
	s.Outputs, s.Events = s.Supervisor.Tick(&s.Snapshot, request)
	if len(s.Events) > 0 {
		s.kept = s.Supervisor.Kept() // stored before the outputs depend on it
	}
	s.Ticks++
	return s.Plant.Write(s.Outputs)
}

// Stall makes the next tick come later by so much, while the cabinet goes on.
func (s *Session) Stall(late time.Duration) { s.stall += late }

// Restart kills the program and starts it anew after some time. Nothing but
// what was stored is left of it.
func (s *Session) Restart(after time.Duration) {
	s.Plant.Step(after)
	s.Supervisor = supervisor.New(s.config, s.kept)
}

// Now returns the time on the session's clock.
func (s *Session) Now() time.Duration { return s.Snapshot.Time }
