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
	// ToSet is the time until the bath reaches its set temperature.
	ToSet hal.Reading[time.Duration]
}
