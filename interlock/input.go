package interlock

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// Input is what one tick is judged by.
type Input struct {
	Snapshot  *hal.Snapshot
	Estimates *Estimates
	// Commanded is what the tick before commanded; the zero Outputs after a
	// start.
	Commanded hal.Outputs
	// Elapsed is the time since the tick before. First says that there was
	// none.
	Elapsed time.Duration
	First   bool
	// RecipeLimit is the limit of the running recipe; 0 K while none runs.
	RecipeLimit physic.Temperature
	// ResetReleased says that the reset button was let go at this tick.
	ResetReleased bool

	// load is what the meter shows beside what is commanded: worked out once a
	// tick for all the causes that look at it.
	load        load
	loadVerdict Verdict
}

// longestElapsed bounds what one tick can add to a counter; a longer gap has
// already tripped "loop late".
const longestElapsed = 10 * time.Second

func (in *Input) elapsed() Timer {
	if in.First {
		return 0
	}
	return TimerOf(min(in.Elapsed, longestElapsed))
}

// Estimates are what health has worked out. An estimate that is not known yet
// is no reading.
type Estimates struct {
	// Volume is the liquid in the tank by heat balance, VolumeBand the
	// half-width of its 95 % band.
	Volume     hal.Reading[hal.Volume]
	VolumeBand hal.Volume
	// Bank is what each bank takes from the mains, corrected to the nominal
	// voltage.
	Bank [hal.MaxBanks]hal.Reading[physic.Power]
	// Baseline is what each bank should take; 0 for as the machine file says.
	Baseline [hal.MaxBanks]physic.Power
	// Unloaded is the share, in thousandths, that all banks together take of
	// what they should, once it is clear that nothing loads them.
	Unloaded hal.Reading[int64]
	// RollCall asks for a roll-call at once: watts are missing.
	RollCall bool
	// Heat is what the heat balance says of the heater's heat. Retry asks for
	// another trial of the heater: the bath is no longer the one it was.
	Heat  Heat
	Retry bool

	// ToSet is the time until the bath is as warm as preheat takes it, and
	// PreheatTo how warm that may be at most, for the clean to end under the
	// recipe's limit. AtEnd is how hot the clean leaves the bath.
	ToSet            hal.Reading[time.Duration]
	PreheatTo, AtEnd hal.Reading[physic.Temperature]
	// Evaporating is the liquid lost an hour, ToMinimum the time until the
	// minimum is reached.
	Evaporating hal.Reading[hal.Volume]
	ToMinimum   hal.Reading[time.Duration]
}

// Heat is what the heat balance says of the way of the heater's heat.
type Heat uint8

// The heater's heat.
const (
	HeatUnknown Heat = iota // not known yet
	HeatArrives
	HeaterBare  // it arrives far too slowly: little or no liquid covers the heater
	HeatMissing // it does not arrive at the probes at all
)
