package recipe

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// Input is what a session goes by at one tick.
type Input struct {
	At      time.Duration
	Elapsed time.Duration // since the tick before
	// Pressed and Recipe are a start at this tick: the place of the recipe
	// plus 1, 0 for one that this machine does not have.
	Pressed bool
	Recipe  uint8
	Stop    bool
	Permits interlock.Permits
	// AirProven says that all required fans have reached their minimum.
	AirProven bool
	// Commanded is what the tick before commanded.
	Commanded hal.Outputs
	Snapshot  *hal.Snapshot
	// Estimates are health's.
	Estimates *interlock.Estimates
}

// Advance takes the session one tick further and returns what it wants on.
func Advance(timing *Timing, recipes []Recipe, m *Memory, in *Input, events *Events) hal.Outputs {
	m.In += in.Elapsed
	m.SinceStart += in.Elapsed
	m.RollFor += in.Elapsed
	if m.Trial > 0 {
		m.Trial += in.Elapsed
	}
	if in.Pressed {
		m.press(recipes, in, events)
	}
	if m.Phase.Underway() {
		if reason := m.over(timing, recipes, in); reason != NoReason {
			m.end(reason, in, events)
		}
	}
	m.work(timing, in)
	// A phase whose work is nothing is passed through in the same tick.
	for range PhaseCount {
		next := m.next(timing, recipes, in)
		if next == m.Phase {
			break
		}
		if next == RunOn {
			m.end(Finished, in, events)
		} else {
			m.pass(next, in, events)
		}
	}
	return m.want(timing, recipes, in)
}

// Running returns the running recipe; the zero Recipe while none runs.
func (m *Memory) Running(recipes []Recipe) *Recipe {
	if m.Recipe == 0 || int(m.Recipe) > len(recipes) {
		return &none
	}
	return &recipes[m.Recipe-1]
}

var none Recipe

// Limit returns the limit of the running recipe; 0 K while none runs.
func (m *Memory) Limit(recipes []Recipe) physic.Temperature {
	if !m.Phase.Underway() {
		return 0
	}
	return m.Running(recipes).Limit
}

// press acts on START: it starts a session, or ends a turn-over.
func (m *Memory) press(recipes []Recipe, in *Input, events *Events) {
	refuse := func(reason Reason) {
		events.Add(Event{At: in.At, Kind: StartRefused, Reason: reason, Phase: m.Phase, Recipe: in.Recipe})
	}
	switch {
	case m.Phase == TurnOver && in.Recipe == m.Recipe:
		if !in.Permits.Start {
			refuse(PermitWithheld)
			return
		}
		m.Side++
		m.pass(Clean, in, events)
	case m.Phase != Idle:
		refuse(NotIdle)
	case in.Recipe == 0 || int(in.Recipe) > len(recipes):
		refuse(NoSuchRecipe)
	case in.Permits.Banks.Count() < max(recipes[in.Recipe-1].BanksLeast, 1):
		refuse(TooFewBanks)
	case !in.Permits.Start:
		refuse(PermitWithheld)
	default:
		*m = Memory{Recipe: in.Recipe}
		events.Add(Event{At: in.At, Kind: Started, Recipe: m.Recipe})
		m.pass(Purge, in, events)
	}
}

// over returns why the session must end now, if it must.
func (m *Memory) over(timing *Timing, recipes []Recipe, in *Input) Reason {
	lost := in.Permits.Tripped
	switch {
	case in.Stop:
		return Stopped
	case lost.Has(interlock.TakesEmission) || lost.Has(interlock.TakesContactor):
		return TrippedOut
	case m.Phase == Preheat && (lost.Has(interlock.TakesHeater) || m.In >= timing.PreheatMax):
		return NotHeating
	case in.Permits.Banks.Count() < max(m.Running(recipes).BanksLeast, 1):
		return TooFewBanks
	case m.HeldFor >= timing.HoldMax:
		return HeldTooLong
	default:
		return NoReason
	}
}

func (m *Memory) end(reason Reason, in *Input, events *Events) {
	events.Add(Event{At: in.At, Kind: Ended, Reason: reason, Phase: m.Phase, Side: m.Side, Recipe: m.Recipe})
	m.pass(RunOn, in, events)
}

func (m *Memory) pass(p Phase, in *Input, events *Events) {
	m.enter(p)
	events.Add(Event{At: in.At, Kind: Began, Phase: p, Side: m.Side, Recipe: m.Recipe})
	if p == Idle {
		m.Recipe, m.Side = 0, 0
	}
}
