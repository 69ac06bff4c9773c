package machine

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// Interlock returns the machine as the protective functions see it.
func (m *Machine) Interlock() interlock.Config {
	return interlock.Config{
		Tick: m.Timings.Tick, Deadline: m.Timings.Deadline, Delay: m.Delays,
		Fans: m.fanConfig(), Probes: m.probeConfig(), Power: m.powerConfig(),
		VolumeMinimum: m.Volume(m.Tank.Minimum), EmissionMax: m.Limits.Emission,
		FloatFitted: m.Contacts.Float, LidFitted: m.Contacts.Lid,
		LeakFitted: m.Contacts.Leak, AuxFitted: m.Contacts.Aux,
	}
}

// Volume returns the liquid in the tank at a height, with nothing else in it.
func (m *Machine) Volume(height physic.Distance) hal.Volume {
	// A cubic millimetre is a microlitre; micrometres keep the tenths of a
	// millimetre that a file may state, and 5 m x 2 m x 1.5 m inside 64 bits.
	const um = physic.MicroMetre
	square := int64(m.Tank.Length/um) * int64(m.Tank.Width/um) / 1e6 // mm2
	return hal.Volume(square * int64(height/um) / 1000)
}

func (m *Machine) fanConfig() interlock.FanConfig {
	c := interlock.FanConfig{Silent: m.Limits.TachSilent, MaxAge: tachMaxAge}
	for i := range min(len(m.Fans), hal.MaxFans) {
		c.Required[i], c.Minimum[i] = m.Fans[i].Required, m.Fans[i].Minimum
	}
	return c
}

func (m *Machine) probeConfig() interlock.ProbeConfig {
	c := interlock.ProbeConfig{
		Low: probeLow, High: probeHigh,
		Rate: m.Limits.ProbeRate, Step: probeStep, MaxAge: probeMaxAge, Apart: m.Limits.ProbesApart,
		BathLimit: m.Limits.Bath, CabinetLimit: m.Limits.Cabinet,
		Hysteresis: holdHysteresis, EmissionAbove: emissionAbove,
	}
	for i, p := range m.Probes {
		c.Fitted[i] = p.Fitted
		if p.Fitted && p.Kind == OneWire {
			c.PowerOn = powerOnValue
		}
	}
	return c
}

func (m *Machine) powerConfig() interlock.PowerConfig {
	c := interlock.PowerConfig{
		Nominal: m.Mains.Nominal, Low: m.Mains.Low, High: m.Mains.High, Return: mainsReturn,
		ReportsVolts: m.Meter.Volts, Banks: min(len(m.Banks), hal.MaxBanks), BankShort: m.Limits.BankShort,
		Heater: m.Heater.Power, Standby: m.Meter.Standby, Fans: m.fanPower(),
		Unexplained: unexplained, Tolerance: tolerance, MeterMax: m.Meter.Max,
		// Three readings missed, and the time of one tick.
		MaxAge: 3*m.Meter.Refresh + m.Timings.Tick,
		Settle: m.settle(), Frozen: meterFrozen,
	}
	for i := range c.Banks {
		c.Bank[i] = m.Banks[i].Draw
	}
	return c
}
