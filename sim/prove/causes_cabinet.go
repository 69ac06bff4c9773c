package prove

import "bathtender/hal"

func stopOpen(v *world, _ int) finding { return when(v.s.snapshot.Contacts.StopClosed != hal.Closed) }
func wet(v *world, _ int) finding      { return when(v.s.snapshot.Contacts.LeakDry != hal.Closed) }
func lidUp(v *world, _ int) finding    { return when(v.s.snapshot.Contacts.LidClosed != hal.Closed) }
func keptLost(v *world, _ int) finding { return when(!v.s.snapshot.KeptOK) }

func recordLost(v *world, _ int) finding { return when(!v.s.snapshot.RecordOK) }

func tickLate(v *world, _ int) finding {
	return when(!v.first && (v.s.elapsed <= 0 || v.s.elapsed > v.w.rules.Interlock.Deadline))
}

func emittedTooLong(v *world, _ int) finding {
	limit := v.w.rules.Interlock.EmissionMax
	return when(limit < never && v.m.Emitted >= limit)
}

// auxDisagrees lets an open contact pass while the meter shows no mains: the
// contactor's coil has let go by itself then.
func auxDisagrees(v *world, _ int) finding {
	aux, driven := v.s.snapshot.Contacts.ContactorAux, v.m.Out.Contactor
	c, meter := &v.w.rules.Interlock.Power, &v.s.snapshot.Meter
	mains := fresh(meter.Watts, c.MaxAge) && (!c.ReportsVolts || fresh(meter.Volts, c.MaxAge) && 2*meter.Volts.Value > c.Nominal)
	switch {
	case aux == hal.Absent:
		return blind
	case driven && aux == hal.Open && !mains:
		return off
	case driven:
		return when(aux == hal.Open)
	default:
		return when(aux == hal.Closed)
	}
}

func airLost(v *world, place int) finding {
	return v.airBelow(v.m.Out.Fans && v.m.Proven, place)
}

func airNotProven(v *world, place int) finding {
	return v.airBelow(v.m.Out.Fans && !v.m.Proven, place)
}

func airStuck(v *world, place int) finding {
	c, r := &v.w.rules.Interlock.Fans, v.s.snapshot.Fans[place]
	switch {
	case v.m.Out.Fans:
		return off
	case !fresh(r, c.MaxAge):
		return blind
	default:
		return when(r.Value > c.Silent)
	}
}

// airBelow finds a fan under its minimum, or without a speed.
func (v *world) airBelow(applies bool, place int) finding {
	c := &v.w.rules.Interlock.Fans
	switch {
	case !applies:
		return off
	case !fresh(v.s.snapshot.Fans[place], c.MaxAge):
		return blind
	default:
		return when(v.s.snapshot.Fans[place].Value < c.Minimum[place])
	}
}
