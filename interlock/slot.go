package interlock

import "bathtender/hal"

// Slots is how many pairs of protective function and fan, probe or bank there
// are; each has its own counter and latch. Three functions look at each fan,
// one at each probe, one at each bank, the others at the whole cabinet.
const Slots = (int(FunctionCount) - 5) + 3*hal.MaxFans + hal.MaxProbes + hal.MaxBanks

// most returns how many of the scope one cabinet can have.
func (s Scope) most() int {
	switch s {
	case EachFan:
		return hal.MaxFans
	case EachProbe:
		return hal.MaxProbes
	case EachBank:
		return hal.MaxBanks
	default:
		return 1
	}
}

// fitted returns how many places of the scope, from the first, one cabinet has;
// what lies beyond them cannot act.
func (c *Config) fitted(s Scope) int {
	switch s {
	case EachFan:
		n := 0
		for i, required := range c.Fans.Required {
			if required {
				n = i + 1
			}
		}
		return max(n, 1) // without a required fan, no air is ever proven
	case EachBank:
		return min(max(c.Power.Banks, 0), hal.MaxBanks)
	default:
		return s.most()
	}
}

// Set is a set of slots.
type Set [(Slots + 63) / 64]uint64

// Has reports whether the slot is in the set.
func (s *Set) Has(slot int) bool { return s[slot/64]&(1<<(slot%64)) != 0 }

// Empty reports whether nothing is in the set.
func (s *Set) Empty() bool { return *s == Set{} }

// overlaps reports whether some slot is in both.
func (s *Set) overlaps(other *Set) bool {
	for i := range s {
		if s[i]&other[i] != 0 {
			return true
		}
	}
	return false
}

func (s *Set) put(slot int, in bool) {
	if in {
		s[slot/64] |= 1 << (slot % 64)
	} else {
		s[slot/64] &^= 1 << (slot % 64)
	}
}

// Find returns the function and the place, from 0, of the fan, probe or bank
// that a slot stands for.
func Find(slot int) (Function, int) {
	for f := range FunctionCount {
		if n := Table[f].Scope.most(); slot < n {
			return f, slot
		} else {
			slot -= n
		}
	}
	return FunctionCount, 0
}

// SlotOf returns the slot of a function for a fan, probe or bank by its place
// from 0.
func SlotOf(f Function, place int) int {
	slot := place
	for earlier := range f {
		slot += Table[earlier].Scope.most()
	}
	return slot
}
