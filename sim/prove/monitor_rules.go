package prove

import (
	"bathtender/hal"
	"bathtender/interlock"
)

// The invariants, each judged over what was seen.

func (v *world) air(b *broken) {
	m, c := v.m, &v.w.rules.Interlock
	limit := interlock.TimerOf(c.Delay[interlock.AirflowLost])
	emits := v.s.out.Banks != 0
	if emits && !m.Proven {
		b.add(Air)
	}
	for i := range v.w.fans {
		if m.Out.Banks == 0 || v.fanTurns(i) {
			m.NoAir[i] = 0
			continue
		}
		m.NoAir[i] = min(m.NoAir[i]+v.counted, limit)
		if emits && m.NoAir[i] >= limit {
			b.add(Air)
		}
	}
}

func (v *world) stop(b *broken) {
	out := v.s.out
	live := out.Heater || out.Banks != 0
	if v.s.snapshot.Contacts.StopClosed != hal.Closed && (live || out.Contactor) {
		b.add(Stop)
	}
	if v.s.ask.Verb == hal.Stop && (live || out.Lamp) {
		b.add(Stop)
	}
	if v.m.Verb == hal.Stop && v.m.Begun && out.Contactor {
		b.add(Stop)
	}
}

func (v *world) starts(b *broken) {
	m, out := v.m, v.s.out
	if out.Lamp && !m.Out.Lamp && !v.press {
		b.add(NoSelfStart)
	}
	if !out.Lamp && (out.Heater || out.Banks != 0 || out.Contactor && !m.Out.Contactor) {
		b.add(NoSelfStart)
	}
	if out.Contactor && !m.Out.Contactor && !m.Pressed && !v.press {
		if m.AuxGone && m.Out.Lamp {
			b.know(AuxFlickers)
		} else {
			b.add(NoSelfStart)
		}
	}
	// A session begins, or goes on after a turn-over.
	goesOn := v.press && m.Out.Lamp && !m.Pressed && !m.AuxGone && out.Contactor && !m.Out.Contactor
	if (out.Lamp && !m.Out.Lamp || goesOn) && v.stands() {
		b.add(StartWithheld)
	}
	switch {
	case !out.Lamp:
		m.Pressed, m.AuxGone = false, false
	case !m.Out.Lamp:
		m.Pressed = true
	case m.Out.Contactor && !out.Contactor:
		m.Pressed = false
		m.AuxGone = v.s.snapshot.Contacts.ContactorAux == hal.Absent
	}
	if out.Contactor {
		m.AuxGone = false
	}
}

func (v *world) resets(b *broken) {
	m := v.m
	v.waited = m.Told
	for _, e := range v.s.told {
		slot := interlock.SlotOf(e.Function, int(e.Place))
		switch e.Kind {
		case interlock.Tripped:
			m.Told |= 1 << slot
		case interlock.WasReset:
			m.Told &^= 1 << slot
			if !v.reset {
				b.add(HeldReset)
			}
			for i := range v.w.causes {
				if v.w.causes[i].slot == slot && v.found[i].stands() {
					b.add(TripStays)
				}
			}
		}
	}
	if m.Told != 0 && !v.s.out.Sounder {
		if v.s.ask.Verb == hal.Reset {
			b.add(HeldReset)
		} else {
			b.add(TripStays)
		}
	}
}

func (v *world) runOn(b *broken) {
	m, out, t := v.m, v.s.out, &v.w.rules.Timing
	if (out.Banks != 0 || out.Lamp) && !out.Fans {
		b.add(RunOn)
	}
	switch {
	case out.Lamp:
		m.SinceEnd = 0
		return
	case m.Out.Lamp:
		m.SinceEnd = 0
	case m.Out.Fans:
		m.SinceEnd = min(m.SinceEnd+max(v.s.elapsed, 0), t.RunOnMost)
	}
	if m.Out.Fans && !out.Fans {
		cabinet := v.s.snapshot.Probes[hal.Cabinet]
		cool := fresh(cabinet, t.ProbeMaxAge) && cabinet.Value <= t.CabinetCool
		if m.SinceEnd < t.RunOnMost && !(cool && m.SinceEnd >= t.RunOnLeast) {
			b.add(RunOn)
		}
	}
	if !out.Fans {
		m.SinceEnd = 0
	}
}

func (v *world) begins(b *broken) {
	out := v.s.out
	if v.first && (out.Contactor || out.Fans || out.Heater || out.Banks != 0 || out.Lamp) {
		b.add(Restart)
	}
}

// firstOut demands that what the status shows as the first-out is the trip told
// first, the upper one of two at one tick, until everything that waited has been
// reset. After a restart the monitor takes what it shows for the first, if it is
// one that waits.
func (v *world) firstOut(b *broken) {
	m, shown := v.m, v.s.firstOut
	begin := uint8(0) // the uppermost of those told at this tick
	left := v.waited  // what still waits of what waited before it
	for _, e := range v.s.told {
		slot := interlock.SlotOf(e.Function, int(e.Place))
		switch e.Kind {
		case interlock.WasReset:
			left &^= 1 << slot
		case interlock.Tripped:
			if begin == 0 || uint8(slot)+1 < begin {
				begin = uint8(slot) + 1
			}
		}
	}
	switch {
	case m.Told == 0:
		m.First = 0
	case v.waited == 0 || left == 0: // one shutdown ends and another begins
		m.First = begin
	case m.First == 0 && shown > 0 && m.Told.has(int(shown)-1):
		m.First = shown
	}
	if shown != m.First || m.Told != 0 && shown == 0 {
		b.add(FirstOut)
	}
}

func (v *world) watchdog(b *broken) {
	c, s := &v.w.rules.Interlock, v.s.snapshot
	onTime := v.first || v.s.elapsed > 0 && v.s.elapsed <= c.Deadline
	any := fresh(s.Meter.Watts, c.Power.MaxAge)
	for _, probe := range s.Probes {
		any = any || fresh(probe, c.Probes.MaxAge)
	}
	for _, fan := range s.Fans {
		any = any || fresh(fan, c.Fans.MaxAge)
	}
	healthy := onTime && any && s.OutputsOK
	if v.s.out.FeedWatchdog != healthy || (v.s.out.Heartbeat != v.s.beat) != healthy {
		b.add(Watchdog)
	}
}

func (v *world) contactorFirst(b *broken) {
	out := v.s.out
	if (out.Heater || out.Banks != 0) && !out.Contactor || out.Banks&^hal.FirstBanks(v.w.rules.Interlock.Power.Banks) != 0 {
		b.add(ContactorFirst)
	}
}

func (v *world) late(b *broken) {
	m, out := v.m, v.s.out
	switch {
	case !v.first && (v.s.elapsed <= 0 || v.s.elapsed > v.w.rules.Interlock.Deadline):
		m.Late = true
	case v.reset:
		m.Late = false
	}
	if m.Late && (out.Contactor || out.Heater || out.Banks != 0) {
		b.add(LateStays)
	}
}
