package hal

import (
	"time"

	"periph.io/x/conn/v3/physic"
)

// The most of each kind that one cabinet can have.
const (
	MaxFans   = 8
	MaxBanks  = 16
	MaxProbes = 3
)

// The places of the temperature probes in Snapshot.Probes.
const (
	BathA = iota
	BathB
	Cabinet
)

// Snapshot is all that the cabinet says at one moment. Time is the monotonic
// time since the program's start; it is the only clock that the supervisor has.
type Snapshot struct {
	Time     time.Duration
	Probes   [MaxProbes]Reading[physic.Temperature]
	Fans     [MaxFans]Reading[RotationalSpeed]
	Meter    Meter
	Contacts Contacts
	// OutputsOK says that the board read back every output line and found it
	// as the last tick had commanded it.
	OutputsOK bool
	// RecordOK says that the journal can be made durable. It is not the
	// board's to know: whoever drives the loop fills it in.
	RecordOK bool
	// KeptOK says that what was kept from the run before, the lockouts above
	// all, has been read, or has been stored anew since. Whoever drives the
	// loop fills it in too.
	KeptOK bool
}

// Meter is the mains power meter of the whole cabinet, upstream of the main
// contactor. Only Watts is fitted on every machine.
type Meter struct {
	Volts     Reading[physic.ElectricPotential]
	Watts     Reading[physic.Power]
	Amperes   Reading[physic.ElectricCurrent]
	Frequency Reading[physic.Frequency]
}

// Contacts are the switches of the cabinet, each wired so that closed is the
// safe state. A contact has no age: it is sampled with the snapshot or not at
// all.
type Contacts struct {
	LevelOK      Contact // float switch: closed while the liquid is above the minimum
	LidClosed    Contact // lid switch
	StopClosed   Contact // stop loop: closed while no stop button is pressed
	LeakDry      Contact // leak sensor: closed while dry
	ContactorAux Contact // mirror contact of the main contactor: closed while that is closed
}

// Contact is the state of a switch. Open, broken and absent must all be judged
// as not safe; only Closed is safe.
type Contact uint8

// States of a contact.
const (
	Absent Contact = iota // not fitted, or could not be read
	Open
	Closed
)

// ContactOf returns Closed for true and Open for false.
func ContactOf(closed bool) Contact {
	if closed {
		return Closed
	}
	return Open
}

// String returns "absent", "open" or "closed".
func (c Contact) String() string {
	switch c {
	case Open:
		return "open"
	case Closed:
		return "closed"
	default:
		return "absent"
	}
}
