package health

import (
	"math/bits"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// bankSteps credits each bank with the step that its start makes at the meter.
type bankSteps struct {
	commanded hal.Outputs
	since     time.Duration // how long that has been commanded
	before    float64       // watts last seen with the load before
	settled   float64       // watts last seen with this load
	isSettled bool
	stepped   int8 // the bank whose start made this load, plus 1; 0 for none
}

// observe looks at one tick.
func (b *bankSteps) observe(cfg *Config, in *Input, elapsed time.Duration, est *interlock.Estimates) {
	load := in.Commanded
	load.Heartbeat, load.FeedWatchdog, load.Sounder, load.Lamp = false, false, false, false
	if load == b.commanded {
		b.since += elapsed
	} else {
		b.change(load)
	}
	w, ok := watts(cfg, &in.Snapshot.Meter)
	if !ok || b.since < cfg.Settle+in.Snapshot.Meter.Watts.Age {
		return
	}
	if !b.isSettled && b.stepped > 0 {
		step := max(w-b.before, 0)
		est.Bank[b.stepped-1] = hal.Fresh(physic.Power(step * float64(physic.Watt)))
	}
	b.settled, b.isSettled = w, true
}

// change begins a new load. Only a bank that starts alone, from a load whose
// watts were seen, can be credited.
func (b *bankSteps) change(load hal.Outputs) {
	added, gone := load.Banks&^b.commanded.Banks, b.commanded.Banks&^load.Banks
	others := load
	others.Banks = b.commanded.Banks
	b.stepped = 0
	if b.isSettled && others == b.commanded && added.Count() == 1 && gone == 0 {
		b.stepped = int8(bits.TrailingZeros16(uint16(added))) + 1
	}
	b.before, b.isSettled = b.settled, false
	b.commanded, b.since = load, 0
}
