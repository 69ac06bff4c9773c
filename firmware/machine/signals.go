package machine

import (
	"fmt"
)

// Direction says who drives a line.
type Direction string

// The directions of a line.
const (
	DirectionOut Direction = "output"
	DirectionIn  Direction = "input"
)

// Signal is one thing that can be wired to a line of the board.
type Signal struct {
	Name      string
	Direction Direction
	// What is it, in plain words.
	What string
	// Safe is the state that it falls to, or that a broken wire must give.
	Safe string
	// Remark says how it must be wired.
	Remark string
	// Needed says that the machine cannot run on a board without it.
	Needed bool
}

// MeterPulses is the signal of a pulse meter.
const MeterPulses = "meter pulses"

const (
	closedSafe = "normally closed: a closed contact gives high, a broken wire low"
	pullDown   = "a pull-down must hold the line low while the board starts"
)

// Signals returns everything that this machine can have on the board's lines, in
// the order of the wiring table.
func (m *Machine) Signals() []Signal {
	list := []Signal{
		{"contactor", DirectionOut, "coil of the main contactor", "open", pullDown, true},
		{"fans", DirectionOut, "relay of all cabinet fans", "off", "fans may be wired to run when the board is off", true},
	}
	if m.Heater.Power > 0 {
		list = append(list, Signal{"heater", DirectionOut, "relay of the bath heater", "off", pullDown, true})
	}
	for i, bank := range m.Banks {
		list = append(list, Signal{fmt.Sprintf("bank %d", i+1), DirectionOut,
			fmt.Sprintf("relay of driver %d, %d emitters", i+1, bank.Emitters), "off", pullDown, true})
	}
	list = append(list,
		Signal{"heartbeat", DirectionOut, "retriggerable watchdog relay in the coil circuit of the contactor", "no edges", "the relay must drop out when the edges stop at either level", true},
		Signal{"sounder", DirectionOut, "sounder", "silent", "", false},
		Signal{"lamp", DirectionOut, "lamp: a session is running", "dark", "", false},
		Signal{"stop loop", DirectionIn, "all stop buttons in one loop", "open: stop", closedSafe + "; the loop must also break the coil circuit", true},
	)
	for _, contact := range []struct {
		fitted bool
		signal Signal
	}{
		{m.Contacts.Float, Signal{"float switch", DirectionIn, "float switch of the tank", "open: liquid low", closedSafe, true}},
		{m.Contacts.Lid, Signal{"lid switch", DirectionIn, "lid switch", "open: lid open", closedSafe, true}},
		{m.Contacts.Leak, Signal{"leak sensor", DirectionIn, "leak sensor under the tank", "open: wet", closedSafe, true}},
		{m.Contacts.Aux, Signal{"contactor aux", DirectionIn, "mirror contact of the main contactor", "open: contactor open", "closed while the contactor is closed; a mirror contact (IEC 60947-4-1, from memory), not a spare pole", true}},
	} {
		if contact.fitted {
			list = append(list, contact.signal)
		}
	}
	for i, fan := range m.Fans {
		list = append(list, Signal{fmt.Sprintf("fan %d tach", i+1), DirectionIn,
			fmt.Sprintf("tach of fan %d, %d pulses a revolution", i+1, fan.Pulses), "no edges", "open collector: a pull-up to the board's voltage, never to the fan's", true})
	}
	if m.Meter.Kind == PulseMeter {
		list = append(list, Signal{MeterPulses, DirectionIn,
			"pulse output of the meter", "no edges",
			"passive output: a resistor to the board's own voltage, never over 27 V or 27 mA (IEC 62053-31, from memory); a broken wire looks like no load", true})
	}
	return append(list,
		Signal{"start button", DirectionIn, "START button", "not pressed", "normally open to the board's supply; a broken wire is not pressed", false},
		Signal{"reset button", DirectionIn, "RESET button", "not pressed", "normally open to the board's supply; acts when released", false},
	)
}

// bias returns the bias of the signal's line where the file says none: what an open
// wire must read. It is empty for an output.
func (s *Signal) bias() string {
	switch {
	case s.Direction == DirectionOut:
		return ""
	case s.activeHigh():
		return "down"
	default:
		return "up" // an open collector
	}
}

// activeHigh says whether the signal must be wired so that high is active. A
// failed read looks like low, so low must mean not safe, or not pressed.
func (s *Signal) activeHigh() bool {
	switch s.Name {
	case "stop loop", "float switch", "lid switch", "leak sensor", "contactor aux", "start button", "reset button":
		return true
	default:
		return false
	}
}
