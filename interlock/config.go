package interlock

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// Config is one cabinet as the protective functions see it: what is fitted,
// and the limits. It holds integers only, can be compared, and is made from the
// machine file. The zero Config permits nothing.
type Config struct {
	// Tick is the period of the loop; Deadline the longest time from one tick
	// to the next that still counts as on time.
	Tick, Deadline time.Duration
	// Delay is how long each function's cause must stand.
	Delay [FunctionCount]time.Duration

	Fans   FanConfig
	Probes ProbeConfig
	Power  PowerConfig

	// VolumeMinimum is the least liquid that heater and emitters may run in.
	VolumeMinimum hal.Volume
	// EmissionMax is the longest continuous emission, pauses not counted.
	EmissionMax time.Duration
	// Fitted contacts. The stop loop is always fitted.
	FloatFitted, LidFitted, LeakFitted, AuxFitted bool
}

// FanConfig describes the fans and their tachs.
type FanConfig struct {
	// Required marks the fans that must turn before and while anything emits.
	Required [hal.MaxFans]bool
	// Minimum is the speed that counts as moving air, per fan.
	Minimum [hal.MaxFans]hal.RotationalSpeed
	// Silent is the most that a standing fan's tach may report.
	Silent hal.RotationalSpeed
	// MaxAge is the oldest tach reading that still counts.
	MaxAge time.Duration
}

// ProbeConfig describes the temperature probes: hal.BathA, hal.BathB, hal.Cabinet.
type ProbeConfig struct {
	Fitted [hal.MaxProbes]bool
	// Low and High bound what a working probe can read.
	Low, High physic.Temperature
	// PowerOn is the value that the probe shows before its first conversion,
	// never taken for a reading; 0 K for none.
	PowerOn physic.Temperature
	// Rate is the fastest change that a bath can make, per second. Step is
	// added to it for resolution and noise.
	Rate, Step physic.Temperature
	// MaxAge is the oldest reading that still counts.
	MaxAge time.Duration
	// Apart is how far the two bath probes may differ.
	Apart physic.Temperature
	// BathLimit is the machine's high limit, CabinetLimit that of the
	// cabinet's air.
	BathLimit, CabinetLimit physic.Temperature
	// Hysteresis is how far under a hold's limit the bath must fall before the
	// permit comes back. EmissionAbove is how far over the recipe's limit
	// emission is stopped too.
	Hysteresis, EmissionAbove physic.Temperature
}

// PowerConfig describes the mains, the meter and what each load takes.
type PowerConfig struct {
	// Nominal is the voltage that Heater and Bank are stated at.
	Nominal physic.ElectricPotential
	// Low and High are the limits of the mains; Return is how far inside them
	// it must be before the permit comes back.
	Low, High, Return physic.ElectricPotential
	// ReportsVolts says whether the meter reads volts; without, loads are not
	// corrected for the mains and "mains out of range" does not apply.
	ReportsVolts bool
	// Banks is how many banks there are; Bank the watts each takes from the
	// mains, its baseline; Heater the same of the heater, 0 for none; Standby
	// what the cabinet takes with everything commanded off. BankShort is the
	// part of its baseline, in thousandths, under which a bank is short.
	Banks     int
	Bank      [hal.MaxBanks]physic.Power
	BankShort int64
	Heater    physic.Power
	Standby   physic.Power
	// Fans is what the fans take from the mains at full speed.
	Fans physic.Power
	// Unexplained is how many watts over everything commanded are still put
	// down to tolerance, besides Tolerance thousandths of the load.
	Unexplained physic.Power
	Tolerance   int64
	// MeterMax is the most that the meter can sensibly show.
	MeterMax physic.Power
	// MaxAge is the oldest meter reading that still counts. Settle is how long
	// after a change of load the meter shows the new one. Frozen is the
	// longest time for which a working meter shows the same volts.
	MaxAge, Settle, Frozen time.Duration
}
