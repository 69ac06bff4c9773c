package recipe

import "time"

// Memory is all that a session remembers from tick to tick. The zero Memory is
// idle.
type Memory struct {
	Phase Phase
	// Recipe is the place of the running recipe plus 1; 0 for none.
	Recipe uint8
	// Side is the side being cleaned, from 0.
	Side uint8
	// Started is how many of the banks have been started; HeaterOn what the
	// thermostat wants.
	Started  uint8
	HeaterOn bool
	// In is the time since the phase began. Done is how much of its work is
	// done: air moved, contactor watched, emission given.
	In, Done time.Duration
	// SinceStart is the time since a bank was last started.
	SinceStart time.Duration
	// Trial is the time since the heater was first tried in this session.
	Trial time.Duration
	// Roll is the bank that a roll-call leaves off, plus 1; 0 for none. RollFor
	// is the time since it, or the wait since the last one, began; RollNext the
	// bank whose turn is next.
	Roll, RollNext uint8
	RollFor        time.Duration
	// TooHot says that emission waits for the bath to cool.
	TooHot bool
	// HeldFor is the time for which the session has waited for a permit, or at
	// a turn-over for its owner.
	HeldFor time.Duration
}

// enter begins a phase.
func (m *Memory) enter(p Phase) {
	emits := m.Phase.emits() && p.emits()
	m.Phase, m.In, m.Done, m.HeldFor = p, 0, 0, 0
	if !emits { // from degas into clean the banks go on
		m.Started, m.SinceStart = 0, 0
		m.Roll, m.RollFor = 0, 0
		m.TooHot = false
	}
	if p == RunOn || p == Idle || p == TurnOver {
		m.HeaterOn = false
	}
}
