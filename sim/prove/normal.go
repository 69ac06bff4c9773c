package prove

import (
	"time"

	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// normal takes out of a memory what can no longer make a difference, so that time
// alone makes no new state: times of the day are counted from the last tick, and
// a timer stops at the longest time that anything compares it with. That it
// makes no difference is itself tested, by runs with and without it.
type normal struct {
	loadCap, voltsCap, probeCap interlock.Timer
	stepAny                     bool // no change of a probe is too fast
	emission                    bool // the length of emission matters
	holds, preheats, rolls      bool
	timing                      *recipe.Timing
	tick                        time.Duration
	trialCap, rollCap           time.Duration
}

func newNormal(rules *supervisor.Rules) normal {
	c, t := &rules.Interlock, &rules.Timing
	n := normal{timing: t, tick: c.Tick}
	if c.Power.Settle > 0 {
		n.loadCap = interlock.TimerOf(c.Power.Settle + c.Power.MaxAge)
	}
	if c.Power.Frozen < never {
		n.voltsCap = interlock.TimerOf(c.Power.Frozen)
	}
	if span := c.Probes.High - c.Probes.Low; c.Probes.Step >= span {
		n.stepAny = true
	} else if c.Probes.Rate > 0 {
		// One tick more than the whole span takes at the fastest rate.
		n.probeCap = interlock.TimerOf(time.Duration(int64(span)/(int64(c.Probes.Rate)/1e9)) + c.Tick)
	}
	n.emission = c.EmissionMax < never
	n.holds, n.preheats = t.HoldMax < never, t.PreheatMax < never
	n.rolls = t.RollCall > 0
	n.trialCap, n.rollCap = t.TrialHeat+t.TrialPause, max(t.RollCall, t.RollEvery)
	return n
}

func (n *normal) apply(m *supervisor.Memory) {
	n.interlock(&m.Interlock)
	n.sequence(&m.Sequence)
	m.Last = 0
	// Only the loads are looked at again.
	c := &m.Commanded
	m.Commanded = hal.Outputs{Contactor: c.Contactor, Fans: c.Fans, Heater: c.Heater, Banks: c.Banks}
}

func (n *normal) interlock(m *interlock.Memory) {
	m.First = interlock.FirstOut{Slot: m.First.Slot} // the rest is only told
	if m.LoadFor = min(m.LoadFor, n.loadCap); n.loadCap == 0 {
		m.Load = interlock.Load{}
	}
	if m.VoltsFor = min(m.VoltsFor, n.voltsCap); n.voltsCap == 0 {
		m.Volts = 0
	}
	for i := range m.Plausible {
		m.PlausibleFor[i] = min(m.PlausibleFor[i], n.probeCap)
		if n.stepAny {
			m.Plausible[i] = 0
		}
	}
	switch {
	case !n.emission:
		m.EmissionFor, m.RestFor = 0, 0
	case m.EmissionFor == 0:
		m.RestFor = 0
	}
}

func (n *normal) sequence(m *recipe.Memory) {
	if m.Phase == recipe.Idle {
		*m = recipe.Memory{} // a session begins with nothing
		return
	}
	switch m.Phase {
	case recipe.RunOn:
		m.In, m.Done = min(m.In, n.timing.RunOnMost), 0
	case recipe.Preheat:
		m.Done = 0
		if !n.preheats {
			m.In = 0
		}
	default: // whether the phase has just begun is all that counts
		m.In = min(m.In, 1)
	}
	m.SinceStart = min(m.SinceStart, n.timing.Stagger)
	m.Trial = min(m.Trial, n.trialCap)
	if m.RollFor = min(m.RollFor, n.rollCap); !n.rolls {
		m.RollFor = 0
	}
	if !n.holds {
		m.HeldFor = 0
	}
}
