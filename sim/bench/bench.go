package bench

import (
	"time"

	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/sim/scenario"
)

// Cabinet is a machine with its recipes, and the configuration of the supervisor
// that they make.
type Cabinet struct {
	Machine *machine.Machine
	Recipes []*recipe.File
	Config  supervisor.Config
}

// Bench is a supervisor with knobs in place of sensors.
type Bench struct {
	Cabinet
	// Supervisor is the shipped one.
	Supervisor *supervisor.Supervisor
	// Snapshot, Request, Outputs and Said are those of the last tick.
	Snapshot hal.Snapshot
	Request  hal.Request
	Outputs  hal.Outputs
	Said     []scenario.Line

	probes   [hal.MaxProbes]analog
	fans     [hal.MaxFans]analog
	mains    analog
	watts    analog
	heater   analog // what it takes when it is on
	banks    [hal.MaxBanks]analog
	contacts [contacts]struct {
		state   hal.Contact
		follows bool
	}
	assents [assents]bool

	now    time.Duration
	ticks  int64
	fresh  int64 // ticks since the program started
	kept   supervisor.Kept
	finger hal.Request // what is held down
}

// The bench is as warm as a workshop until somebody turns the knobs (own choice).
const (
	coldBath    = 20
	coldCabinet = 22
)

// New returns a bench at time 0, before the first tick: a healthy cabinet, cold
// and at rest.
func New(c Cabinet) *Bench {
	b := &Bench{Cabinet: c, Supervisor: supervisor.New(c.Config, supervisor.Kept{})}
	for _, place := range [...]int{hal.BathA, hal.BathB, hal.Cabinet} {
		if c.Machine.Probes[place].Fitted {
			degrees := coldBath
			if place == hal.Cabinet {
				degrees = coldCabinet
			}
			b.probes[place].set(celsius(degrees), 0, false)
		}
	}
	for _, p := range b.followable() {
		b.follow(p, 0)
	}
	return b
}

// Tick lets one period pass, and so much more by which the tick comes late.
func (b *Bench) Tick(late time.Duration) {
	b.pass(b.Config.Interlock.Tick + late)
	b.read()
	b.Request = b.finger
	out, events := b.Supervisor.Tick(&b.Snapshot, b.Request)
	b.Outputs = out
	b.Said = b.Said[:0]
	for _, e := range events {
		b.Said = append(b.Said, scenario.Describe(b.Supervisor, e))
	}
	if len(events) > 0 {
		b.kept = b.Supervisor.Kept()
	}
	b.ticks++
	b.fresh++
}

// Restart kills the program and starts it anew after some time, in which all
// outputs are off. Nothing but what was kept is left of it, and nothing at all
// where that cannot be read.
func (b *Bench) Restart(after time.Duration) {
	b.Outputs, b.Said, b.finger = hal.Outputs{}, b.Said[:0], hal.Request{}
	tick := b.Config.Interlock.Tick
	for ; after > 0; after -= tick {
		b.pass(min(tick, after))
	}
	was := b.kept
	if !b.assents[kept] {
		was = supervisor.Kept{}
	}
	b.kept, b.fresh = was, 0
	b.Supervisor = supervisor.New(b.Config, was)
}

// Now returns the time on the bench's clock: that of the last tick, or of the
// restart since.
func (b *Bench) Now() time.Duration { return b.now }

// press puts a finger on a button, or takes it away with the zero Request.
func (b *Bench) press(r hal.Request) { b.finger = r }

// pass lets time pass for the knobs and the cabinet.
func (b *Bench) pass(elapsed time.Duration) {
	b.now += elapsed
	for i := range b.probes {
		b.probes[i].pass(elapsed)
	}
	for i := range b.Machine.Fans {
		b.fans[i].pass(elapsed)
	}
	for i := range b.Machine.Banks {
		b.banks[i].pass(elapsed)
	}
	b.heater.pass(elapsed)
	b.mains.pass(elapsed)
	b.watts.pass(elapsed)
	b.behave(elapsed)
}

// knob returns the knob of a point that is a number.
func (b *Bench) knob(p point) *analog {
	switch p.kind {
	case probe:
		return &b.probes[p.place]
	case fan:
		return &b.fans[p.place]
	case bank:
		return &b.banks[p.place]
	case mains:
		return &b.mains
	case watts:
		return &b.watts
	default:
		return &b.heater
	}
}
