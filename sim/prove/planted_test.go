package prove

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// told returns a trail as text.
func told(t *testing.T, trail *Trail, s subject) string {
	var b strings.Builder
	require.NoError(t, trail.writeText(&b, s))
	return b.String()
}

// tampered is one call of the real Decide that a defect has its hands in.
type tampered struct {
	rules *supervisor.Rules
	m     *supervisor.Memory
	s     hal.Snapshot
	e     interlock.Estimates
	ask   supervisor.Ask
	work  *supervisor.Work
	out   hal.Outputs
	// As they were before.
	was   supervisor.Memory
	given supervisor.Ask
}

func (x *tampered) elapsed() time.Duration { return x.s.Time - x.was.Last }

func (x *tampered) latched(f interlock.Function) bool {
	return x.m.Interlock.Latched.Has(interlock.SlotOf(f, 0))
}

func (x *tampered) unlatch(f interlock.Function) {
	slot := interlock.SlotOf(f, 0)
	x.m.Interlock.Latched[slot/64] &^= 1 << (slot % 64)
	x.m.Interlock.Counter[slot] = 0
}

func (x *tampered) drive(out hal.Outputs) { x.out, x.m.Commanded = out, out }

// plant puts a defect round the real Decide: before it, after it, or both.
func plant(before, after func(*tampered)) subject {
	s := shipped()
	s.decide = func(rules *supervisor.Rules, m *supervisor.Memory, snapshot *hal.Snapshot, e *interlock.Estimates, ask supervisor.Ask, work *supervisor.Work) hal.Outputs {
		x := tampered{rules: rules, m: m, s: *snapshot, e: *e, ask: ask, work: work, was: *m, given: ask}
		if before != nil {
			before(&x)
		}
		x.out = supervisor.Decide(x.rules, x.m, &x.s, &x.e, x.ask, x.work)
		if after != nil {
			after(&x)
		}
		m.Last, m.Verb = snapshot.Time, ask.Verb
		return x.out
	}
	return s
}

func restartWith(f func(m *supervisor.Memory) supervisor.Memory) subject {
	s := shipped()
	s.restart = f
	return s
}

