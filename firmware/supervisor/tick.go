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
	record    health.Record
	today     int32
	work      Work
	events    [interlock.Slots + 32]Event
}

// Kept is what outlives a supervisor: what the journal stores, and gives back
// when the program starts.
type Kept struct {
	// Lockouts are the latches that survive power loss.
	Lockouts interlock.Set
	// Record is what health keeps from session to session.
	Record health.Record
	// Today is the day, counted from 1 January 1970; 0 where it is not known.
	Today int32
}

// New returns a supervisor for a program that has just started: everything
// off, nothing remembered but what was kept.
func New(config Config, kept Kept) *Supervisor {
	s := &Supervisor{
		config: config, record: kept.Record, today: kept.Today,
		memory: Memory{Interlock: interlock.Restarted(kept.Lockouts, kept.Record.OutOfService)},
	}
	s.holdToBaselines()
	return s
}

// Kept returns what must be stored. It changes only at a tick with events.
func (s *Supervisor) Kept() Kept {
	return Kept{Lockouts: s.Lockouts(), Record: s.record, Today: s.today}
}

// holdToBaselines holds each bank to its own baseline.
func (s *Supervisor) holdToBaselines() {
	for i := range s.config.Health.Banks {
		if known := s.record.Baseline(&s.config.Health.Drift, i); known > 0 {
			s.config.Health.Draw[i] = known
		}
	}
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
	s.keep()
	return out, s.gather()
}

// keep brings the record up to date with what has happened at this tick. It
// decides nothing: a bank out of service is latched in the interlock.
func (s *Supervisor) keep() {
	for _, e := range s.work.Interlock.All() {
		if e.Function != interlock.BankShort {
			continue
		}
		switch e.Kind {
		case interlock.Tripped:
			_ = s.record.TakeOut(int(e.Place)) // the interlock's banks all exist
		case interlock.WasReset:
			_ = s.record.PutBack(int(e.Place))
			s.holdToBaselines()
		}
	}
	for _, e := range s.work.Sequence.All() {
		switch {
		case e.Kind == recipe.Started:
			r := s.running()
			s.record.Begin(e.At, s.today, health.ChangeLimits{Emission: r.ChangeEmission, Days: r.ChangeDays}, &s.found)
		case e.Kind == recipe.Began && e.Phase == recipe.Degas:
			health.Staff(&s.config.Health, e.At, s.work.Permits.Banks, &s.estimates, &s.found)
		case e.Kind == recipe.Ended:
			result := s.health.Result(&s.config.Health, &s.estimates)
			s.record.Finish(&s.config.Health.Drift, e.At, &result, &s.found)
			s.holdToBaselines()
		}
	}
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
