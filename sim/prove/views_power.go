package prove

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// over is a meter that shows so many watts over what the driven loads take.
func over(name string, watts physic.Power) Option {
	return Option{name, func(g *Given) { g.Snapshot.Meter.Watts.Value = watts }}
}

func volts(name string, v physic.ElectricPotential) Option {
	return Option{name, func(g *Given) { g.Snapshot.Meter.Volts = hal.Fresh(v) }}
}

// meterView is about the meter itself.
func meterView() *View {
	r := small(1, 1, delays{interlock.MeterFault: 2})
	p := &r.Interlock.Power
	p.Frozen = 3 * tick
	age := p.MaxAge
	shows := func(name string, watts physic.Power) Option {
		return Option{name, func(g *Given) { g.wattFollows, g.Snapshot.Meter.Watts = false, hal.Fresh(watts) }}
	}
	return &View{
		Name: "meter", About: "a meter that is silent, frozen or impossible", Rules: r,
		Varies: []Dimension{
			{"watts", []Option{
				as("explained"), shows("negative", -1), shows("as many as it can show", p.MeterMax), shows("just too many", p.MeterMax+1),
				{"absent", func(g *Given) { g.wattFollows, g.Snapshot.Meter.Watts = false, hal.Reading[physic.Power]{} }},
				{"too old", func(g *Given) { stale(&g.Snapshot.Meter.Watts, age) }},
			}},
			{"volts", []Option{
				as("nominal"), volts("a little over nominal", p.Nominal+physic.Volt), volts("just impossible", 2*p.Nominal+1),
				{"absent", func(g *Given) { g.Snapshot.Meter.Volts = hal.Reading[physic.ElectricPotential]{} }},
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.MeterFault},
	}
}

// mainsView is about the mains.
func mainsView() *View {
	r := heated(small(1, 1, delays{interlock.MainsOutOfRange: 2, interlock.MeterFault: 2}))
	p, set := &r.Interlock.Power, r.Recipes[0].Set
	return &View{
		Name: "mains", About: "mains on both sides of each limit, and of where the permit comes back", Rules: r,
		Varies: []Dimension{
			{"volts", []Option{
				as("nominal"), volts("at the lower limit", p.Low), volts("just under the lower limit", p.Low-1),
				volts("just not back from under", p.Low+p.Return-1), volts("back from under", p.Low+p.Return),
				volts("at the upper limit", p.High), volts("just over the upper limit", p.High+1),
				volts("just not back from over", p.High-p.Return+1), volts("back from over", p.High-p.Return),
				{"absent", func(g *Given) { g.Snapshot.Meter.Volts = hal.Reading[physic.ElectricPotential]{} }},
			}},
			{"bath", []Option{as("cool"), bothProbes("at its set temperature", set)}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.MainsOutOfRange, interlock.MeterFault},
	}
}

// heaterView is about a heater that does not stop.
func heaterView() *View {
	return heaterWatts("heater", "watts that can only be the heater's", interlock.HeaterWillNotStop)
}

// silentView is about a heater that does not start.
func silentView() *View {
	return heaterWatts("silent", "watts of the heater that are missing", interlock.HeaterSilent)
}

func heaterWatts(name, about string, delayed interlock.Function) *View {
	r := heated(small(1, 1, delays{delayed: 2}))
	p := &r.Interlock.Power
	p.Settle, p.MaxAge = tick, tick
	quarter := p.Heater/4 - p.Heater
	return &View{
		Name: name, About: about, Rules: r,
		Varies: []Dimension{
			{"bath", []Option{as("cool"), bothProbes("at its set temperature", r.Recipes[0].Set)}},
			{"watts", []Option{
				as("explained"), over("at half a heater more", p.Heater/2), over("just over half a heater more", p.Heater/2+physic.MilliWatt),
				over("a heater more", p.Heater), over("a quarter of a heater there", quarter), over("just less there", quarter-physic.MilliWatt),
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.HeaterWillNotStop, interlock.HeaterSilent, interlock.OverPower},
	}
}

// banksView is about a bank that does not stop.
func banksView() *View {
	r := small(1, 2, delays{interlock.BankWillNotStop: 2, interlock.OverPower: 2})
	p := &r.Interlock.Power
	p.Settle, p.MaxAge = tick, tick
	third := p.Bank[0] / 3
	return &View{
		Name: "banks", About: "two banks that start one after another, and watts that nothing explains", Rules: r,
		Varies: []Dimension{
			{"watts", []Option{
				as("explained"), over("at a third of a bank more", third), over("just over a third of a bank more", third+physic.MilliWatt),
				over("a bank more", p.Bank[0]),
				{"absent", func(g *Given) { g.wattFollows, g.Snapshot.Meter.Watts = false, hal.Reading[physic.Power]{} }},
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.BankWillNotStop, interlock.OverPower},
	}
}

// shortView is about banks that take too little, and roll-calls.
func shortView() *View {
	r := small(1, 2, delays{interlock.BankShort: 2})
	r.Timing.RollCall, r.Timing.RollEvery = tick, 2*tick
	r.Recipes[0].Clean = 4 * tick
	limit := r.Interlock.Power.Bank[0] * physic.Power(r.Interlock.Power.BankShort) / 1000
	takes := func(bank int, name string, watts physic.Power) Option {
		return Option{name, func(g *Given) { g.Estimates.Bank[bank] = hal.Fresh(watts) }}
	}
	return &View{
		Name: "short", About: "banks that take too little, roll-calls, banks out of service", Rules: r,
		Varies: []Dimension{
			{"bank 1", []Option{as("not known"), takes(0, "at its limit", limit), takes(0, "just short", limit-1)}},
			{"bank 2", []Option{as("not known"), takes(1, "just short", limit-1)}},
			{"roll-call", []Option{as("in turn"), {"urgent", func(g *Given) { g.Estimates.RollCall = true }}}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.BankShort},
	}
}

// longView is about emission that goes on for too long. A pause of a minute ends
// it, whatever the machine, so its tick is longer than that of any real one.
func longView() *View {
	r := small(1, 1, nil)
	c, t := &r.Interlock, &r.Timing
	const long = 100 * tick
	c.Tick, c.Deadline, c.EmissionMax = long, 2*long, 3*long
	t.Purge, t.Watch, t.Stagger, t.RunOnLeast, t.RunOnMost = long, long, long, long, 2*long
	r.Recipes[0].Degas, r.Recipes[0].Clean = long, 4*long
	return &View{
		Name: "long", About: "emission over the machine's limit, with pauses on both sides of a minute", Rules: r,
		Varies:  []Dimension{contact("lid switch", lidClosed), asks()},
		Reaches: []interlock.Function{interlock.SessionTooLong},
	}
}
