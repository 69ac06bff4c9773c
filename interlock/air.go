package interlock

// The causes that look at the fans and their tachs.

// tach returns a fan's speed, and whether there is one.
func (v view) tach(place int) (Finding, int64, bool) {
	reading := &v.in.Snapshot.Fans[place]
	speed, ok := reading.Within(v.cfg.Fans.MaxAge)
	return Finding{Verdict: Unknown, Limit: int64(v.cfg.Fans.Minimum[place]), Age: reading.Age}, int64(speed), ok
}

func (v view) belowMinimum(place int) Finding {
	blind, speed, ok := v.tach(place)
	switch {
	case !ok:
		return blind
	case speed < blind.Limit:
		return standing(speed, blind.Limit, blind.Age)
	default:
		return clear(speed, blind.Limit, blind.Age)
	}
}

func airflowLost(v view, place int) Finding {
	if !v.cfg.Fans.Required[place] || !v.in.Commanded.Fans || !v.mem.AirProven {
		return idle
	}
	return v.belowMinimum(place)
}

// airflowNotProven withholds emission until air has been proven, also while the
// fans are off; where no fan is required at all it can never be proven.
func airflowNotProven(v view, place int) Finding {
	if v.mem.AirProven {
		return idle
	}
	if !v.cfg.Fans.Required[place] || !v.in.Commanded.Fans {
		return Finding{Verdict: Pending, Limit: int64(v.cfg.Fans.Minimum[place])}
	}
	return v.belowMinimum(place)
}

func airflowStuck(v view, place int) Finding {
	if !v.cfg.Fans.Required[place] || v.in.Commanded.Fans {
		return idle
	}
	blind, speed, ok := v.tach(place)
	limit := int64(v.cfg.Fans.Silent)
	switch {
	case !ok:
		return blind
	case speed > limit:
		return standing(speed, limit, blind.Age)
	default:
		return clear(speed, limit, blind.Age)
	}
}
