package interlock

import "bathtender/hal"

// The causes that look at the cabinet: its contacts, its air, its loop.

func stopPressed(v view, _ int) Finding {
	return closed(true, v.in.Snapshot.Contacts.StopClosed == hal.Closed)
}

func leak(v view, _ int) Finding {
	return closed(v.cfg.LeakFitted, v.in.Snapshot.Contacts.LeakDry == hal.Closed)
}

func lidOpen(v view, _ int) Finding {
	return closed(v.cfg.LidFitted, v.in.Snapshot.Contacts.LidClosed == hal.Closed)
}

func contactorDisagrees(v view, _ int) Finding {
	if !v.cfg.AuxFitted {
		return idle
	}
	aux, commanded := v.in.Snapshot.Contacts.ContactorAux, v.in.Commanded.Contactor
	switch {
	case aux == hal.Absent:
		return Finding{Verdict: Unknown}
	case commanded && aux == hal.Open && !v.mains():
		return Finding{Verdict: Idle} // without mains its coil has let go; "meter fault" answers
	case commanded && aux == hal.Open:
		return standing(0, 0, 0)
	case !commanded && aux == hal.Closed:
		return Finding{Verdict: Standing, Reason: 1}
	default:
		return clear(0, 0, 0)
	}
}

// mains reports whether the meter shows that there is a mains. A meter that
// gives nothing is taken to have none: it is fed by it.
func (v view) mains() bool {
	meter, p := &v.in.Snapshot.Meter, &v.cfg.Power
	if _, ok := meter.Watts.Within(p.MaxAge); !ok {
		return false
	}
	volts, ok := meter.Volts.Within(p.MaxAge)
	return !p.ReportsVolts || ok && volts > p.Nominal/2
}

func cabinetHot(v view, _ int) Finding {
	if !v.cfg.Probes.Fitted[hal.Cabinet] {
		return idle
	}
	reading, limit := &v.in.Snapshot.Probes[hal.Cabinet], int64(v.cfg.Probes.CabinetLimit)
	t, ok := reading.Within(v.cfg.Probes.MaxAge)
	if !ok {
		return Finding{Verdict: Unknown, Limit: limit, Age: reading.Age}
	}
	return over(int64(t), limit, 0, false, reading.Age)
}

func sessionTooLong(v view, _ int) Finding {
	emitted, limit := int64(v.mem.EmissionFor), int64(v.cfg.EmissionMax)
	switch {
	case emitted == 0:
		return idle
	case emitted >= limit:
		return standing(emitted, limit, 0)
	default:
		return clear(emitted, limit, 0)
	}
}

func loopLate(v view, _ int) Finding {
	elapsed, limit := v.in.Elapsed, int64(v.cfg.Deadline)
	switch {
	case v.in.First:
		return idle
	case elapsed <= 0:
		return Finding{Verdict: Standing, Reason: 1, Value: int64(elapsed), Limit: limit}
	default:
		return over(int64(elapsed), limit, 0, false, 0)
	}
}

func keptUnreadable(v view, _ int) Finding {
	if !v.in.Snapshot.KeptOK {
		return standing(0, 0, 0)
	}
	return clear(0, 0, 0)
}

func recordUnwritable(v view, _ int) Finding {
	if !v.in.Snapshot.RecordOK {
		return standing(0, 0, 0)
	}
	return clear(0, 0, 0)
}
