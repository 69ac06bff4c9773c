package status

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
)

func (b *Builder) readings(v *View, s *supervisor.Status) {
	m, snapshot := b.from.Machine, &b.frame.Still.Snapshot
	limits := m.Interlock()
	degrees := func(t physic.Temperature) float64 { return t.Celsius() }
	probe := func(i int) *float64 {
		return fresh(snapshot.Probes[i], limits.Probes.MaxAge, physic.ZeroCelsius, physic.Celsius)
	}
	v.Bath = Bath{A: probe(hal.BathA), B: probe(hal.BathB), LimitMachine: degrees(m.Limits.Bath)}
	if r := b.recipe(s.Recipe); r != nil {
		limit := degrees(r.Limit)
		v.Bath.Limit = &limit
		if r.Set > 0 {
			set := degrees(r.Set)
			v.Bath.Set = &set
		}
	}
	if t := s.Estimates.ToSet; t.Valid {
		seconds := t.Value.Seconds()
		v.Bath.ToSet = &seconds
	}
	if t := s.Estimates.AtEnd; t.Valid {
		end := degrees(t.Value)
		v.Bath.AtEnd = &end
	}
	v.Cabinet = Cabinet{Air: probe(hal.Cabinet), Limit: degrees(m.Limits.Cabinet)}
	age := limits.Power.MaxAge
	v.Mains = Mains{
		Volts:   fresh(snapshot.Meter.Volts, age, 0, physic.Volt),
		Watts:   fresh(snapshot.Meter.Watts, age, 0, physic.Watt),
		Amperes: fresh(snapshot.Meter.Amperes, age, 0, physic.Ampere),
		Hertz:   fresh(snapshot.Meter.Frequency, age, 0, physic.Hertz),
	}
	v.Fans = []Fan{}
	for i, fan := range m.Fans {
		v.Fans = append(v.Fans, Fan{
			Fan: i + 1, Speed: fresh(snapshot.Fans[i], limits.Fans.MaxAge, 0, hal.RPM),
			Minimum: float64(fan.Minimum) / float64(hal.RPM), Required: fan.Required,
		})
	}
	b.contacts(v)
}

func (b *Builder) contacts(v *View) {
	fitted, c := b.from.Machine.Contacts, b.frame.Still.Snapshot.Contacts
	v.Contacts = []Contact{}
	for _, contact := range []struct {
		name   string
		fitted bool
		state  hal.Contact
	}{
		{"stop loop", true, c.StopClosed},
		{"float switch", fitted.Float, c.LevelOK},
		{"lid switch", fitted.Lid, c.LidClosed},
		{"leak sensor", fitted.Leak, c.LeakDry},
		{"contactor aux", fitted.Aux, c.ContactorAux},
	} {
		if contact.fitted {
			v.Contacts = append(v.Contacts, Contact{Name: contact.name, State: contact.state.String()})
		}
	}
}
