package bench

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// read takes a snapshot of the knobs.
func (b *Bench) read() {
	s := &b.Snapshot
	*s = hal.Snapshot{Time: b.now}
	for i := range b.probes {
		s.Probes[i] = reading[physic.Temperature](&b.probes[i])
	}
	for i := range b.Machine.Fans {
		s.Fans[i] = reading[hal.RotationalSpeed](&b.fans[i])
	}
	s.Meter.Volts = reading[physic.ElectricPotential](&b.mains)
	s.Meter.Watts = reading[physic.Power](&b.watts)
	s.Contacts = hal.Contacts{
		LevelOK: b.contacts[level].state, LidClosed: b.contacts[lid].state, StopClosed: b.contacts[stopLoop].state,
		LeakDry: b.contacts[leak].state, ContactorAux: b.contacts[aux].state,
	}
	s.RecordOK, s.KeptOK, s.OutputsOK = b.assents[journal], b.assents[kept], b.assents[lines]
}

func reading[Q ~int64](a *analog) hal.Reading[Q] {
	if !a.valid {
		return hal.Reading[Q]{}
	}
	return hal.Aged(Q(a.value), a.age)
}
