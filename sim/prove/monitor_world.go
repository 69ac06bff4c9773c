package prove

import (
	"time"

	"bathtender/hal"
	"bathtender/interlock"
)

// world is one tick beside all that was seen before it.
type world struct {
	w       *watcher
	m       *Monitor
	s       *seen
	first   bool            // of the program
	counted interlock.Timer // how much of a delay this tick can fill
	reset   bool            // the reset was let go at this tick
	press   bool            // START was pressed at this tick
	waited  slotSet         // the trips that waited for a reset before this tick
	found   [causesMost]finding
}

// observe brings what is counted over readings and outputs up to this tick.
func (v *world) observe() {
	m, s, c := v.m, v.s, &v.w.rules.Interlock
	if !m.Out.Fans {
		m.Proven = false
	} else {
		all := true
		for i := range v.w.fans {
			all = all && v.fanTurns(i)
		}
		m.Proven = m.Proven || all && v.w.fans > 0
	}
	if c.Power.Settle > 0 {
		load := m.Out
		load.Sounder, load.Lamp = false, false
		if load == m.Load {
			m.LoadFor = min(m.LoadFor+v.counted, interlock.TimerOf(c.Power.Settle+c.Power.MaxAge))
		} else {
			m.Load, m.LoadFor = load, 0
		}
	}
	if c.Power.Frozen < never {
		if volts := s.snapshot.Meter.Volts; fresh(volts, c.Power.MaxAge) && volts.Value != m.Volts {
			m.Volts, m.VoltsFor = volts.Value, 0
		} else {
			m.VoltsFor = min(m.VoltsFor+v.counted, interlock.TimerOf(c.Power.Frozen))
		}
	}
	if c.EmissionMax < never {
		v.countEmission()
	}
}

// countEmission counts emission over pauses of less than a minute.
func (v *world) countEmission() {
	m, elapsed := v.m, time.Duration(v.counted)*time.Microsecond
	if m.Out.Banks != 0 {
		m.Emitted, m.Rested = min(m.Emitted+elapsed, v.w.rules.Interlock.EmissionMax), 0
		return
	}
	if m.Rested += elapsed; m.Rested >= time.Minute || m.Emitted == 0 {
		m.Emitted, m.Rested = 0, 0
	}
}

// fresh reports whether there is a reading that is no older than allowed.
func fresh[Q ~int64](r hal.Reading[Q], age time.Duration) bool {
	return r.Valid && 0 <= r.Age && r.Age <= age
}

func (v *world) fanTurns(i int) bool {
	c := &v.w.rules.Interlock.Fans
	return fresh(v.s.snapshot.Fans[i], c.MaxAge) && v.s.snapshot.Fans[i].Value >= c.Minimum[i]
}
