package prove

import "bathtender/interlock"

// judge finds each cause in the readings, and counts for how long it has stood. A
// cause that flickers must not escape: its time drains four times more slowly
// than it fills, and a missing reading never drains it (design, section 4).
func (v *world) judge() {
	m := v.m
	for i := range v.w.causes {
		c := &v.w.causes[i]
		f := c.find(v, c.place)
		v.found[i] = f
		switch f {
		case bad, blind:
			m.Stood[i] = min(m.Stood[i]+v.counted, c.delay)
		case good:
			m.Stood[i] = max(m.Stood[i]-v.counted/4, 0)
		case off:
			m.Stood[i] = 0
		}
		if c.class == holds {
			continue
		}
		mine := uint32(1) << i
		switch owed := m.Owed&mine != 0; {
		case !owed && (f == bad || f == blind) && m.Stood[i] >= c.delay:
			m.Owed |= mine
		case owed && v.reset && !f.stands():
			m.Owed &^= mine
			m.Stood[i] = 0
		}
		// A reset of a trip that flickering brought about empties its delay too.
		if v.reset && !f.stands() && m.Told.has(c.slot) {
			m.Stood[i] = 0
		}
	}
}

// causesAct demands that each cause has taken away what it must, and was told.
func (v *world) causesAct(b *broken) {
	told := v.m.Told
	for _, e := range v.s.told {
		if e.Kind == interlock.Tripped {
			told |= 1 << interlock.SlotOf(e.Function, int(e.Place))
		}
	}
	for i := range v.w.causes {
		c := &v.w.causes[i]
		if v.found[i] == blind && !c.takes.loads().allowed(v.s.out, c.place) {
			b.add(CauseActs)
		}
		if c.class == holds {
			f := v.found[i]
			if f != good && f != off && f != paused && v.m.Stood[i] >= c.delay && (f != covered || c.delay > 0) && !c.takes.allowed(v.s.out, c.place) {
				b.add(CauseActs)
			}
			continue
		}
		if v.m.Owed>>i&1 != 0 && (!told.has(c.slot) || !c.takes.allowed(v.s.out, c.place)) {
			b.add(CauseActs)
		}
	}
}

// stands reports whether anything that withholds a start does: a cause that
// stands, however short, or a trip that waits. A bank out of service is no
// reason, nor is air that only a start can prove.
func (v *world) stands() bool {
	for i := range v.w.causes {
		c := &v.w.causes[i]
		if c.function == interlock.BankShort || c.function == interlock.AirflowNotProven && v.m.Owed>>i&1 == 0 {
			continue
		}
		if v.found[i] == bad || v.found[i] == blind || v.m.Owed>>i&1 != 0 || c.class != holds && v.m.Told.has(c.slot) {
			return true
		}
	}
	return false
}
