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
		if t, ok := bath(timing, in.Snapshot); ok && t >= r.Set {
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
		want.Banks = m.stagger(timing, in)
	}
	return want
}

// thermostat switches the heater with a band, so that its relay lives long.
func (m *Memory) thermostat(timing *Timing, r *Recipe, in *Input) bool {
	t, ok := bath(timing, in.Snapshot)
	switch {
	case !timing.Heater || r.Set == 0 || !ok:
		m.HeaterOn = false
	case t >= r.Set:
		m.HeaterOn = false
	case t < r.Set-timing.Band || m.Phase == Preheat:
		m.HeaterOn = true
	}
	return m.HeaterOn
}

// stagger starts the banks one after another, so that the meter shows the step
// of each, and the mains is spared their inrush together. Where emission is not
// permitted they start anew when it is.
func (m *Memory) stagger(timing *Timing, in *Input) hal.Banks {
	if !in.Permits.Emission || !in.Commanded.Contactor {
		m.Started = 0
		return 0
	}
	if m.Started == 0 || m.SinceStart >= timing.Stagger && int(m.Started) < hal.MaxBanks {
		m.Started = m.place(timing, in) + 1
		m.SinceStart = 0
	}
	return hal.FirstBanks(int(m.Started)) & timing.Banks & in.Permits.Banks
}

// place returns the next bank to start, passing over those that are out of
// service.
func (m *Memory) place(timing *Timing, in *Input) uint8 {
	may := timing.Banks & in.Permits.Banks
	for i := int(m.Started); i < hal.MaxBanks; i++ {
		if may.Has(i) {
			return uint8(i)
		}
	}
	return hal.MaxBanks - 1
}
