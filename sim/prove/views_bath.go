package prove

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

func bathA(name string, t physic.Temperature) Option {
	return Option{name, func(g *Given) { g.Snapshot.Probes[hal.BathA] = hal.Fresh(t) }}
}

func bothProbes(name string, t physic.Temperature) Option {
	return Option{name, func(g *Given) {
		g.Snapshot.Probes[hal.BathA], g.Snapshot.Probes[hal.BathB] = hal.Fresh(t), hal.Fresh(t)
	}}
}

func noProbe(name string, places ...int) Option {
	return Option{name, func(g *Given) {
		for _, place := range places {
			g.Snapshot.Probes[place] = hal.Reading[physic.Temperature]{}
		}
	}}
}

// probesView is about probes that cannot be believed, or not both.
func probesView() *View {
	r := small(1, 1, delays{interlock.ProbeFault: 2, interlock.ProbesDisagree: 2})
	p := &r.Interlock.Probes
	age := p.MaxAge
	return &View{
		Name: "probes", About: "two bath probes that break, restart and disagree", Rules: r,
		Varies: []Dimension{
			{"bath probe A", []Option{
				as("at 40 degC"), bathA("as far as a probe can read, cold", p.Low), bathA("colder than it can read", p.Low-1),
				bathA("as far as a probe can read, hot", p.High), bathA("hotter than it can read", p.High+1),
				bathA("at its power-on value", p.PowerOn), bathA("just agreeing", celsius(40)+p.Apart),
				bathA("just disagreeing", celsius(40)+p.Apart+1),
				noProbe("absent", hal.BathA),
				{"too old", func(g *Given) { stale(&g.Snapshot.Probes[hal.BathA], age) }},
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.ProbeFault, interlock.ProbesDisagree, interlock.BathHighLimit},
	}
}

// jumpsView is about a probe that changes faster than a bath can.
func jumpsView() *View {
	r := small(1, 1, delays{interlock.ProbeFault: 2, interlock.ProbesDisagree: 2})
	p := &r.Interlock.Probes
	p.Step, p.Rate = physic.Kelvin, 100*physic.Kelvin // 10 K a tick, and 1 K
	p.Low, p.High = celsius(20), celsius(70)
	return &View{
		Name: "jumps", About: "a bath probe that goes as far in a tick as a bath can, and farther", Rules: r,
		Varies: []Dimension{
			{"bath probe A", []Option{
				as("at 40 degC"), bathA("as far as a bath can get", celsius(51)), bathA("just farther", celsius(51)+1), noProbe("absent", hal.BathA),
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.ProbeFault, interlock.ProbesDisagree},
	}
}

// bathView is about a bath that gets too hot.
func bathView() *View {
	r := heated(small(1, 1, delays{interlock.BathHighLimit: 2}))
	p, limit := &r.Interlock.Probes, r.Recipes[0].Limit
	return &View{
		Name: "bath", About: "a bath on both sides of the recipe's limit and the machine's", Rules: r,
		Varies: []Dimension{
			{"bath", []Option{
				as("cool"),
				bothProbes("where emission goes on again", limit-r.Timing.Resume-1),
				bothProbes("just not there", limit-r.Timing.Resume),
				bothProbes("where the heater's permit comes back", limit-p.Hysteresis),
				bothProbes("just under the recipe's limit", limit-1),
				bothProbes("at the recipe's limit", limit),
				bothProbes("just over the recipe's limit", limit+1),
				bothProbes("where emission is stopped, just not", limit+p.EmissionAbove),
				bothProbes("where emission is stopped", limit+p.EmissionAbove+1),
				bothProbes("at the machine's limit", p.BathLimit),
				bothProbes("just over the machine's limit", p.BathLimit+1),
				noProbe("without readings", hal.BathA, hal.BathB),
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.BathHighLimit, interlock.BathAboveRecipe, interlock.BathFarAboveRecipe},
	}
}

// heatView is about the thermostat and its trial.
func heatView() *View {
	r := heated(small(1, 1, nil))
	r.Timing.PreheatMax, r.Timing.HoldMax = 6*tick, 3*tick
	set, band := r.Recipes[0].Set, r.Timing.Band
	return &View{
		Name: "heat", About: "preheat, the heater's trial, the thermostat's band, waits that are too long", Rules: r,
		Varies: []Dimension{
			{"bath", []Option{
				bothProbes("just under the band", set-band-1), bothProbes("at the band's foot", set-band),
				bothProbes("just under its set temperature", set-1), bothProbes("at its set temperature", set),
			}},
			{"retry", []Option{as("no"), {"asked for", func(g *Given) { g.Estimates.Retry = true }}}},
			{"mains", []Option{as("good"), {"too low", func(g *Given) { g.Snapshot.Meter.Volts.Value = r.Interlock.Power.Low - 1 }}}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.MainsOutOfRange},
	}
}

// levelView is about too little liquid.
func levelView() *View {
	r := heated(small(1, 1, delays{interlock.LevelLow: 2}))
	least := r.Interlock.VolumeMinimum
	volume := func(name string, v hal.Volume) Option {
		return Option{name, func(g *Given) { g.Estimates.Volume, g.Estimates.VolumeBand = hal.Fresh(v), hal.Litre }}
	}
	heat := func(name string, h interlock.Heat) Option {
		return Option{name, func(g *Given) { g.Estimates.Heat = h }}
	}
	return &View{
		Name: "level", About: "the float switch, and what the heat balance says of the liquid", Rules: r,
		Varies: []Dimension{
			{"bath", []Option{as("cool"), bothProbes("at its set temperature", r.Recipes[0].Set)}},
			contact("float switch", levelOK),
			{"liquid", []Option{as("not known"), volume("at its minimum", least-hal.Litre), volume("just under its minimum", least-hal.Litre-1)}},
			{"heat", []Option{as("not known"), heat("bare", interlock.HeaterBare), heat("missing", interlock.HeatMissing)}},
			{"emitters", []Option{as("loaded"), {"unloaded", func(g *Given) { g.Estimates.Unloaded = hal.Fresh(int64(500)) }}}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.LevelLow, interlock.BathTooSmall},
	}
}
