package recipe

import (
	"math/bits"

	"bathtender/hal"
)

// emission returns the banks that are wanted: started one after another, one of
// them left off for a moment when it is its turn in the roll-call.
func (m *Memory) emission(timing *Timing, r *Recipe, in *Input) hal.Banks {
	if t, ok := bath(timing, in.Snapshot); ok && t >= r.Limit {
		m.TooHot = true
	} else if ok && t < r.Limit-timing.Resume {
		m.TooHot = false
	}
	may := timing.Banks & in.Permits.Banks
	if !in.Permits.Emission || !in.Commanded.Contactor || m.TooHot {
		m.Started, m.Roll, m.RollFor = 0, 0, 0
		return 0
	}
	if m.stagger(timing, may) {
		m.Roll, m.RollFor = 0, 0
	} else {
		m.rollCall(timing, may, in.Estimates.RollCall)
	}
	on := hal.FirstBanks(int(m.Started)) & may
	if m.Roll != 0 {
		on &^= hal.Bank(int(m.Roll) - 1)
	}
	return on
}

// stagger starts the banks one after another, so that the meter shows the step
// of each and the mains is spared their inrush together, and reports whether it
// is still at it. Where emission was not permitted they start anew.
func (m *Memory) stagger(timing *Timing, may hal.Banks) bool {
	left := may &^ hal.FirstBanks(int(m.Started))
	if left != 0 && (m.Started == 0 || m.SinceStart >= timing.Stagger) {
		// Banks that are out of service are passed over.
		m.Started = uint8(bits.TrailingZeros16(uint16(left))) + 1
		m.SinceStart = 0
		return true
	}
	return left != 0 || m.SinceStart < timing.Stagger
}

// rollCall leaves one bank after another off for as long as the meter needs to
// show it: now and then, or at once and one right after another where watts are
// missing.
func (m *Memory) rollCall(timing *Timing, may hal.Banks, urgent bool) {
	switch {
	case timing.RollCall <= 0 || may == 0:
	case m.Roll != 0 && (m.RollFor >= timing.RollCall || !may.Has(int(m.Roll)-1)):
		m.Roll, m.RollFor = 0, 0
	case m.Roll == 0 && (m.RollFor >= timing.RollEvery || urgent && m.RollFor >= timing.RollCall):
		m.Roll, m.RollFor = m.turn(may)+1, 0
	}
}

// turn returns the bank whose turn it is.
func (m *Memory) turn(may hal.Banks) uint8 {
	for range 2 {
		if left := may &^ hal.FirstBanks(int(m.RollNext)); left != 0 {
			bank := uint8(bits.TrailingZeros16(uint16(left)))
			m.RollNext = bank + 1
			return bank
		}
		m.RollNext = 0
	}
	return 0
}
