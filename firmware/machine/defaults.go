package machine

import (
	"time"

	"periph.io/x/conn/v3/physic"
)

// What a machine file may leave out, and what counts then. Nothing here is a
// safety limit. Besides these: a table [heater] that is missing means no heater,
// [liquid] water alone, [board] no watchdog and no priority, [delays] and its keys the delay of the protective
// function's table, [[wiring]] a machine that is only simulated, [probe.bath_b]
// and [probe.cabinet] not fitted. A fan is required unless the file says not.
const (
	defaultTick    = 100 * time.Millisecond
	defaultStagger = 2 * time.Second
	defaultBits    = 12 // the finest resolution of a digital thermometer
	defaultBaud    = 9600
	defaultParity  = "even" // the serial line default of Modbus
	defaultOrder   = "ABCD" // high word first
	defaultForm    = "float32"
	defaultTable   = "input"
)

// What the interlock is told that no machine file states. They are properties of
// the parts and of the method, not of one tank.
const (
	// A working probe near a bath or a cabinet reads within these.
	probeLow  = physic.ZeroCelsius - 10*physic.Celsius
	probeHigh = physic.ZeroCelsius + 110*physic.Celsius
	// A 1-Wire digital thermometer shows 85 degC after its power returns.
	powerOnValue = physic.ZeroCelsius + 85*physic.Celsius
	// Two steps of the coarsest resolution, for noise.
	probeStep = physic.Kelvin
	// A hold's permit comes back this far under its limit.
	holdHysteresis = 500 * physic.MilliKelvin
	// Emission is stopped this far above the recipe's limit.
	emissionAbove = 2 * physic.Kelvin
	// Tach counts are taken over at most a second.
	tachMaxAge = 1500 * time.Millisecond
	// The mains must be this far inside its limits again.
	mainsReturn = 2 * physic.Volt
	// Watts over everything commanded that are put down to tolerance: this
	// many, and this many thousandths of the load.
	unexplained = 40 * physic.Watt
	tolerance   = 100
	// A mains voltage is never the same for this long.
	meterFrozen = 60 * time.Second
	// Contactors, relays and a driver's soft start take this long to settle,
	// besides the two readings of the meter.
	loadSettles = 300 * time.Millisecond
	// A bath under a flash point must stay this far under it: the mist of an
	// emitting bath and local heating at the heater are warmer than the probes
	// say. Own choice, more careful than none; not from a standard.
	flashMargin = 15 * physic.Kelvin
)

// settle returns how long after a change of load the meter shows the new one.
func (m *Machine) settle() time.Duration { return 2*m.Meter.Refresh + loadSettles }
