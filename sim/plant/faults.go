package plant

import "bathtender/hal"

// Faults is all that can be wrong with a plant. The zero Faults is a healthy
// one. Fans, probes and banks count from 0. Each takes effect at the next step
// and goes with it too; what it did to the plant by then remains. Shares outside
// their range are held to it.
type Faults struct {
	FanStalled   [hal.MaxFans]bool    // the rotor is held
	FanSpeedLoss [hal.MaxFans]float64 // share of its speed that the fan lacks, 0 to 1
	TachOpen     [hal.MaxFans]bool    // no pulses
	TachNoise    [hal.MaxFans]bool    // picks the mains up: one pulse each period
	TachStuck    [hal.MaxFans]bool    // shows its last speed for ever
	// AirInletBlocked is the share of the air that does not get in, 0 to 1. The
	// fans turn as before.
	AirInletBlocked float64

	ProbeOpen    [hal.MaxProbes]bool    // no reading
	ProbeFrozen  [hal.MaxProbes]bool    // answers with its last value for ever
	ProbeOffset  [hal.MaxProbes]float64 // K added to what it measures
	ProbePowerOn [hal.MaxProbes]bool    // answers with its power-on value, 85 degC
	ProbeInAir   [hal.MaxProbes]bool    // hangs out of bath or cabinet
	ProbeShorted bool                   // one of them holds the common bus down: none answers
	ProbeBusLoss float64                // share of the conversions that get lost on the bus, 0 to 1

	MeterSilent bool    // no reading
	MeterFrozen bool    // answers with its last values for ever
	MeterScale  float64 // share that its watts are too high by, -1 or more
	// MeterGarbage has it answer with what no mains can be, MeterLate is by how
	// many s each of its answers comes late.
	MeterGarbage bool
	MeterLate    float64

	HeaterWelded bool // its relay is closed, whatever is commanded
	HeaterOpen   bool // its element is broken
	// HeaterLoss is the share of its power that the heater lacks, 0 to 1: one
	// of several elements is broken.
	HeaterLoss     float64
	HeaterDetached bool // the pad has come off the tank

	BankDead     [hal.MaxBanks]bool // its driver takes nothing
	EmittersDead [hal.MaxBanks]int  // how many of its emitters take nothing
	// EmittersLoose is how many have come off the tank, and heat themselves.
	EmittersLoose [hal.MaxBanks]int
	BankWelded    [hal.MaxBanks]bool // its relay is closed, whatever is commanded
	// BankShorted has its driver short its supply until its fuse blows, which
	// stays so.
	BankShorted [hal.MaxBanks]bool
	BankDrift   [hal.MaxBanks]float64 // share that its draw is too high by, -1 or more

	ContactorWelded    bool // its main contacts are closed, whatever is commanded
	ContactorWontClose bool // its main contacts stay open; counts before welded
	AuxStuck           Stuck

	LeakRate  float64 // litres a minute from the tank to the floor, 0 or more
	DrainRate float64 // litres a minute down the drain, 0 or more
	PourRate  float64 // litres a minute poured in, 0 or more
	// PourTemperature is that of what is poured in, in K; 0 for the room's.
	PourTemperature float64

	FloatStuck     Stuck // the float switch
	LidOpen        bool  // somebody took the lid off
	LidSensorStuck bool  // the lid switch says closed for ever
	LidSensorOpen  bool  // the lid switch or its wire is broken
	StopOpen       bool  // a stop button is pressed or the loop is broken
	// StopBridged says that the stop loop is bridged: no button opens it.
	StopBridged     bool
	LeakSensorOpen  bool // the leak sensor or its wire is broken
	LeakSensorStuck bool // the leak sensor says dry for ever
	// Draught is the speed of the air over the bath in m/s where it is not 0.
	Draught float64

	// MainsVolts replaces the mains voltage where it is not 0; MainsOut takes
	// the mains away.
	MainsVolts float64
	MainsOut   bool
	// MainsDip is for how long in s the mains goes away once, when this is set.
	MainsDip float64

	// HeartbeatWelded says that the relay which the heartbeat holds stays closed,
	// LeaseStuck that outputs no longer fall off when nothing renews them.
	HeartbeatWelded bool
	LeaseStuck      bool

	// What follows is the board's and its owner's; whoever drives the loop makes
	// it so. TickLate is by how many s each tick comes late. A stopped program
	// does not tick and goes on later, a killed one is started anew when this
	// ends. ResetHeld has somebody lean on the reset button.
	TickLate       float64
	ProgramStopped bool
	ProgramKilled  bool
	ResetHeld      bool

	RecordBad  bool // the journal cannot be made durable
	KeptBad    bool // what was kept from the run before cannot be read
	OutputsBad bool // an output line reads back other than commanded
}

// Stuck is a switch that no longer moves.
type Stuck uint8

// How a switch is stuck.
const (
	NotStuck Stuck = iota
	StuckOK        // closed, the safe state, for ever
	StuckLow       // open for ever
)
