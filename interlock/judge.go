package interlock

import "bathtender/hal"

// Judge gives the permits for this tick. It brings the memory up to date, lets
// every function judge its cause, fills and drains the delays, latches, acts on
// a reset, and appends what happened to the events.
//
// A session that just started, a program that was just started and a snapshot
// without any reading all give the same answer: nothing that is not known to be
// safe is permitted.
func Judge(cfg *Config, m *Memory, in *Input, events *Events) Permits {
	return judge(&Table, cfg, m, in, events)
}

func judge(table *[FunctionCount]Row, cfg *Config, m *Memory, in *Input, events *Events) Permits {
	m.observe(cfg, in)
	// A late tick is one sample still: it fills no delay by more than its
	// deadline. What is late has tripped by itself.
	elapsed := min(in.elapsed(), TimerOf(cfg.Deadline))
	v := view{cfg: cfg, mem: m, in: in}
	in.load, in.loadVerdict = v.load()
	var withheld, tripped Effect
	start, unsaid := true, false
	waited := m.Latched
	banks := hal.FirstBanks(cfg.fitted(EachBank))
	fitted := [...]int{Whole: 1, EachFan: cfg.fitted(EachFan), EachProbe: hal.MaxProbes, EachBank: banks.Count()}
	next := 0
	for f := range FunctionCount {
		row := &table[f]
		slot := next
		next += row.Scope.most()
		for place := range fitted[row.Scope] {
			v.held = m.Held.Has(slot)
			finding := row.Judge(v, place)
			acting := m.advance(row, slot, finding, TimerOf(cfg.Delay[f]), elapsed)
			// Only something that changes, or waits for a reset, has more to do.
			if acting || m.Latched.Has(slot) || m.Held.Has(slot) {
				m.latch(row, slot, acting, event(f, place, finding, m.Counter[slot], in), in, events)
			}
			latched := m.Latched.Has(slot)
			if latched {
				tripped |= row.Takes
			}
			if latched || acting || row.withholds(finding.Verdict) {
				withheld |= row.Takes
				if row.Takes.Has(TakesBank) {
					banks &^= hal.Bank(place)
				}
			}
			// A start waits for everything but a bank out of service and the air
			// that only a start can prove: any latch, any hold, any cause that
			// stands, however short.
			if row.Takes.consequences().Has(TakesStart) && (latched || acting || finding.Verdict.bad()) {
				// A missing reading that another row answers for is told in that one's
				// words, which come further down.
				covered := finding.Verdict == Unknown && row.CoveredBy != None && !latched && !acting
				if start || unsaid && !covered {
					events.Withheld = event(f, place, finding, m.Counter[slot], in)
					unsaid = covered
				}
				start = false
			}
			slot++
		}
	}
	m.handOver(waited, events)
	contactor := !withheld.Has(TakesContactor)
	return Permits{
		Contactor: contactor,
		Heater:    contactor && !withheld.Has(TakesHeater),
		Emission:  contactor && !withheld.Has(TakesEmission),
		Start:     start,
		Banks:     banks,
		Tripped:   tripped,
	}
}

// withholds reports whether a verdict alone, before any delay, withholds the
// permit.
func (r *Row) withholds(v Verdict) bool {
	switch v {
	case Unknown:
		return r.CoveredBy == None
	case Pending:
		return true
	case Standing:
		return r.Strict
	default:
		return false
	}
}

// advance fills or drains the delay, and reports whether the cause has stood
// for long enough to act. The delay drains four times more slowly than it
// fills, so that a cause that flickers does not escape; a missing reading never
// drains it.
func (m *Memory) advance(row *Row, slot int, finding Finding, delay, elapsed Timer) bool {
	counter := &m.Counter[slot]
	switch finding.Verdict {
	case Standing:
		*counter = min(counter.plus(elapsed), delay)
		return *counter >= delay
	case Unknown:
		if row.CoveredBy != None {
			return m.Held.Has(slot) // neither fills nor drains
		}
		*counter = min(counter.plus(elapsed), delay)
		return *counter >= delay
	case Clear:
		*counter = max(*counter-elapsed/drainSlower, 0)
	case Pending, Idle:
		if !row.Keeps {
			*counter = 0
		}
	}
	// A hold that has acted lets go once its delay has drained.
	return row.Latch == Hold && m.Held.Has(slot) && *counter > 0
}

const drainSlower = 4

// latch keeps what has acted, and gives it back: a hold when it no longer acts,
// a trip when the reset is let go after its cause has gone.
func (m *Memory) latch(row *Row, slot int, acting bool, happened Event, in *Input, events *Events) {
	if row.Latch == Hold {
		if held := m.Held.Has(slot); acting != held {
			m.Held.put(slot, acting)
			kind := Released
			if acting {
				kind = Holding
			}
			events.add(kind, happened)
		}
		return
	}
	switch latched := m.Latched.Has(slot); {
	case acting && !latched:
		m.Latched.put(slot, true)
		if m.First == (FirstOut{}) {
			m.First = FirstOut{Slot: uint8(slot) + 1, At: happened.At, Value: happened.Value, Limit: happened.Limit}
			happened.FirstOut = true
		}
		events.add(Tripped, happened)
	case latched && in.ResetReleased && (happened.Verdict.bad()):
		events.add(ResetRefused, happened)
	case latched && in.ResetReleased:
		m.Latched.put(slot, false)
		m.Counter[slot] = 0
		events.add(WasReset, happened)
	}
}

func event(f Function, place int, finding Finding, stood Timer, in *Input) Event {
	return Event{
		At: in.Snapshot.Time, Function: f, Place: uint8(place), Verdict: finding.Verdict,
		Reason: finding.Reason, Value: finding.Value, Limit: finding.Limit, Stood: stood,
	}
}
