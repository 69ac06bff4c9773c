package campaign

import (
	"math/rand/v2"
	"time"

	"bathtender/firmware/health"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/sim/drive"
	"bathtender/sim/hazard"
	"bathtender/sim/plant"
)

// Result is what came of a case.
type Result struct {
	Case Case
	// Faults are the faults with their places and sizes, in words.
	Faults []string
	// Detected is what noticed first, Function whether that was a protective
	// function; After how long after the last fault. Nothing for what was never noticed.
	Detected string
	Function bool
	After    time.Duration
	// Stopped says that the session ended otherwise than by its work being done,
	// or did not begin; Safe how long after the last fault nothing that can do
	// harm had power, from then to the end.
	Stopped bool
	Safe    time.Duration
	// Long says that it was run in the longest session.
	Long bool
	// Acted are the protective functions that acted, a bit each.
	Acted uint64
	// Monitor is what stood of each hazard.
	Monitor hazard.Monitor
}

// after is for how long a case is followed after its last fault, and for how long
// after it is idle.
const (
	after     = 8 * time.Minute
	afterLong = time.Hour
	// poorAirMost is how long emission with little air may have gone on before a
	// case is run again in the longest session.
	poorAirMost = 30 * time.Second
	afterIdle   = 20 * time.Second
)

// Run runs one case by itself: in a short session, and where that ends with air
// that hardly moves in the longest one, since the harm of that comes slowly.
func (c *Campaign) Run(one Case) (Result, error) {
	result, poorAir, err := c.run(one, c.config.Recipes[0].Name, after)
	if err != nil || !poorAir {
		return result, err
	}
	result, _, err = c.run(one, c.config.Recipes[1].Name, afterLong)
	result.Long = true
	return result, err
}

func (c *Campaign) run(one Case, name string, follow time.Duration) (Result, bool, error) {
	random := one.chance()
	s, err := c.begin(one.Seed)
	if err != nil {
		return Result{}, false, err
	}
	r := running{campaign: c, session: s, result: Result{Case: one}, owner: owner{recipe: name}, after: follow}
	if one.First >= 0 {
		r.add(one.First, random)
		if one.At != BeforeStart {
			// What is there from before the start may stop it all.
			if err := r.until(2 * time.Second); err != nil {
				return r.result, false, err
			}
		}
	}
	if err := r.reach(one.At); err != nil {
		return r.result, false, err
	}
	wait := time.Duration(1+random.IntN(30)) * c.config.Interlock.Tick
	if err := r.until(wait); err != nil {
		return r.result, false, err
	}
	r.add(one.Second, random)
	r.faulted = s.Now()
	err = r.follow()
	return r.result, r.poorAir > poorAirMost, err
}

// running is a case on its way.
type running struct {
	campaign *Campaign
	session  *drive.Session
	owner    owner
	begins   bool // the owner may begin the session
	coming   []coming
	result   Result
	faulted  time.Duration // when the last fault came; 0 for not yet
	lastLive time.Duration // when something that can do harm last had power
	done     bool
	world    hazard.World
	truth    plant.Truth
	last     time.Duration
	after    time.Duration
	// poorAir is for how long emitters were driven with little air.
	poorAir time.Duration
}

func (r *running) add(kind int, random *rand.Rand) {
	f := r.campaign.pick(kind, random)
	r.coming = append(r.coming, coming{fault: f, begun: r.session.Now(), random: random})
	r.result.Faults = append(r.result.Faults, f.String())
}

// reach goes on until the moment, or until it is clear that it will not come.
func (r *running) reach(at Moment) error {
	if at == BeforeStart {
		return nil
	}
	r.begins = true
	phase, side := at.phase()
	for range 9000 {
		if err := r.tick(); err != nil {
			return err
		}
		status := r.session.Supervisor.Status()
		if status.Phase == phase && (phase == recipe.RunOn || status.Side == int(side)+1) {
			return nil
		}
		if r.owner.begun && status.Phase == recipe.Idle {
			return nil // stopped by the fault before
		}
	}
	return nil
}

func (r *running) until(d time.Duration) error {
	for end := r.session.Now() + d; r.session.Now() < end; {
		if err := r.tick(); err != nil {
			return err
		}
	}
	return nil
}

// follow sees what comes of it.
func (r *running) follow() error {
	r.begins = true
	idle := time.Duration(0)
	for r.session.Now() < r.faulted+r.after {
		if err := r.tick(); err != nil {
			return err
		}
		if r.owner.begun && r.session.Supervisor.Status().Phase == recipe.Idle {
			if idle += r.campaign.config.Interlock.Tick; idle >= afterIdle {
				break
			}
		} else {
			idle = 0
		}
	}
	r.result.Safe = max(r.lastLive-r.faulted, 0)
	r.result.Stopped = !r.done
	return nil
}

func (r *running) tick() error {
	s := r.session
	for i := range r.coming {
		r.coming[i].step(s.Now(), &s.Plant.Faults)
	}
	request := hal.Request{}
	if r.begins {
		request = r.owner.request(s)
	}
	if err := s.Tick(request); err != nil {
		return err
	}
	r.truth = s.Plant.Truth()
	r.campaign.seen(s, &r.truth, &r.world)
	r.result.Monitor.Tick(&r.world, r.truth.Time-r.last)
	r.last = r.truth.Time
	if r.truth.Emitting != 0 && r.truth.AirShare < 0.2 {
		r.poorAir += r.campaign.config.Interlock.Tick
	}
	if !hazard.Safe(&r.truth) {
		r.lastLive = r.truth.Time
	}
	for i := range s.Events {
		r.notice(&s.Events[i])
	}
	return nil
}

// notice keeps the first thing that was noticed after the last fault, and how
// the session ended.
func (r *running) notice(e *supervisor.Event) {
	if e.Interlock.Kind == interlock.Tripped || e.Interlock.Kind == interlock.Holding {
		r.result.Acted |= 1 << e.Interlock.Function
	}
	if e.Sequence.Kind == recipe.Ended {
		r.done = r.done || e.Sequence.Reason == recipe.Finished
	}
	if len(r.coming) == 0 || r.result.Detected != "" && (r.faulted == 0 || r.result.Function) {
		return
	}
	name, function := "", false
	switch {
	case e.Interlock.Kind == interlock.Tripped || e.Interlock.Kind == interlock.Holding:
		name, function = e.Interlock.Name(), true
	case e.Health.Kind != health.NoEvent && r.result.Detected == "":
		name = r.session.Supervisor.Sentence(*e)
	case e.Sequence.Kind == recipe.StartRefused && r.result.Detected == "":
		name = r.session.Supervisor.Sentence(*e)
	}
	if name != "" {
		r.result.Detected, r.result.Function = name, function
		r.result.After = max(e.At-r.faulted, 0)
		if r.faulted == 0 {
			r.result.After = 0
		}
	}
}
