package prove

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// Given is what the world gives the supervisor at one tick, or a restart of the
// program. Some readings of a healthy cabinet follow what was driven at the tick
// before, and are filled in then.
type Given struct {
	Snapshot  hal.Snapshot // its Time is not used; Elapsed is
	Estimates interlock.Estimates
	Ask       supervisor.Ask
	Elapsed   time.Duration
	// Restart says that the program was started again, in the place of a tick.
	Restart bool
	// Words names what is not as in a healthy cabinet that nobody touches.
	Words string

	fansFollow  [hal.MaxFans]bool // the tach shows whether the fans were driven
	auxFollows  bool              // the contact shows whether the contactor was
	wattFollows bool              // Meter.Watts is over what the loads driven take
}

// Speeds of a healthy fan.
const (
	fanTurns  = 2600 * hal.RPM
	fanStands = 0 * hal.RPM
)

// healthy returns what a cabinet without faults gives while nobody asks for
// anything.
func healthy(rules *supervisor.Rules) Given {
	var g Given
	g.Elapsed = rules.Interlock.Tick
	s := &g.Snapshot
	for i := range s.Probes {
		if rules.Interlock.Probes.Fitted[i] {
			s.Probes[i] = hal.Fresh(celsius(40))
		}
	}
	s.Probes[hal.Cabinet] = hal.Fresh(celsius(30))
	for i, required := range rules.Interlock.Fans.Required {
		g.fansFollow[i] = required
	}
	s.Meter.Volts = hal.Fresh(rules.Interlock.Power.Nominal)
	s.Meter.Watts = hal.Fresh[physic.Power](0)
	g.wattFollows, g.auxFollows = true, true
	s.Contacts = hal.Contacts{LevelOK: hal.Closed, LidClosed: hal.Closed, StopClosed: hal.Closed, LeakDry: hal.Closed}
	s.OutputsOK, s.RecordOK, s.KeptOK = true, true, true
	return g
}

// fill sets the readings that follow what was driven.
func (g *Given) fill(to *hal.Snapshot, power *interlock.PowerConfig, driven hal.Outputs) {
	*to = g.Snapshot
	for i, follows := range g.fansFollow {
		if !follows {
			continue
		}
		to.Fans[i] = hal.Fresh(fanStands)
		if driven.Fans {
			to.Fans[i] = hal.Fresh(fanTurns)
		}
	}
	if g.auxFollows {
		to.Contacts.ContactorAux = hal.ContactOf(driven.Contactor)
	}
	if g.wattFollows {
		to.Meter.Watts.Value += explained(power, driven)
	}
}

// explained returns what the loads that were driven take at nominal mains.
func explained(power *interlock.PowerConfig, driven hal.Outputs) physic.Power {
	watts := power.Standby
	if driven.Fans {
		watts += power.Fans
	}
	if !driven.Contactor {
		return watts
	}
	if driven.Heater {
		watts += power.Heater
	}
	for i := range power.Banks {
		if driven.Banks.Has(i) {
			watts += power.Bank[i]
		}
	}
	return watts
}

func celsius(degrees float64) physic.Temperature {
	return physic.ZeroCelsius + physic.Temperature(degrees*1000)*physic.MilliKelvin
}
