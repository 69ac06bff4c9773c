package health

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// Result returns what the session that is under way has shown so far.
func (m *Memory) Result(cfg *Config, est *interlock.Estimates) SessionResult {
	r := SessionResult{Emission: m.banks.emission, Volume: est.Volume}
	for i := range cfg.Banks {
		if n := m.banks.count[i]; n > 0 {
			r.Measured |= hal.Bank(i)
			r.Watts[i] = physic.Power(nano(m.banks.sum[i] / float64(n)))
		}
	}
	return r
}

// Finish folds a session into the record and tells which banks drift.
func (r *Record) Finish(d *DriftDesign, at time.Duration, s *SessionResult, events *Events) {
	r.EndSession(d, s)
	for i := range r.Banks {
		if drift := r.Drift(d, i); drift.Warn {
			left := 0 // not foreseen
			if drift.Foreseen {
				left = min(max(drift.SessionsLeft, 1), 255)
			}
			events.Add(Event{
				At: at, Kind: Drifting, Place: uint8(i), Count: uint8(left),
				Value: int64(drift.Level), Base: int64(drift.Baseline),
			})
		}
	}
}

// Begin tells at the start of a session whether the liquid is due for a change.
func (r *Record) Begin(at time.Duration, today int32, limits ChangeLimits, events *Events) {
	due := r.Liquid.Due(today, limits)
	if due.byEmission() {
		events.Add(Event{At: at, Kind: LiquidWorked, Value: int64(r.Liquid.EmissionSinceFill), Base: int64(limits.Emission)})
	}
	if due.byDays() {
		events.Add(Event{At: at, Kind: LiquidOld, Value: int64(due.Days), Base: int64(limits.Days)})
	}
}

// Staff tells, as emission begins, what the banks in service make of the liquid
// where some are out.
func Staff(cfg *Config, at time.Duration, in hal.Banks, est *interlock.Estimates, events *Events) {
	if in.Count() >= cfg.Banks || in == 0 {
		return
	}
	watts := 0.0
	for i := range cfg.Banks {
		if in.Has(i) {
			watts += cfg.baseline(i)
		}
	}
	volume := cfg.Fill
	if est.Volume.Valid {
		volume = est.Volume.Value
	}
	events.Add(Event{At: at, Kind: ShortHanded, Place: uint8(cfg.Banks), Count: uint8(in.Count()), Value: nano(watts), Base: int64(volume)})
}
