package recipe

import (
	"time"

	"bathtender/hal"
)

// ToGo is the count-down of a session.
type ToGo struct {
	// Phase is the time left in the present phase, Total that until the fans
	// stop. A wait for a permit or for a person is not foreseen.
	Phase, Total time.Duration
	// Known is false while the time to the set temperature is not known; Total
	// then leaves preheat out.
	Known bool
}

// Remaining returns the count-down. toSet is health's estimate of the time to
// the set temperature.
func (m *Memory) Remaining(timing *Timing, recipes []Recipe, toSet hal.Reading[time.Duration]) ToGo {
	if m.Phase == Idle {
		return ToGo{Known: true}
	}
	r := m.Running(recipes)
	sides := time.Duration(max(r.Sides, 1) - 1 - int(m.Side)) // still to come after this one
	clean := r.Clean
	after := [PhaseCount]time.Duration{
		Degas: r.Degas,
		Clean: clean + sides*(r.Pause+clean),
		RunOn: timing.RunOnLeast,
	}
	togo := ToGo{Known: true}
	heats := timing.Heater && r.Set != 0
	left := func(whole time.Duration) time.Duration { return max(whole-m.Done, 0) }
	preheat := time.Duration(0)
	if heats {
		preheat = toSet.Value
	}
	switch m.Phase {
	case Purge:
		togo.Phase = left(timing.Purge + timing.Watch)
		togo.Total = togo.Phase + preheat + after[Degas] + after[Clean] + after[RunOn]
		togo.Known = !heats || toSet.Valid
	case Preheat:
		togo.Phase = preheat
		togo.Total = togo.Phase + after[Degas] + after[Clean] + after[RunOn]
		togo.Known = !heats || toSet.Valid
	case Degas:
		togo.Phase = left(r.Degas)
		togo.Total = togo.Phase + after[Clean] + after[RunOn]
	case Clean:
		togo.Phase = left(clean)
		togo.Total = max(after[Clean]-m.Done, 0) + after[RunOn]
	case TurnOver:
		togo.Phase = max(r.Pause-m.In, 0)
		togo.Total = togo.Phase + (sides-1)*r.Pause + sides*clean + after[RunOn]
	case RunOn:
		togo.Phase = max(timing.RunOnLeast-m.In, 0)
		togo.Total = togo.Phase
	}
	return togo
}

// EmissionToCome returns how much emission the recipe has still to give, pauses
// not counted.
func (m *Memory) EmissionToCome(recipes []Recipe) time.Duration {
	r := m.Running(recipes)
	sides := time.Duration(max(r.Sides, 1) - 1 - int(m.Side)) // after this one
	switch m.Phase {
	case Purge, Preheat:
		return r.Degas + (sides+1)*r.Clean
	case Degas:
		return max(r.Degas-m.Done, 0) + (sides+1)*r.Clean
	case Clean:
		return max(r.Clean-m.Done, 0) + sides*r.Clean
	case TurnOver:
		return sides * r.Clean
	default:
		return 0
	}
}
