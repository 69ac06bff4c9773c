package plant

import (
	"time"

	"bathtender/hal"
)

// board is the part of a board that lets outputs fall off: the lease, the
// watchdog, and the relay that the heartbeat holds in the contactor's coil
// circuit.
type board struct {
	commanded, applied hal.Outputs
	lease, watchdog    time.Duration // since the last Write, the last feed
	heartbeat          time.Duration // since the last change
	beating            bool          // there has been a change
	fallen             bool          // lease or watchdog has let the outputs fall
}

func (b *board) write(outputs hal.Outputs) {
	if outputs.Heartbeat != b.commanded.Heartbeat {
		b.heartbeat, b.beating = 0, true
	}
	if outputs.FeedWatchdog {
		b.watchdog = 0
	}
	b.lease = 0
	b.commanded = outputs
}

// step lets what has run out fall off, and the time run.
func (b *board) step(step time.Duration, c *BoardConfig, stuck bool) {
	// The comparison is at the start of the step: outputs last a whole step
	// longer than a lease that runs out within it.
	b.fallen = !stuck && (b.lease >= c.Lease || b.watchdog >= c.Watchdog)
	b.applied = b.commanded
	if b.fallen {
		b.applied = hal.Outputs{Heartbeat: b.commanded.Heartbeat}
	}
	if b.heartbeat >= c.Watchdog {
		b.beating = false
	}
	b.lease += step
	b.watchdog += step
	b.heartbeat += step
}

// faithful reports whether the lines are as the last Write had them.
func (b *board) faithful() bool { return !b.fallen || quiet(b.commanded) }

// quiet reports whether outputs have nothing that can fall off.
func quiet(o hal.Outputs) bool {
	o.Heartbeat, o.FeedWatchdog = false, false
	return o == hal.Outputs{}
}
