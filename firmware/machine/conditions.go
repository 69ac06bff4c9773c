package machine

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/thermal"
	"bathtender/hal/quantity"
)

// Conditions are what a sizing sheet is worked out for.
type Conditions struct {
	// Set is the temperature of the warm bath, Fresh that of a fresh fill.
	Set, Fresh physic.Temperature
	// Air is the temperature of the room, Humidity its relative humidity in
	// thousandths.
	Air      physic.Temperature
	Humidity int64
}

// UsualConditions returns a bath at 60 degC, or 5 K under the machine's bath
// limit where that is less, in a room at 20 degC and 50 % relative humidity, and
// a fresh fill as warm as the room.
func (m *Machine) UsualConditions() Conditions {
	return Conditions{
		Set:   min(celsius(60), m.Limits.Bath-5*physic.Kelvin),
		Fresh: celsius(20), Air: celsius(20), Humidity: 500,
	}
}

// sentence names the conditions in a line of text.
func (c *Conditions) sentence() string {
	return "a bath at " + quantity.FormatTemperature(c.Set) + ", a fresh fill at " + quantity.FormatTemperature(c.Fresh) +
		", air at " + quantity.FormatTemperature(c.Air) + " and " + quantity.FormatShare(c.Humidity) + " humidity"
}

// room returns the air around the tank, moving as slowly as indoors.
func (c *Conditions) room() thermal.Room {
	const draught = 0.1 // m/s
	return thermal.Room{
		Temperature: kelvins(c.Air), Humidity: float64(c.Humidity) / 1000,
		Speed: draught, Under: kelvins(c.Air),
	}
}

// vessel returns the filled tank with its surface agitated by emission or
// convection.
func (m *Machine) vessel(lid bool) thermal.Vessel {
	const brightSteel = 0.1
	return thermal.Vessel{
		Length: metres(m.Tank.Length), Width: metres(m.Tank.Width), Level: metres(m.Tank.Fill),
		Emissivity: brightSteel, LidOn: lid, Activity: thermal.Agitated,
	}
}

func kelvins(t physic.Temperature) float64 { return float64(t) / float64(physic.Kelvin) }
func metres(d physic.Distance) float64     { return float64(d) / float64(physic.Metre) }
func watts(p physic.Power) float64         { return float64(p) / float64(physic.Watt) }
