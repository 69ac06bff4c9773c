package supervisor

import (
	"bathtender/firmware/health"
	"bathtender/interlock"
)

// State is all that a supervisor remembers between two ticks. With it a replay
// can start anywhere: a supervisor that is resumed from a state decides from
// there on as the one that the state was taken from, bit for bit.
type State struct {
	Memory    Memory
	Health    health.Memory
	Estimates interlock.Estimates
	Record    health.Record
	Today     int32
}

// State returns a copy of all that is remembered.
func (s *Supervisor) State() State {
	return State{Memory: s.memory, Health: s.health, Estimates: s.estimates, Record: s.record, Today: s.today}
}

// Resume returns a supervisor that goes on from a state. It is for replays: a
// program on the board starts with New, and everything off.
func Resume(config Config, state State) *Supervisor {
	s := &Supervisor{
		config: config, memory: state.Memory, health: state.Health,
		estimates: state.Estimates, record: state.Record, today: state.Today,
	}
	s.holdToBaselines()
	return s
}

// SetLiquid replaces what is kept of the liquid, between two ticks: its owner
// has filled, topped up or drained the tank.
func (s *Supervisor) SetLiquid(liquid health.LiquidAge) { s.record.Liquid = liquid }

// SetToday tells the day, counted from 1 January 1970, 0 where it is not known.
func (s *Supervisor) SetToday(day int32) { s.today = day }
