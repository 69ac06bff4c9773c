package plant

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// meter is the power meter ahead of the contactor. It shows the mean over the
// last whole refresh period.
type meter struct {
	joules, voltSeconds, seconds float64
	since                        time.Duration // since the last reading
	watts                        hal.Reading[physic.Power]
	volts                        hal.Reading[physic.ElectricPotential]
}

// measure adds h s of so many watts and volts.
func (m *meter) measure(watts, volts, h float64) {
	m.joules += float64(watts * h)
	m.voltSeconds += float64(volts * h)
	m.seconds += h
}

// step ends a refresh period where its time has come.
func (m *meter) step(step time.Duration, c *MeterConfig, f *Faults) {
	m.since += step
	m.watts.Age += step
	m.volts.Age += step
	if m.since < c.Refresh+late(f.MeterLate) {
		return
	}
	m.since %= c.Refresh
	m.watts.Age, m.volts.Age = m.since, m.since
	if f.MeterFrozen || !(m.seconds > 0) {
		return
	}
	if f.MeterGarbage {
		m.watts.Value, m.watts.Valid = 6553500*physic.MilliWatt, true // all ones, in tenths of a watt
		m.volts.Value, m.volts.Valid = 6553500*physic.MilliVolt, c.Volts
		m.joules, m.voltSeconds, m.seconds = 0, 0, 0
		return
	}
	scale := max(0, 1+f.MeterScale)
	m.watts = hal.Aged(physic.Power(steps(m.joules/m.seconds*scale, watts(c.Watts)))*c.Watts, m.since)
	if c.Volts {
		step := float64(c.VoltStep) / float64(physic.Volt)
		m.volts = hal.Aged(physic.ElectricPotential(steps(m.voltSeconds/m.seconds, step))*c.VoltStep, m.since)
	}
	m.joules, m.voltSeconds, m.seconds = 0, 0, 0
}

func late(seconds float64) time.Duration {
	return time.Duration(max(seconds, 0) * float64(time.Second))
}

// steps returns the nearest whole number of steps to a value of 0 or more.
func steps(value, step float64) int64 { return int64(value/step + 0.5) }
