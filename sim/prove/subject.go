package prove

import (
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// subject is what is searched: the deciding of a tick, and a restart. Tests put
// defects round the real one, to see that they are found.
type subject struct {
	decide  func(rules *supervisor.Rules, m *supervisor.Memory, s *hal.Snapshot, e *interlock.Estimates, ask supervisor.Ask, work *supervisor.Work) hal.Outputs
	restart func(m *supervisor.Memory) supervisor.Memory
}

// shipped is the code that both programs run.
func shipped() subject {
	return subject{decide: supervisor.Decide, restart: restarted}
}

// restarted returns the memory of a program that was started again, from what
// the one before it has stored: its lockouts, and the banks out of service.
func restarted(m *supervisor.Memory) supervisor.Memory {
	var out hal.Banks
	for i := range hal.MaxBanks {
		if m.Interlock.Latched.Has(interlock.SlotOf(interlock.BankShort, i)) {
			out |= hal.Bank(i)
		}
	}
	return supervisor.Memory{Interlock: interlock.Restarted(m.Interlock.Lockouts(), out)}
}