// defects are mistakes that somebody could make in the supervisor, each with the
// invariant that it breaks and a view in which it does.
var defects = []struct {
	name   string
	view   string
	breaks Invariant
	is     subject
}{
	{"a missing speed passes for a good one", "air", Air, plant(func(x *tampered) {
		if !x.s.Fans[0].Valid && x.m.Commanded.Fans {
			x.s.Fans[0] = hal.Fresh(fanTurns)
		}
	}, nil)},
	{"an old speed passes for a new one", "air", Air, plant(func(x *tampered) { x.s.Fans[0].Age = 0 }, nil)},
	{"a minimum speed is compared one step too low", "air", Air, plant(func(x *tampered) { x.s.Fans[0].Value++ }, nil)},
	{"the second fan is not looked at", "fans", Air, plant(func(x *tampered) { x.s.Fans[1] = x.s.Fans[0] }, nil)},
	{"one fan under its minimum is forgotten from tick to tick", "air", Air, plant(nil, func(x *tampered) {
		x.m.Interlock.Counter[interlock.SlotOf(interlock.AirflowLost, 0)] = 0
	})},

	{"an absent float switch passes for closed", "level", CauseActs, plant(func(x *tampered) {
		if x.s.Contacts.LevelOK == hal.Absent {
			x.s.Contacts.LevelOK = hal.Closed
		}
	}, nil)},
	{"a delay starts anew at every tick", "leak", CauseActs, plant(nil, func(x *tampered) {
		x.m.Interlock.Counter[interlock.SlotOf(interlock.Leak, 0)] = 0
	})},
	{"a delay lasts a tick longer", "hot", CauseActs, plant(func(x *tampered) {
		rules := *x.rules
		rules.Interlock.Delay[interlock.CabinetHot] += tick
		x.rules = &rules
	}, nil)},
	{"a hold does not take emission away", "lid", CauseActs, plant(nil, func(x *tampered) {
		if x.m.Interlock.Held.Has(interlock.SlotOf(interlock.LidOpen, 0)) && x.out.Contactor && x.out.Banks == 0 {
			x.out.Banks = x.was.Commanded.Banks
			x.drive(x.out)
		}
	})},
	{"lockouts are forgotten at a restart", "contactor", CauseActs, restartWith(func(*supervisor.Memory) supervisor.Memory { return supervisor.Memory{} })},
	{"a lockout is dropped by a restart if another trip waits", "kept", CauseActs, restartWith(func(m *supervisor.Memory) supervisor.Memory {
		if m.Interlock.Latched.Has(interlock.SlotOf(interlock.MeterFault, 0)) {
			return supervisor.Memory{}
		}
		return restarted(m)
	})},
	{"banks out of service return at a restart", "short", CauseActs, restartWith(func(m *supervisor.Memory) supervisor.Memory {
		return supervisor.Memory{Interlock: interlock.Restarted(m.Interlock.Lockouts(), 0)}
	})},
	{"a limit is compared with the cooler probe", "bath", CauseActs, plant(func(x *tampered) {
		if t := x.s.Probes[hal.BathA]; t.Valid && t.Value == x.rules.Interlock.Probes.BathLimit+1 {
			x.s.Probes[hal.BathA].Value--
			x.s.Probes[hal.BathB].Value--
		}
	}, nil)},
	{"a welded heater is not seen", "heater", CauseActs, plant(func(x *tampered) {
		rules := *x.rules
		rules.Interlock.Power.Heater = 3 * rules.Interlock.Power.Heater
		x.rules = &rules
	}, nil)},
	{"a longest emission starts anew at any pause", "long", CauseActs, plant(func(x *tampered) {
		if x.m.Commanded.Banks == 0 {
			x.m.Interlock.EmissionFor = 0
		}
	}, nil)},

	{"a delay drains at the first good reading", "leak", CauseActs, plant(nil, func(x *tampered) {
		if x.s.Contacts.LeakDry == hal.Closed {
			x.m.Interlock.Counter[interlock.SlotOf(interlock.Leak, 0)] = 0
		}
	})},
	{"one missing reading of a fan is passed over", "fans", CauseActs, plant(func(x *tampered) {
		if !x.s.Fans[0].Valid && x.m.Commanded.Banks != 0 && x.m.Interlock.Counter[interlock.SlotOf(interlock.AirflowLost, 0)] == 0 {
			x.s.Fans[0] = hal.Fresh(fanTurns)
		}
	}, nil)},

	{"an absent stop loop passes for closed", "stop", Stop, plant(func(x *tampered) {
		if x.s.Contacts.StopClosed == hal.Absent {
			x.s.Contacts.StopClosed = hal.Closed
		}
	}, nil)},
	{"the stop loop acts a tick late", "stop", Stop, plant(nil, func(x *tampered) {
		if x.latched(interlock.StopPressed) && x.was.Commanded.Contactor {
			x.drive(x.was.Commanded)
			x.m.Commanded.Contactor = false
		}
	})},
	{"a request to stop is not heard while the heater is on", "stop", Stop, plant(func(x *tampered) {
		if x.m.Commanded.Heater {
			x.ask.Verb = hal.None
		}
	}, nil)},
	{"the contactor stays closed after a request to stop", "stop", Stop, plant(nil, func(x *tampered) {
		if x.was.Verb == hal.Stop && x.was.Commanded.Contactor && !x.latched(interlock.StopPressed) {
			x.out.Contactor = true
			x.drive(x.out)
		}
	})},

	{"a START held since before the program counts", "sides", NoSelfStart, plant(func(x *tampered) {
		if !x.m.Began {
			x.m.Began, x.m.Last = true, x.s.Time-tick
		}
	}, nil)},
	{"a held START begins one session after another", "lid", NoSelfStart, plant(func(x *tampered) { x.m.Verb = hal.None }, nil)},
	{"a turn-over goes on by itself", "sides", NoSelfStart, plant(nil, func(x *tampered) {
		if x.m.Sequence.Phase.String() == "turn-over" && x.was.Sequence.Phase == x.m.Sequence.Phase && !x.out.Contactor && x.given.Verb == hal.None {
			x.out.Contactor = true
			x.drive(x.out)
		}
	})},

	{"a session goes on after a restart", "lid", Restart, restartWith(func(m *supervisor.Memory) supervisor.Memory {
		after := restarted(m)
		after.Sequence = m.Sequence
		return after
	})},
	{"outputs are driven on over a restart", "lid", Restart, plant(nil, func(x *tampered) {
		if !x.was.Began {
			x.out.Fans = true
		}
	})},

	{"a reset acts while it is held", "reset", HeldReset, plant(func(x *tampered) {
		if x.ask.Verb == hal.Reset && x.m.Verb == hal.Reset {
			x.ask.Verb = hal.None
		}
	}, nil)},
	{"a reset acts when it is pressed", "reset", HeldReset, plant(func(x *tampered) {
		if x.ask.Verb == hal.Reset && x.m.Began && x.m.Verb != hal.Reset {
			x.ask.Verb, x.m.Verb = hal.None, hal.Reset
		}
	}, nil)},
	{"a held reset silences the sounder", "reset", HeldReset, plant(nil, func(x *tampered) {
		x.out.Sounder = x.out.Sounder && x.given.Verb != hal.Reset
	})},

	{"a trip is given back while its cause stands", "reset", TripStays, plant(func(x *tampered) {
		if x.m.Verb == hal.Reset && x.ask.Verb != hal.Reset && x.latched(interlock.LevelLow) {
			x.s.Contacts.LevelOK = hal.Closed
		}
	}, nil)},
	{"a trip gives itself back when its cause goes", "leak", TripStays, plant(func(x *tampered) {
		if x.s.Contacts.LeakDry == hal.Closed {
			x.unlatch(interlock.Leak)
		}
	}, nil)},
	{"a reset gives back everything at once", "reset", TripStays, plant(nil, func(x *tampered) {
		if x.was.Verb == hal.Reset && x.given.Verb != hal.Reset {
			x.m.Interlock.Latched, x.out.Sounder = interlock.Set{}, false
		}
	})},

	{"the fans go off with the session", "lid", RunOn, plant(nil, func(x *tampered) {
		x.out.Fans = x.out.Fans && x.out.Lamp
		x.drive(x.out)
	})},
	{"a cabinet without a reading passes for cool", "hot", RunOn, plant(func(x *tampered) {
		if !x.s.Probes[hal.Cabinet].Valid && x.m.Sequence.Phase.String() == "run-on" {
			x.s.Probes[hal.Cabinet] = hal.Fresh(celsius(20))
		}
	}, nil)},
	{"a trip takes the fans away", "hot", RunOn, plant(nil, func(x *tampered) {
		if x.out.Sounder {
			x.out.Fans = false
			x.drive(x.out)
		}
	})},

	{"the first-out is the trip that came last", "reset", FirstOut, plant(nil, func(x *tampered) {
		for _, e := range x.work.Interlock.All() {
			if e.Kind == interlock.Tripped {
				x.m.Interlock.First = interlock.FirstOut{Slot: uint8(interlock.SlotOf(e.Function, int(e.Place))) + 1}
			}
		}
	})},
	{"of two at one tick the lower one is the first-out", "late", FirstOut, plant(nil, func(x *tampered) {
		if x.was.Interlock.First.Slot != 0 {
			return
		}
		for _, e := range x.work.Interlock.All() {
			if e.Kind == interlock.Tripped {
				x.m.Interlock.First.Slot = uint8(interlock.SlotOf(e.Function, int(e.Place))) + 1
			}
		}
	})},
	{"the first-out is given up once it has been reset itself", "reset", FirstOut, plant(nil, func(x *tampered) {
		if f := x.m.Interlock.First.Slot; f != 0 && !x.m.Interlock.Latched.Has(int(f)-1) {
			for slot := range interlock.Slots {
				if x.m.Interlock.Latched.Has(slot) {
					x.m.Interlock.First = interlock.FirstOut{Slot: uint8(slot) + 1}
				}
			}
		}
	})},
	{"the first-out outlives its reset", "leak", FirstOut, plant(nil, func(x *tampered) {
		if x.m.Interlock.First.Slot == 0 {
			x.m.Interlock.First = x.was.Interlock.First
		}
	})},

	{"the watchdog is fed at every tick", "late", Watchdog, plant(nil, func(x *tampered) { x.out.FeedWatchdog = true })},
	{"the watchdog is fed though the outputs are not as driven", "kept", Watchdog, plant(func(x *tampered) { x.s.OutputsOK = true }, nil)},
	{"the watchdog is fed though nothing is sampled", "kept", Watchdog, plant(nil, func(x *tampered) {
		if x.s.OutputsOK {
			x.out.FeedWatchdog, x.out.Heartbeat = true, true
		}
	})},
	{"the heartbeat changes at every tick", "late", Watchdog, plant(nil, func(x *tampered) { x.out.Heartbeat = !x.was.Commanded.Heartbeat })},

	{"the heater comes on before the contactor", "stop", ContactorFirst, plant(nil, func(x *tampered) {
		if x.out.Lamp && !x.out.Contactor && x.m.Interlock.AirProven {
			x.out.Heater = true
			x.drive(x.out)
		}
	})},
	{"banks stay on as the contactor opens", "sides", ContactorFirst, plant(nil, func(x *tampered) {
		if x.was.Commanded.Contactor && !x.out.Contactor {
			x.out.Banks = hal.FirstBanks(1)
			x.drive(x.out)
		}
	})},
	{"a bank that is not there is driven", "sides", ContactorFirst, plant(nil, func(x *tampered) {
		if x.out.Banks == hal.FirstBanks(2) {
			x.out.Banks = hal.FirstBanks(3)
		}
	})},

	{"a late tick is forgiven at the next one on time", "late", LateStays, plant(func(x *tampered) {
		if e := x.elapsed(); 0 < e && e <= x.rules.Interlock.Deadline {
			x.unlatch(interlock.LoopLate)
		}
	}, nil)},
	{"a clock that stands passes for one that goes", "late", LateStays, plant(func(x *tampered) {
		if x.elapsed() == 0 {
			x.m.Last -= tick
		}
	}, nil)},
	{"a tick just late passes for one on time", "late", LateStays, plant(func(x *tampered) {
		if x.elapsed() == x.rules.Interlock.Deadline+1 {
			x.m.Last++
		}
	}, nil)},

	{"a start is given with a journal that cannot be written", "kept", StartWithheld, plant(func(x *tampered) { x.s.RecordOK = true }, nil)},
	{"a start is given with a tach that reports speed with the fans off", "air", StartWithheld, plant(func(x *tampered) {
		if !x.m.Commanded.Fans {
			x.s.Fans[0] = hal.Fresh(fanStands)
		}
	}, nil)},
	{"a turn-over ends with the lid open", "sides", StartWithheld, plant(func(x *tampered) {
		if x.m.Sequence.Phase.String() == "turn-over" {
			x.s.Contacts.LidClosed = hal.Closed
		}
	}, nil)},
	{"a start is given with the lid open for less than its delay", "lid", StartWithheld, plant(func(x *tampered) {
		if x.ask.Verb == hal.Start && x.m.Interlock.Counter[interlock.SlotOf(interlock.LidOpen, 0)] == 0 {
			x.s.Contacts.LidClosed = hal.Closed
		}
	}, nil)},
}

