package machine

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// Machine is one tank with its cabinet, as its machine file describes it.
type Machine struct {
	// Name is what its owner calls the tank.
	Name string
	// Fingerprint is the SHA-256 of the machine file, in hexadecimal.
	Fingerprint string
	// Source is the machine file as it was read.
	Source []byte

	Tank   Tank
	Liquid Liquid
	Mains  Mains
	Heater Heater
	Banks  []Bank
	Fans   []Fan
	Probes [hal.MaxProbes]Probe
	Meter  Meter
	// Contacts are the switches that are fitted.
	Contacts Contacts
	Limits   Limits
	Timings  Timings
	Wiring   Wiring
	Control  Control
	Board    Board
	// Delays are how long each protective function's cause must stand.
	Delays [interlock.FunctionCount]time.Duration
}

// Tank is the geometry of the inside of the tank.
type Tank struct {
	Length, Width, Depth physic.Distance
	// Fill is the usual height of the liquid, Minimum the least.
	Fill, Minimum physic.Distance
	// Wall is the thickness of the steel.
	Wall physic.Distance
	// Lid says that there is a lid.
	Lid bool
}

// Liquid is what the tank is filled with.
type Liquid struct {
	// Water is how many parts of water go with one part of detergent
	// concentrate; 0 for water alone.
	Water int
	// FlashPoint is that of a solvent in the bath; 0 K for a water-based
	// liquid. A machine with a flash point under its bath limit is refused.
	FlashPoint physic.Temperature
}

// Mains is the supply.
type Mains struct {
	Nominal   physic.ElectricPotential
	Low, High physic.ElectricPotential
	Frequency physic.Frequency
	// Outlet is the rating of the outlet's circuit.
	Outlet physic.ElectricCurrent
}

// Heater is the bath's heater; Power is 0 where none is fitted.
type Heater struct {
	Power physic.Power // from the mains at its nominal voltage
}

// Bank is the emitters on one driver.
type Bank struct {
	Emitters  int
	Emitter   physic.Power     // ultrasonic rating of each emitter
	Draw      physic.Power     // what a healthy bank takes from the mains at its nominal voltage
	Frequency physic.Frequency // of the emitters
}

// Fan is a cabinet fan with a tach.
type Fan struct {
	Nominal, Minimum hal.RotationalSpeed
	Pulses           int          // of the tach, per revolution
	Draw             physic.Power // at nominal speed
	Required         bool         // whether emission needs it
}

// Probe is a temperature probe.
type Probe struct {
	Fitted  bool
	Kind    string // one of ProbeKinds
	Address string // on its bus, where it has one: 28-0123456789ab
	Bits    int    // resolution of a digital thermometer, 9 to 12
}

// Meter is the mains power meter.
type Meter struct {
	Kind       string        // one of MeterKinds
	Port       string        // serial port or line that it is on, empty where not stated
	Address    int           // on its bus; 0 for a meter without one
	Baud       int           // of the serial port
	Parity     string        // "none", "even" or "odd"
	Registers  []Register    // what to read from a Modbus meter; may be empty
	Pulses     int           // of a pulse meter, per kilowatt-hour
	Refresh    time.Duration // time between two measurements
	Resolution physic.Power  // smallest step of its watts
	Volts      bool          // whether it reports the mains voltage
	Max        physic.Power  // the most it can sensibly show
	// Standby is what the cabinet takes with everything commanded off.
	Standby physic.Power
}

// Register is one quantity of a Modbus meter.
type Register struct {
	Quantity string // "watts", "volts", "amperes" or "hertz"
	Number   int    // address as the wire has it, from 0
	Table    string // "input" or "holding"
	Form     string // "float32", "uint16", "int16", "uint32" or "int32"
	Order    string // of the four bytes: "ABCD", "CDAB", "BADC" or "DCBA"
	Divide   int    // what the raw number is divided by, 1 or more
}

// Contacts are the switches that are fitted. The stop loop always is.
type Contacts struct {
	Float, Lid, Leak, Aux bool
	// HeatSwitches are thermal switches on the drivers' heat sinks, in the stop
	// loop: they open the contactor without any program.
	HeatSwitches bool
}

// Limits are what the cabinet must stay within.
type Limits struct {
	Bath, Cabinet, CabinetCool physic.Temperature
	// TachSilent is the most that the tach of a standing fan may report.
	TachSilent hal.RotationalSpeed
	// ProbesApart is how far two bath probes may differ.
	ProbesApart physic.Temperature
	// ProbeRate is the fastest believable change of a probe, per second.
	ProbeRate physic.Temperature
	// Emission is the longest continuous emission.
	Emission time.Duration
	// BankShort is the share of its baseline under which a bank is short, in
	// thousandths.
	BankShort int64
}

// Timings are the times of the loop and of every session.
type Timings struct {
	// Tick < Deadline < Lease < Watchdog < Hazard is checked when the file is
	// read. Hazard is the tolerable time of the fastest hazard.
	Tick, Deadline, Lease, Watchdog, Hazard time.Duration

	Purge, Watch, Stagger, PreheatMax, HoldMax, RunOnLeast, RunOnMost time.Duration
}

// Control is what may be asked of the machine from where.
type Control struct {
	// Start and Reset say where a start and a reset must come from: "button" at
	// the cabinet, or "socket" for a command as well.
	Start, Reset string
	// Recipe is that of the START button where none has been selected; empty for
	// the first of the recipes that the program is started with.
	Recipe string
	// Confirm is how long a recipe that was selected by a command waits for the
	// START button.
	Confirm time.Duration
}

// Wiring names the lines of the board: what is wired to where.
type Wiring struct {
	Lines []Line
}

// Line is one line of the board.
type Line struct {
	Signal string // one of Machine.Signals: "contactor", "bank 1", "fan 2 tach"
	Chip   string // label of the GPIO chip
	Offset int    // of the line on the chip
	Active string // "high" or "low"
	// Bias is the resistor that the chip itself connects to an input: "up", "down"
	// or "off"; empty for an output.
	Bias string
}

// Board is what the board itself has.
type Board struct {
	Watchdog string // path of its watchdog device, empty for none
	Priority int    // real-time priority of the loop, 0 for none, up to 99
}
