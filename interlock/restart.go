package interlock

import "bathtender/hal"

// Lockouts returns the latches that must survive power loss.
func (m *Memory) Lockouts() Set { return m.lockouts(&Table) }

func (m *Memory) lockouts(table *[FunctionCount]Row) Set {
	var lockouts Set
	if m.Latched.Empty() {
		return lockouts
	}
	slot := 0
	for f := range FunctionCount {
		for range table[f].Scope.most() {
			if table[f].Latch == Lockout && m.Latched.Has(slot) {
				lockouts.put(slot, true)
			}
			slot++
		}
	}
	return lockouts
}

// Restarted returns the memory of a program that was started again: nothing
// but the lockouts that were stored, and the banks that are out of service,
// which wait for a reset as they did before. Slots that are no lockouts are left
// out.
func Restarted(lockouts Set, out hal.Banks) Memory {
	stored := Memory{Latched: lockouts}
	m := Memory{Latched: stored.Lockouts()}
	for i := range hal.MaxBanks {
		if out.Has(i) {
			m.Latched.put(SlotOf(BankShort, i), true)
		}
	}
	for slot := range Slots {
		if m.Latched.Has(slot) {
			m.First = FirstOut{Slot: uint8(slot) + 1}
			break
		}
	}
	return m
}

// With returns the set with one more slot in it.
func (s Set) With(slot int) Set {
	s.put(slot, true)
	return s
}
