package pulsemeter

import (
	"math/bits"
	"time"

	"periph.io/x/conn/v3/physic"
)

// PulsesMost is the most pulses per kilowatt-hour that a meter can have here.
const PulsesMost = 100_000

const (
	// kilowattHour is 3.6e6 J in nanojoules.
	kilowattHour = 3_600_000_000_000_000
	// longest is as long as a time between pulses matters; more is told apart
	// from none by nobody.
	longest = 24 * time.Hour
	// shortest keeps the power of one pulse a kilowatt-hour within an integer.
	shortest = time.Millisecond
)

// Power returns the power that makes one pulse in the given time, for a meter of
// the given pulses per kilowatt-hour, 1 to PulsesMost: 3.6 MJ over both, rounded
// down. Times over a day count as a day, those under a millisecond as one.
func Power(pulses int, period time.Duration) physic.Power {
	period = min(max(period, shortest), longest)
	// In nanojoules by nanoseconds the division needs 82 bits.
	high, low := bits.Mul64(kilowattHour, 1_000_000_000)
	watts, _ := bits.Div64(high, low, uint64(pulses)*uint64(period))
	return physic.Power(watts)
}
