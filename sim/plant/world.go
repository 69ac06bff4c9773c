package plant

import "bathtender/firmware/thermal"

// World is what is around a tank and what it starts from. All temperatures are
// in K.
type World struct {
	Room     float64 // temperature of the room's air
	Humidity float64 // relative, 0 to 1
	AirSpeed float64 // over the bath, m/s

	Volts float64 // of the mains, its long mean
	// Wander is the standard deviation in V of the slow wander of the mains
	// about its mean; Noise that of its noise from one tenth of a second to the
	// next.
	Wander, Noise float64
	// LidOn says that the lid is on the tank.
	LidOn bool

	// From here on read by New only.

	Bath   float64 // temperature of the bath, steel and emitters at the start
	Litres float64 // in the tank at the start
	// ProbeSpread is the largest error that a probe was made with, in K; each
	// gets its own, drawn once.
	ProbeSpread float64
	// Seed gives all noise.
	Seed uint64
}

// Workshop returns a usual world: a room of 20 degC and 50 % relative humidity,
// the mains at its nominal voltage, and the tank filled to its usual height with
// water of 20 degC, lid on where there is one.
func (c *Config) Workshop(seed uint64) World {
	const room = thermal.ZeroCelsius + 20
	return World{
		Room: room, Humidity: 0.5, AirSpeed: 0.1,
		Volts: c.Supply.Volts, Wander: 1.5, Noise: 0.3,
		LidOn: c.Contact.Lid,
		Bath:  room, Litres: 1000 * c.Tank.Length * c.Tank.Width * c.Tank.Fill,
		ProbeSpread: 0.2, Seed: seed,
	}
}
