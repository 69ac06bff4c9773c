package prove

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/interlock"
)

func meterBad(v *world, _ int) finding {
	c, meter := &v.w.rules.Interlock.Power, &v.s.snapshot.Meter
	if !fresh(meter.Watts, c.MaxAge) {
		return blind
	}
	if meter.Watts.Value < 0 || meter.Watts.Value > c.MeterMax {
		return bad
	}
	if !c.ReportsVolts {
		return good
	}
	if !fresh(meter.Volts, c.MaxAge) {
		return blind
	}
	return when(meter.Volts.Value < 0 || meter.Volts.Value > 2*c.Nominal || v.frozen())
}

func (v *world) frozen() bool {
	limit := v.w.rules.Interlock.Power.Frozen
	return limit < never && v.m.VoltsFor >= interlock.TimerOf(limit)
}

func mainsOut(v *world, _ int) finding {
	c, volts := &v.w.rules.Interlock.Power, v.s.snapshot.Meter.Volts
	if !fresh(volts, c.MaxAge) {
		return covered
	}
	return when(volts.Value < c.Low || volts.Value > c.High)
}

// surplus returns the watts over standby, driven fans and driven banks, and what
// the heater would take, both at the present mains. It finds covered without a
// reading that can be believed, and paused until the meter shows what is driven.
func (v *world) surplus() (surplus, heater, allowed physic.Power, f finding) {
	c, meter, driven := &v.w.rules.Interlock.Power, &v.s.snapshot.Meter, v.m.Out
	if meterBad(v, 0) != good {
		return 0, 0, 0, covered
	}
	if v.m.LoadFor.Duration() < c.Settle+meter.Watts.Age {
		return 0, 0, 0, paused
	}
	at := func(nominal physic.Power) physic.Power {
		if !c.ReportsVolts {
			return nominal
		}
		volts, whole := float64(meter.Volts.Value), float64(c.Nominal)
		return physic.Power(float64(nominal) * (volts / whole) * (volts / whole))
	}
	var banks physic.Power
	for i := range c.Banks {
		if driven.Contactor && driven.Banks.Has(i) {
			banks += c.Bank[i]
		}
	}
	others := c.Standby
	if driven.Fans {
		others += c.Fans
	}
	banks = at(banks)
	return meter.Watts.Value - others - banks, at(c.Heater), c.Unexplained + banks*physic.Power(c.Tolerance)/1000, good
}

func heaterStays(v *world, _ int) finding {
	surplus, heater, allowed, f := v.surplus()
	if v.m.Out.Heater {
		return paused
	}
	if f != good {
		return f
	}
	return when(surplus > heater/2 && surplus > allowed)
}

func bankStays(v *world, _ int) finding {
	surplus, heater, allowed, f := v.surplus()
	if v.m.Out.Heater || v.m.Out.Banks != 0 {
		return paused
	}
	if f != good {
		return f
	}
	if heater > 0 && surplus > heater/2 && surplus > allowed {
		return paused // the heater is named
	}
	c := &v.w.rules.Interlock.Power
	least := c.Bank[0]
	for i := range c.Banks {
		least = min(least, c.Bank[i])
	}
	return when(surplus > least/3)
}

func tooManyWatts(v *world, _ int) finding {
	surplus, heater, allowed, f := v.surplus()
	if f != good {
		return f
	}
	driven := v.m.Out
	switch {
	case driven.Heater && driven.Contactor:
		return when(surplus > allowed+heater+heater*physic.Power(v.w.rules.Interlock.Power.Tolerance)/1000)
	case driven.Banks == 0:
		return paused // a bank or the heater is named
	case heater > 0 && surplus > heater/2 && surplus > allowed:
		return paused
	default:
		return when(surplus > allowed)
	}
}

func heaterDead(v *world, _ int) finding {
	surplus, heater, _, f := v.surplus()
	if !v.m.Out.Heater || !v.m.Out.Contactor {
		return paused
	}
	if f != good {
		return f
	}
	return when(surplus < heater/4)
}

func bankLow(v *world, place int) finding {
	c, e := &v.w.rules.Interlock.Power, v.s.estimates
	if !e.Bank[place].Valid {
		return paused
	}
	whole := c.Bank[place]
	if e.Baseline[place] > 0 {
		whole = e.Baseline[place]
	}
	return when(e.Bank[place].Value < whole*physic.Power(c.BankShort)/1000)
}
