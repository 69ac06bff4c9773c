package plant

import "bathtender/hal"

// floatSwitch is the float with its reed.
type floatSwitch struct{ closed bool }

// stepFloat moves the float on. Waves move it while anything emits; one draw of
// noise is made in any case.
func (p *Plant) stepFloat() {
	c := &p.config.Contact
	level := p.bath.level
	wave := p.noise.uniform()
	if p.emitting() != 0 {
		level += float64(wave * c.Slosh)
	}
	switch {
	case level < c.FloatOpens:
		p.float.closed = false
	case level > c.FloatCloses:
		p.float.closed = true
	}
}

// lidOn reports whether the lid is really on.
func (p *Plant) lidOn() bool { return p.World.LidOn && !p.Faults.LidOpen }

// emitting returns the banks that are emitting.
func (p *Plant) emitting() (banks hal.Banks) {
	for i := range p.config.Banks {
		if p.banks[i].emitting {
			banks |= hal.Bank(i)
		}
	}
	return banks
}

// contacts returns the state of all switches.
func (p *Plant) contacts() hal.Contacts {
	c, f := &p.config.Contact, &p.Faults
	contacts := hal.Contacts{StopClosed: hal.ContactOf(!f.StopOpen)}
	if c.Float {
		closed := p.float.closed && f.FloatStuck != StuckLow || f.FloatStuck == StuckOK
		contacts.LevelOK = hal.ContactOf(closed)
	}
	if c.Lid {
		contacts.LidClosed = hal.ContactOf(p.lidOn() || f.LidSensorStuck)
	}
	if c.Leak {
		contacts.LeakDry = hal.ContactOf(p.puddle < c.Puddle && !f.LeakSensorOpen)
	}
	if c.Aux {
		contacts.ContactorAux = hal.ContactOf(p.contactor.closed)
	}
	return contacts
}
