package recipe

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// work counts what this tick has added to the phase's work, and for how long
// the session has had to wait.
func (m *Memory) work(timing *Timing, in *Input) {
	working := true
	switch m.Phase {
	case Purge:
		// Air moves before the contactor closes; then the closed contactor is
		// watched. Both are counted by what was commanded.
		if m.Done < timing.Purge {
			working = in.AirProven
		} else {
			working = in.Commanded.Contactor
		}
	case Preheat:
		working = in.Permits.Heater
	case Degas, Clean:
		working = in.Commanded.Banks != 0
	case TurnOver:
		working = false
	}
	if working {
		m.Done += in.Elapsed
		m.HeldFor = 0
	} else {
		m.HeldFor += in.Elapsed
	}
}

// next returns the phase that follows once this one's work is done; else this
// one.
func (m *Memory) next(timing *Timing, recipes []Recipe, in *Input) Phase {
	r := m.Running(recipes)
	switch m.Phase {
	case Purge:
		if m.Done >= timing.Purge+timing.Watch {
			return Preheat
		}
	case Preheat:
		if r.Set == 0 || !timing.Heater {
			return Degas
		}
		if t, ok := bath(timing, in.Snapshot); ok && t >= target(r, in) {
			return Degas
		}
	case Degas:
		if m.Done >= r.Degas {
			return Clean
		}
	case Clean:
		if m.Done >= r.Clean && int(m.Side)+1 < r.Sides {
			return TurnOver
		}
		if m.Done >= r.Clean {
			return RunOn
		}
	case RunOn:
		cabinet, ok := in.Snapshot.Probes[hal.Cabinet].Within(timing.ProbeMaxAge)
		cool := ok && cabinet <= timing.CabinetCool
		if m.In >= timing.RunOnMost || cool && m.In >= timing.RunOnLeast {
			return Idle
		}
	}
	return m.Phase
}

// bath returns the temperature that the heater goes by: that of the hottest
// bath probe, since it is the hottest spot that hurts the parts.
func bath(timing *Timing, snapshot *hal.Snapshot) (physic.Temperature, bool) {
	a, okA := snapshot.Probes[hal.BathA].Within(timing.ProbeMaxAge)
	b, okB := snapshot.Probes[hal.BathB].Within(timing.ProbeMaxAge)
	switch {
	case okA && okB:
		return max(a, b), true
	case okA:
		return a, true
	default:
		return b, okB
	}
}

// want returns what the session wants on in its present phase.
func (m *Memory) want(timing *Timing, recipes []Recipe, in *Input) hal.Outputs {
	want := hal.Outputs{Fans: m.Phase != Idle, Lamp: m.Phase.Underway(), Sounder: m.Phase == TurnOver}
	switch m.Phase {
	case Purge:
		want.Contactor = m.Done >= timing.Purge
	case Preheat, Degas, Clean:
		want.Contactor = true
		want.Heater = m.thermostat(timing, m.Running(recipes), in)
	case RunOn, TurnOver:
		// The loads go first and the contactor a tick later, so that its
		// contacts part without current.
		want.Contactor = m.In == 0 && in.Commanded.Contactor
	}
	if m.Phase.emits() {
		want.Banks = m.emission(timing, m.Running(recipes), in)
	}
	return want
}

// target returns how warm the heater makes the bath: as the recipe says, or
// less where the emission would then take it over the recipe's limit.
func target(r *Recipe, in *Input) physic.Temperature {
	if most := in.Estimates.PreheatTo; most.Valid {
		return min(r.Set, most.Value)
	}
	return r.Set
}

// thermostat switches the heater with a band, so that its relay lives long.
func (m *Memory) thermostat(timing *Timing, r *Recipe, in *Input) bool {
	t, ok := bath(timing, in.Snapshot)
	set := target(r, in)
	switch {
	case !timing.Heater || r.Set == 0 || !ok:
		m.HeaterOn = false
	case m.Roll != 0: // a roll-call needs everything else to stay as it is
	case t >= set:
		m.HeaterOn = false
	case t < set-timing.Band || m.Phase == Preheat:
		m.HeaterOn = true
	}
	if m.Phase == Preheat && m.HeaterOn {
		if m.Trial == 0 || in.Estimates.Retry && m.Trial >= timing.TrialHeat+timing.TrialPause {
			m.Trial = 1
		}
		return m.Trial < timing.TrialHeat || m.Trial >= timing.TrialHeat+timing.TrialPause
	}
	return m.HeaterOn
}
