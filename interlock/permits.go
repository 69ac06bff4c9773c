package interlock

import "bathtender/hal"

// Permits is what may be switched on at this tick. The zero Permits is nothing.
type Permits struct {
	Contactor, Heater, Emission, Start bool
	// Banks are the banks that may be on, once Emission is permitted.
	Banks hal.Banks
	// Tripped is what latched functions take away. A session that has lost
	// what it needs to a trip is over; one that is held waits.
	Tripped Effect
}

// Allow returns the wanted outputs cut down to what is permitted. Fans, sounder
// and lamp need no permit.
func (p Permits) Allow(want hal.Outputs) hal.Outputs {
	out := want
	out.Contactor = want.Contactor && p.Contactor
	out.Heater = want.Heater && p.Heater && out.Contactor
	if !p.Emission || !out.Contactor {
		out.Banks = 0
	}
	out.Banks &= p.Banks
	return out
}
