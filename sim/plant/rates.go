package plant

import (
	"math"
	"time"
)

// rates is what depends on the length of the step alone.
type rates struct {
	step time.Duration
	h    float64 // s
	// Shares of the way that a first-order lag goes in one step.
	probeLiquid, probeAir, probeCabinet, fanUp, fanDown, fanStall float64
	// Of the mains' wander: what remains of it, and what is added.
	wanderKeep, wanderKick float64
	// noiseScale keeps the mean over a meter's window as noisy, whatever the step.
	noiseScale float64
}

const (
	// The mains wander over a minute or so as neighbours switch things
	// (common practice, no source).
	wanderTime = 60.0
	// A held rotor stops in a fraction of a second.
	stallTime = 0.3
)

// set works the rates out anew where the step has another length than before.
func (r *rates) set(step time.Duration, lag *LagConfig) {
	if step == r.step {
		return
	}
	h := float64(step) / float64(time.Second)
	keep := 1 - approach(h/wanderTime)
	*r = rates{
		step: step, h: h,
		probeLiquid:  approach(h / lag.ProbeLiquid),
		probeAir:     approach(h / lag.ProbeAir),
		probeCabinet: approach(h / lag.ProbeCabinet),
		fanUp:        approach(h / lag.FanUp),
		fanDown:      approach(h / lag.FanDown),
		fanStall:     approach(h / stallTime),
		wanderKeep:   keep,
		wanderKick:   math.Sqrt(1 - float64(keep*keep)),
		noiseScale:   math.Sqrt(0.1 / h),
	}
}

// approach returns the share of the way that a first-order lag goes in a step of
// x time constants, x 1 or less: 1 - e^-x by the first Pade approximant, which
// is within x^3/12 of it.
func approach(x float64) float64 { return x / (1 + float64(x/2)) }
