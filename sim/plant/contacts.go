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

// stepHeatSwitches moves the thermal switches on the drivers' heat sinks on. They
// are in series: one that is hot opens the stop loop.
func (p *Plant) stepHeatSwitches() {
	c := &p.config.Contact
	if !(c.HeatOpens > 0) {
		return
	}
	hottest := 0.0
	for i := range p.config.Banks {
		hottest = max(hottest, p.banks[i].winding)
	}
	switch {
	case hottest > c.HeatOpens:
		p.sinksHot = true
	case hottest < c.HeatCloses:
		p.sinksHot = false
	}
}

// stopOpen reports whether something has opened the stop loop.
func (p *Plant) stopOpen() bool {
	return (p.Faults.StopOpen || p.sinksHot) && !p.Faults.StopBridged
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
	contacts := hal.Contacts{StopClosed: hal.ContactOf(!p.stopOpen())}
	if c.Float {
		closed := p.float.closed && f.FloatStuck != StuckLow || f.FloatStuck == StuckOK
		contacts.LevelOK = hal.ContactOf(closed)
	}
	if c.Lid {
		contacts.LidClosed = hal.ContactOf((p.lidOn() || f.LidSensorStuck) && !f.LidSensorOpen)
	}
	if c.Leak {
		contacts.LeakDry = hal.ContactOf((p.puddle < c.Puddle || f.LeakSensorStuck) && !f.LeakSensorOpen)
	}
	if c.Aux {
		contacts.ContactorAux = hal.ContactOf(p.contactor.closed && f.AuxStuck != StuckLow || f.AuxStuck == StuckOK)
	}
	return contacts
}
