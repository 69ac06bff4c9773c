package supervisor

import (
	"time"

	"bathtender/firmware/health"
	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

// Config is all that a supervisor is made with.
type Config struct {
	Rules
	Health health.Config
}

// Supervisor watches one cabinet. The zero Supervisor keeps everything off.
type Supervisor struct {
	config    Config
	memory    Memory
	health    health.Memory
	estimates interlock.Estimates
	found     health.Events
	work      Work
	events    [interlock.Slots + 32]Event
}

// New returns a supervisor for a program that has just started: everything
// off, nothing remembered but the lockouts that were stored.
func New(config Config, lockouts interlock.Set) *Supervisor {
	return &Supervisor{config: config, memory: Memory{Interlock: interlock.Restarted(lockouts)}}
}

// Tick is the whole supervisor. It is called once a period with a new snapshot
// and what is asked for at that moment, and gives what to drive until the next
// tick and what happened. The events are overwritten by the next tick.
func (s *Supervisor) Tick(snapshot *hal.Snapshot, request hal.Request) (hal.Outputs, []Event) {
	s.found.Empty()
	sequence := &s.memory.Sequence
	health.Observe(&s.config.Health, &s.health, &health.Input{
		Snapshot: snapshot, Commanded: s.memory.Commanded, Phase: sequence.Phase,
		Recipe: s.running(), ToCome: sequence.EmissionToCome(s.config.Recipes),
	}, &s.estimates, &s.found)
	out := Decide(&s.config.Rules, &s.memory, snapshot, &s.estimates, s.ask(request), &s.work)
	return out, s.gather()
}

// ask looks up the recipe of a request.
func (s *Supervisor) ask(request hal.Request) Ask {
	ask := Ask{Verb: request.Verb}
	if request.Verb != hal.Start {
		return ask
	}
	for i := range s.config.Recipes {
		if s.config.Recipes[i].Name == request.Recipe {
			ask.Recipe = uint8(i) + 1
			break
		}
	}
	return ask
}

func (s *Supervisor) running() *recipe.Recipe {
	return s.memory.Sequence.Running(s.config.Recipes)
}

// Event is one thing that happened at a tick: found by health, done by a
// protective function, or done by the session.
type Event struct {
	At        time.Duration
	Interlock interlock.Event
	Sequence  recipe.Event
	Health    health.Event
}

// gather returns what happened: causes before consequences.
func (s *Supervisor) gather() []Event {
	n := 0
	for _, e := range s.found.All() {
		s.events[n] = Event{At: e.At, Health: e}
		n++
	}
	for _, e := range s.work.Interlock.All() {
		s.events[n] = Event{At: e.At, Interlock: e}
		n++
	}
	for _, e := range s.work.Sequence.All() {
		s.events[n] = Event{At: e.At, Sequence: e}
		if e.Kind == recipe.StartRefused {
			s.events[n].Interlock = s.work.Interlock.Withheld
		}
		n++
	}
	return s.events[:n]
}

// Sentence returns an event of this supervisor in plain words.
func (s *Supervisor) Sentence(e Event) string {
	if e.Sequence.Kind != recipe.NoEvent {
		return e.Sequence.Sentence(s.config.Recipes, e.Interlock)
	}
	if e.Health.Kind != health.NoEvent {
		return e.Health.Sentence()
	}
	return e.Interlock.Sentence()
}
