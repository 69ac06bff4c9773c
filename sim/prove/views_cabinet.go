package prove

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// contactorView is about the contactor and its auxiliary contact.
func contactorView() *View {
	r := small(1, 1, delays{interlock.ContactorDisagrees: 2})
	aux := func(name string, c hal.Contact) Option {
		return Option{name, func(g *Given) { g.auxFollows, g.Snapshot.Contacts.ContactorAux = false, c }}
	}
	half := r.Interlock.Power.Nominal / 2
	return &View{
		Name: "contactor", About: "an auxiliary contact against the command, or without a reading, with mains and without", Rules: r,
		Varies: []Dimension{
			{"auxiliary contact", []Option{as("follows"), aux("closed", hal.Closed), aux("open", hal.Open), aux("absent", hal.Absent)}},
			{"mains", []Option{
				as("nominal"), volts("at half", half), volts("just over half", half+1),
				{"without a meter", func(g *Given) { g.wattFollows, g.Snapshot.Meter = false, hal.Meter{} }},
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.ContactorDisagrees},
	}
}

// stopView is about the stop loop.
func stopView() *View {
	r := heated(small(1, 2, nil))
	return &View{
		Name: "stop", About: "the stop loop and requests to stop, at every moment of a heated session", Rules: r,
		Varies: []Dimension{
			contact("stop loop", stopClosed),
			{"bath", []Option{as("cool"), bothProbes("at its set temperature", r.Recipes[0].Set)}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.StopPressed},
	}
}

// lidView is about holds.
func lidView() *View {
	r := small(1, 2, delays{interlock.LidOpen: 2})
	r.Timing.HoldMax = 4 * tick
	return &View{
		Name: "lid", About: "a lid that is opened, and waits that are too long", Rules: r,
		Varies:  []Dimension{contact("lid switch", lidClosed), asks()},
		Reaches: []interlock.Function{interlock.LidOpen},
	}
}

// cabinetAt is the cabinet's air at a temperature.
func cabinetAt(name string, t physic.Temperature) Option {
	return Option{name, func(g *Given) { g.Snapshot.Probes[hal.Cabinet] = hal.Fresh(t) }}
}

// leakView is about a leak, and run-ons.
func leakView() *View {
	r := small(1, 1, delays{interlock.Leak: 2})
	cool := r.Timing.CabinetCool
	return &View{
		Name: "leak", About: "a leak, and run-ons that end early and late", Rules: r,
		Varies: []Dimension{
			contact("leak sensor", leakDry),
			{"cabinet", []Option{as("cool"), cabinetAt("just cool", cool), cabinetAt("just not cool", cool+1)}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.Leak},
	}
}

// hotView is about the cabinet's warmth.
func hotView() *View {
	r := small(1, 1, delays{interlock.CabinetHot: 2, interlock.ProbeFault: 2})
	hot := r.Interlock.Probes.CabinetLimit
	return &View{
		Name: "hot", About: "a hot cabinet, and one whose probe gives nothing", Rules: r,
		Varies: []Dimension{
			{"cabinet", []Option{
				as("cool"), cabinetAt("at its limit", hot), cabinetAt("just over its limit", hot+1), noProbe("without a reading", hal.Cabinet),
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.CabinetHot, interlock.ProbeFault},
	}
}

// keptView is about what the loop itself tells: journal, kept state, outputs read
// back, sensors sampled.
func keptView() *View {
	r := small(1, 1, delays{interlock.MeterFault: 2, interlock.AirflowLost: 2})
	bad := func(name string, set func(*hal.Snapshot)) Dimension {
		return Dimension{name, []Option{as("good"), {"bad", func(g *Given) { set(&g.Snapshot) }}}}
	}
	return &View{
		Name: "kept", About: "a journal that cannot be written, kept state that cannot be read, outputs not as commanded, all sensors silent", Rules: r,
		Varies: []Dimension{
			bad("kept state", func(s *hal.Snapshot) { s.KeptOK = false }),
			bad("journal", func(s *hal.Snapshot) { s.RecordOK = false }),
			bad("outputs read back", func(s *hal.Snapshot) { s.OutputsOK = false }),
			{"sensors", []Option{as("sampled"), {"silent", func(g *Given) {
				g.Snapshot.Probes, g.Snapshot.Fans, g.Snapshot.Meter = [hal.MaxProbes]hal.Reading[physic.Temperature]{}, [hal.MaxFans]hal.Reading[hal.RotationalSpeed]{}, hal.Meter{}
				g.wattFollows, g.fansFollow = false, [hal.MaxFans]bool{}
			}}}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.KeptUnreadable, interlock.RecordUnwritable},
	}
}

// lateView is about ticks that are late, and a clock that stands or goes back.
func lateView() *View {
	r := small(1, 1, delays{interlock.LevelLow: 2})
	after := func(name string, d time.Duration) Option {
		return Option{name, func(g *Given) { g.Elapsed = d }}
	}
	deadline := r.Interlock.Deadline
	return &View{
		Name: "late", About: "ticks on time, at the deadline, late, very late, and a clock that stands or goes back", Rules: r,
		Varies: []Dimension{
			{"tick", []Option{
				as("on time"), after("at its deadline", deadline), after("just late", deadline+1), after("very late", time.Hour),
				after("with the clock standing", 0), after("with the clock going back", -tick),
			}},
			{"float switch", contact("", levelOK).Options[:2]},
			asks(),
		},
		Reaches: []interlock.Function{interlock.LoopLate},
	}
}

// resetView is about several trips at once: resets that are held, let go early
// and late, and which trip was first.
func resetView() *View {
	r := small(1, 1, delays{interlock.LevelLow: 2})
	return &View{
		Name: "reset", About: "three trips that come and go, alone and together, with resets held and let go", Rules: r,
		Varies: []Dimension{
			contact("float switch", levelOK), contact("leak sensor", leakDry), contact("stop loop", stopClosed), asks(),
		},
		Reaches: []interlock.Function{interlock.LevelLow, interlock.Leak, interlock.StopPressed},
	}
}

// sidesView is about recipes with more sides than one, and starts of others.
func sidesView() *View {
	r := small(1, 2, delays{interlock.LidOpen: 2})
	r.Timing.HoldMax = 4 * tick
	r.Recipes[0].Sides = 3
	other := r.Recipes[0]
	other.Name, other.Sides = "other", 1
	r.Recipes = append(r.Recipes, other)
	ask := asks()
	for _, o := range []struct {
		name   string
		recipe uint8
	}{{"start another recipe", 2}, {"start an unknown recipe", 0}} {
		ask.Options = append(ask.Options, Option{o.name, func(g *Given) { g.Ask = supervisor.Ask{Verb: hal.Start, Recipe: o.recipe} }})
	}
	return &View{
		Name: "sides", About: "turn-overs, and starts of this recipe, another one and none", Rules: r,
		Varies:  []Dimension{contact("lid switch", lidClosed), ask},
		Reaches: []interlock.Function{interlock.LidOpen},
	}
}

// togetherView is about faults of different kinds at once.
func togetherView() *View {
	r := heated(small(1, 1, delays{interlock.LevelLow: 2}))
	one := func(name, healthy, otherwise string, set func(*Given)) Dimension {
		return Dimension{name, []Option{as(healthy), {otherwise, set}}}
	}
	low, set := r.Interlock.Power.Low-1, r.Recipes[0].Set
	return &View{
		Name: "together", About: "a low tank, an open lid, low mains and a wrong auxiliary contact, alone and together", Rules: r,
		Varies: []Dimension{
			one("bath", "cool", "at its set temperature", bothProbes("", set).Set),
			one("float switch", "closed", "open", func(g *Given) { g.Snapshot.Contacts.LevelOK = hal.Open }),
			one("lid switch", "closed", "open", func(g *Given) { g.Snapshot.Contacts.LidClosed = hal.Open }),
			one("mains", "nominal", "too low", volts("", low).Set),
			one("auxiliary contact", "follows", "open", func(g *Given) { g.auxFollows, g.Snapshot.Contacts.ContactorAux = false, hal.Open }),
			asks(),
		},
		Reaches: []interlock.Function{interlock.LevelLow, interlock.LidOpen, interlock.MainsOutOfRange, interlock.ContactorDisagrees},
	}
}
