package plant

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// Config is one tank with its cabinet in numbers. FromMachine makes one from a
// machine; its fields can then be changed to look at one effect alone.
type Config struct {
	Tank    TankConfig
	Heater  HeaterConfig
	Banks   int
	Bank    [hal.MaxBanks]BankConfig
	Driver  DriverConfig
	Fans    int
	Fan     [hal.MaxFans]FanConfig
	Cabinet CabinetConfig
	Supply  SupplyConfig
	Meter   MeterConfig
	Probe   [hal.MaxProbes]ProbeConfig
	Lag     LagConfig
	Contact ContactConfig
	Board   BoardConfig
}

// TankConfig is the tank: lengths in m, of the inside.
type TankConfig struct {
	Length, Width, Depth float64
	// Fill is the usual height of the liquid, Minimum the least.
	Fill, Minimum float64
	// Steel is the heat capacity of the tank itself in J/K. The steel is thin
	// and wet, so it has the temperature of the bath.
	Steel float64
	// Emissivity is that of the walls, 0 to 1.
	Emissivity float64
	// Fittings is the heat that drain pipe, supports and rim conduct to the
	// room, in W/K.
	Fittings float64
	// WallLoss, SurfaceLoss and Vapour scale what walls and floor, the surface
	// and evaporation lose: 1 as computed, 0 nothing.
	WallLoss, SurfaceLoss, Vapour float64
}

// HeaterConfig is the bonded heater: a pad on a part of the wall, its plate.
type HeaterConfig struct {
	Power float64 // W at nominal mains; 0 for no heater
	Plate float64 // heat capacity of pad and plate, J/K
	// Wet and Dry are what the plate conducts to the bath, and to the bare
	// steel around it, in W/K; Air what its back loses to the room.
	Wet, Dry, Air float64
	// Bottom and Top are the heights that the plate reaches from and to, in m:
	// the liquid between them is what it heats.
	Bottom, Top float64
}

// BankConfig is one bank: its driver's windings and its emitters' joints.
type BankConfig struct {
	Emitters int
	Draw     float64 // W at nominal mains, all emitters wet and well
	// Winding is the heat capacity of the driver's windings in J/K; Still and
	// Blown what they pass to the cabinet's air in W/K, without air movement
	// and with all fans at their nominal speed.
	Winding, Still, Blown float64
	// Joint is the heat capacity of emitters and bonded joints in J/K; JointWet
	// and JointDry what they pass to the tank in W/K with and without liquid
	// above, JointAir what they pass to the cabinet's air.
	Joint, JointWet, JointDry, JointAir float64
}

// DriverConfig says where the watts of a driver go; all are shares.
type DriverConfig struct {
	Loss     float64 // of the draw, lost in the driver
	Windings float64 // of that loss, in the windings
	// Bond is the share of what reaches the emitters that turns to heat in
	// them, BondDry the same without liquid.
	Bond, BondDry float64
	// Unloaded is what a bank without liquid draws, of its loaded draw.
	Unloaded float64
}

// FanConfig is one cabinet fan.
type FanConfig struct {
	Speed  float64 // nominal, rpm
	Pulses int     // of the tach, per revolution
	Draw   float64 // W at nominal speed
	Flow   float64 // m3/s through the cabinet at nominal speed
}

// CabinetConfig is the cabinet itself.
type CabinetConfig struct {
	Heat    float64 // capacity of its air, sheets and boards, J/K
	Shell   float64 // what its sheets pass to the room, W/K
	Standby float64 // W with everything commanded off
}

// SupplyConfig is the mains.
type SupplyConfig struct {
	Volts     float64 // nominal
	Frequency float64 // Hz
}

// MeterConfig is the power meter.
type MeterConfig struct {
	Refresh  time.Duration            // between two measurements, each over all of it
	Watts    physic.Power             // smallest step
	VoltStep physic.ElectricPotential // smallest step
	Volts    bool                     // whether it reports the mains voltage
}

// ProbeConfig is one 1-Wire digital thermometer.
type ProbeConfig struct {
	Fitted bool
	Bits   int // resolution, 9 to 12
	// Reach is the height over the floor in m down to which a bath probe is in
	// the liquid.
	Reach float64
}

// LagConfig is how slowly things follow, as time constants in s of 0.1 or more.
type LagConfig struct {
	ProbeLiquid  float64 // a bath probe in the bath
	ProbeAir     float64 // a bath probe in air
	ProbeCabinet float64 // the cabinet probe
	FanUp        float64 // a fan that starts
	FanDown      float64 // a fan that coasts
}

// ContactConfig says which contacts are fitted and where they act.
type ContactConfig struct {
	Float, Lid, Leak, Aux bool
	// FloatOpens and FloatCloses are the levels in m at which the float switch
	// acts; Slosh how far waves move the float each way while anything emits.
	FloatOpens, FloatCloses, Slosh float64
	// HeatOpens and HeatCloses are the temperatures of the windings in K at which
	// the thermal switches on the heat sinks act; 0 for none.
	HeatOpens, HeatCloses float64
	// Puddle is the water on the floor, in litres, that wets the leak sensor.
	Puddle float64
	// PickUp and DropOut are the delays of contactor and relays.
	PickUp, DropOut time.Duration
}

// BoardConfig is the board between supervisor and relays.
type BoardConfig struct {
	// Lease is how long outputs last without a Write; Watchdog how long
	// without FeedWatchdog, and how long the relay in the contactor's coil
	// circuit holds without a change of Heartbeat.
	Lease, Watchdog time.Duration
	// StopInCoil says that the stop loop breaks the contactor's coil circuit,
	// whatever the outputs say; HeartbeatInCoil that the heartbeat's relay does.
	StopInCoil, HeartbeatInCoil bool
}
