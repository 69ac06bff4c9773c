package bench

import (
	"fmt"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/quantity"
)

// dial is what a knob is marked with: how its value is read and shown, and how
// far the sensor behind it can go.
type dial struct {
	parse     func(string) (int64, error)
	format    func(int64) string
	low, high int64
	example   string
}

func dialOf[Q ~int64](k quantity.Kind[Q], low, high Q) dial {
	return dial{
		parse:  func(text string) (int64, error) { q, err := k.Parse(text); return int64(q), err },
		format: func(q int64) string { return k.Format(Q(q)) },
		low:    int64(low), high: int64(high), example: k.Example(),
	}
}

// dial returns the dial of a point that is a number. The ranges are what the
// sensor can say, not what is good.
func (p point) dial(m *machine.Machine) dial {
	degC := func(low, high physic.Temperature) dial {
		return dialOf(quantity.Temperature, physic.ZeroCelsius+low*physic.Kelvin, physic.ZeroCelsius+high*physic.Kelvin)
	}
	switch p.kind {
	case probe:
		switch m.Probes[p.place].Kind {
		case "Pt100", "Pt1000":
			return degC(-200, 850) // the range of IEC 60751, from memory
		case "NTC thermistor":
			return degC(-80, 300) // own choice: no table of a thermistor goes further
		default:
			return degC(-55, 125) // of 1-Wire digital thermometers, from makers' data
		}
	case fan:
		return dialOf(quantity.Speed, 0, 100000*hal.RPM) // pulses have no sign
	case mains:
		return dialOf(quantity.Voltage, -1000*physic.Volt, 1000*physic.Volt)
	case watts:
		return dialOf(quantity.Power, -50*physic.KiloWatt, 50*physic.KiloWatt)
	default:
		return dialOf(quantity.Power, 0, 20*physic.KiloWatt) // a dummy load
	}
}

// check says that a value is beyond what the sensor can say.
func (d *dial) check(p point, text string, value int64) error {
	if value >= d.low && value <= d.high {
		return nil
	}
	verb := "read"
	if p.kind == heater || p.kind == bank {
		verb = "take"
	}
	return fmt.Errorf("%s cannot %s %s, allowed is %s to %s", p, verb, quantity.Quote(text), d.format(d.low), d.format(d.high))
}

// ageMost is the oldest that a reading can be set to.
const ageMost = 24 * time.Hour