// TestPlantedDefectsAreFound sees each of the defects found, and that none of
// them, played again without the search's shortcuts, was a mistake of its own.
func TestPlantedDefectsAreFound(t *testing.T) {
	caught := map[Invariant]bool{}
	for _, d := range defects {
		if testing.Short() && !quick[d.view] {
			continue
		}
		r, err := search(Find(d.view), d.is, 1<<d.breaks, nil)
		require.NoError(t, err)
		trail := r.Broken[d.breaks]
		if !assert.NotNil(t, trail, "%s was not found to break %q in view %s, in %d states", d.name, d.breaks, d.view, r.States) {
			continue
		}
		caught[d.breaks] = true
		last := trail.play(d.is, func(*Given, *walk, *State) {})
		assert.True(t, last.has(d.breaks), "%s: the way to it leads elsewhere when it is gone again", d.name)
		sound := trail.play(shipped(), func(*Given, *walk, *State) {})
		assert.False(t, sound.has(d.breaks), "%s: the shipped code breaks the same on that way", d.name)
		t.Logf("%s, in view %s, breaks %q in %d steps:\n%s", d.name, d.view, d.breaks, len(trail.Path), told(t, trail, d.is))
	}
	for i := range InvariantCount {
		assert.True(t, caught[i], "no defect that breaks %q was found", i)
	}
}
