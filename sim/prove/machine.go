package prove

import (
	"fmt"
	"sync"
	"time"

	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/testdata"
)

// tick is that of every view but one.
const tick = 100 * time.Millisecond

// never is longer than a run can be: what is bounded by it is left out of a view.
const never = 1000 * time.Hour

// demo returns the rules of the built-in demo tank, without recipes.
func demo() supervisor.Rules { return readDemo() }

var readDemo = sync.OnceValue(func() supervisor.Rules {
	const name = "machines/slide-tank.toml"
	data, err := testdata.FS.ReadFile(name)
	if err == nil {
		var m *machine.Machine
		if m, err = machine.Parse(name, data); err == nil {
			var config supervisor.Config
			if config, err = setup.Supervisor(m, nil); err == nil {
				return config.Rules
			}
		}
	}
	panic(fmt.Sprintf("the built-in demo tank: %v", err)) // it is built in, and tested
})

// small returns the demo tank made small: so many fans and banks, every time a few
// ticks, and every function without a delay but those given. What a view is not
// about never runs out, so that it adds no states.
func small(fans, banks int, delays map[interlock.Function]int) supervisor.Rules {
	r := demo()
	c := &r.Interlock
	c.Tick, c.Deadline = tick, 2*tick
	for f := range c.Delay {
		c.Delay[f] = 0
	}
	for f, ticks := range delays {
		c.Delay[f] = time.Duration(ticks) * tick
	}
	for i := range c.Fans.Required {
		c.Fans.Required[i] = i < fans
		c.Fans.Minimum[i] = 1500 * hal.RPM
	}
	c.Power.Banks = banks
	c.Power.Settle, c.Power.Frozen, c.Power.Heater = 0, never, 0
	c.Probes.Step = c.Probes.High - c.Probes.Low // no change is too fast
	c.EmissionMax = never
	r.Timing = recipe.Timing{
		Purge: 2 * tick, Watch: tick, Stagger: tick,
		PreheatMax: never, HoldMax: never,
		RunOnLeast: 2 * tick, RunOnMost: 3 * tick, CabinetCool: r.Timing.CabinetCool,
		Band: r.Timing.Band, Resume: r.Timing.Resume, ProbeMaxAge: r.Timing.ProbeMaxAge,
		Banks: hal.FirstBanks(banks),
	}
	r.Recipes = []recipe.Recipe{{
		Name: "short", Limit: celsius(66), Degas: tick, Clean: 2 * tick, Sides: 1, BanksLeast: 1,
	}}
	return r
}

// heated gives the rules' machine a heater that is used, and tried for a tick.
func heated(r supervisor.Rules) supervisor.Rules {
	r.Timing.Heater, r.Interlock.Power.Heater = true, demo().Interlock.Power.Heater
	r.Timing.TrialHeat, r.Timing.TrialPause = tick, tick
	r.Recipes[0].Set = celsius(60)
	return r
}
