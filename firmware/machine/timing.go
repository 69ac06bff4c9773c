package machine

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/hal"
)

// What every session goes by that no machine file states.
const (
	// A heater relay lives longer when the thermostat's band is some steps of
	// the probe wide.
	thermostatBand = 500 * physic.MilliKelvin
	// A bath that has reached the recipe's limit cools by this much before
	// emission goes on.
	resumeBand = physic.Kelvin
	// Three conversions of the slowest probe resolution.
	probeMaxAge = 2500 * time.Millisecond
	// A bare heater plate of usual make gets to 80 degC in the trial, and shows
	// itself in the pause: its heat goes on arriving long after that of a
	// covered one would have.
	trialHeat, trialPause = 40 * time.Second, 30 * time.Second
	// A roll-call costs each bank less than this part of its emission, in
	// thousandths.
	rollCallCost = 18
)

// Timing returns what a session needs to know of the machine.
func (m *Machine) Timing() recipe.Timing {
	return recipe.Timing{
		Purge: m.Timings.Purge, Watch: m.Timings.Watch, Stagger: m.Timings.Stagger,
		PreheatMax: m.Timings.PreheatMax, HoldMax: m.Timings.HoldMax,
		RunOnLeast: m.Timings.RunOnLeast, RunOnMost: m.Timings.RunOnMost,
		CabinetCool: m.Limits.CabinetCool, Band: thermostatBand, Resume: resumeBand,
		TrialHeat: trialHeat, TrialPause: trialPause,
		RollCall: m.rollCall(), RollEvery: m.rollEvery(),
		ProbeMaxAge: probeMaxAge,
		Banks:       hal.FirstBanks(len(m.Banks)), Heater: m.Heater.Power > 0,
	}
}

// rollCall returns how long a bank must be off for the meter to show it: until
// it has settled, and one more reading.
func (m *Machine) rollCall() time.Duration {
	return m.settle() + m.Meter.Refresh + 2*m.Timings.Tick
}

// rollEvery returns the time between the turns of two banks, such that all
// banks in turn keep the cost down, and each is seen back on before the next.
func (m *Machine) rollEvery() time.Duration {
	off := m.rollCall()
	round := off * 1000 / rollCallCost
	return max(round/time.Duration(max(len(m.Banks), 1)), 2*off) - off
}
