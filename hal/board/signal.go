package board

import (
	"strconv"
	"strings"

	"bathtender/hal"
)

// role is what a line is for.
type role uint8

const (
	roleContactor role = iota + 1
	roleFans
	roleHeater
	roleBank
	roleHeartbeat
	roleSounder
	roleLamp

	roleStop
	roleFloat
	roleLid
	roleLeak
	roleAux
	roleStart
	roleReset

	roleTach
	roleMeterPulses
)

// isOutput reports whether lines of the role are driven, hasEdges whether their
// edges count.
func (r role) isOutput() bool { return r <= roleLamp }
func (r role) hasEdges() bool { return r >= roleTach }

// Signals that a line can carry, besides "bank 1" and "fan 1 tach" and so on.
const (
	Contactor    = "contactor"
	Fans         = "fans"
	Heater       = "heater"
	Heartbeat    = "heartbeat"
	Sounder      = "sounder"
	Lamp         = "lamp"
	StopLoop     = "stop loop"
	FloatSwitch  = "float switch"
	LidSwitch    = "lid switch"
	LeakSensor   = "leak sensor"
	ContactorAux = "contactor aux"
	StartButton  = "start button"
	ResetButton  = "reset button"
	MeterPulses  = "meter pulses"
)

var roles = map[string]role{
	Contactor: roleContactor, Fans: roleFans, Heater: roleHeater,
	Heartbeat: roleHeartbeat, Sounder: roleSounder, Lamp: roleLamp,
	StopLoop: roleStop, FloatSwitch: roleFloat, LidSwitch: roleLid, LeakSensor: roleLeak,
	ContactorAux: roleAux, StartButton: roleStart, ResetButton: roleReset, MeterPulses: roleMeterPulses,
}

// signal is what a line carries: a role, and the place from 0 of a bank or a fan.
type signal struct {
	role  role
	place int
}

// signalOf returns the signal of a name, and whether there is one.
func signalOf(name string) (signal, bool) {
	if r, ok := roles[name]; ok {
		return signal{role: r}, true
	}
	if number, ok := strings.CutPrefix(name, "bank "); ok {
		return numbered(roleBank, number, hal.MaxBanks)
	}
	if number, ok := strings.CutPrefix(name, "fan "); ok {
		if number, ok := strings.CutSuffix(number, " tach"); ok {
			return numbered(roleTach, number, hal.MaxFans)
		}
	}
	return signal{}, false
}

func numbered(r role, number string, most int) (signal, bool) {
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > most || strconv.Itoa(n) != number {
		return signal{}, false
	}
	return signal{role: r, place: n - 1}, true
}

// commanded returns whether outputs have the signal on.
func (s signal) commanded(o hal.Outputs) bool {
	switch s.role {
	case roleContactor:
		return o.Contactor
	case roleFans:
		return o.Fans
	case roleHeater:
		return o.Heater
	case roleBank:
		return o.Banks.Has(s.place)
	case roleHeartbeat:
		return o.Heartbeat
	case roleSounder:
		return o.Sounder
	case roleLamp:
		return o.Lamp
	default:
		return false
	}
}

// contact returns the contact of a signal, nil for one that is none.
func (s signal) contact(c *hal.Contacts) *hal.Contact {
	switch s.role {
	case roleStop:
		return &c.StopClosed
	case roleFloat:
		return &c.LevelOK
	case roleLid:
		return &c.LidClosed
	case roleLeak:
		return &c.LeakDry
	case roleAux:
		return &c.ContactorAux
	default:
		return nil
	}
}
