package machine

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/interlock"
)

// weldedFunctions see a relay that did not open, while the closed contactor is
// watched with everything else off.
var weldedFunctions = []interlock.Function{interlock.HeaterWillNotStop, interlock.BankWillNotStop}

// load returns the watts of everything on at nominal mains.
func (m *Machine) load() physic.Power {
	return m.Meter.Standby + m.Heater.Power + m.bankPower() + m.fanPower()
}

func (m *Machine) bankPower() (sum physic.Power) {
	for _, bank := range m.Banks {
		sum += bank.Draw
	}
	return sum
}

// emitterPower returns the ultrasonic rating of all emitters.
func (m *Machine) emitterPower() (sum physic.Power) {
	for _, bank := range m.Banks {
		sum += physic.Power(bank.Emitters) * bank.Emitter
	}
	return sum
}

func (m *Machine) fanPower() (sum physic.Power) {
	for _, fan := range m.Fans {
		sum += fan.Draw
	}
	return sum
}

// current returns the amperes of a load; milliwatts and millivolts keep the
// arithmetic inside 64 bits.
func current(load physic.Power, volts physic.ElectricPotential) physic.ElectricCurrent {
	millivolts := int64(volts / physic.MilliVolt)
	if millivolts <= 0 {
		return 0
	}
	return physic.ElectricCurrent(int64(load/physic.MilliWatt) * 1e6 / millivolts * int64(physic.MicroAmpere))
}

// meterMax returns the most that a meter can sensibly show where a file does not
// say: the outlet's whole rating at the highest mains, or twice the load where
// that is more.
func meterMax(mains *Mains, load physic.Power) physic.Power {
	volts, amperes := int64(mains.High/physic.MilliVolt), int64(mains.Outlet/physic.MilliAmpere)
	return max(physic.Power(volts*amperes)*physic.MicroWatt, 2*load)
}
