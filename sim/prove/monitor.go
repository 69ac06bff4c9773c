package prove

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// causesMost is the most causes that one view's monitor watches.
const causesMost = 32

// slotSet is a set of slots as they are told in events.
type slotSet uint64

// It must hold them all.
const _ = uint(64 - interlock.Slots)

func (s slotSet) has(slot int) bool { return s>>slot&1 != 0 }

// Monitor is what was seen so far: readings, requests, outputs and what was told;
// and what has been counted over them. It knows nothing of what Decide
// remembers. The zero Monitor is that of a program that has just started.
type Monitor struct {
	Begun bool
	Verb  hal.Verb    // asked at the last tick
	Out   hal.Outputs // driven at the last tick
	// Stood is for how long each cause has stood without a pause; Owed are those
	// that stood for their delay and have not been reset since they went.
	Stood [causesMost]interlock.Timer
	Owed  uint32
	// Told are the trips that were told and not told to be reset; First is the
	// one that came first, its slot plus 1, 0 where there is none or it is not known.
	Told  slotSet
	First uint8
	// Proven says that all required fans have reached their minimum since they
	// were driven; NoAir is for how long each has been without, emitting.
	Proven bool
	NoAir  [2]interlock.Timer
	// Pressed says that the session that runs was begun by START and that its
	// contactor has not opened since. AuxGone says that it opened in a session at
	// a tick at which its auxiliary contact gave nothing.
	Pressed, AuxGone bool
	// SinceEnd is the time since the lamp went out with the fans on.
	SinceEnd time.Duration
	// Late says that a tick was late and nobody has reset that.
	Late bool
	// Load is what the meter sees of what was driven, LoadFor for how long.
	Load    hal.Outputs
	LoadFor interlock.Timer
	// Volts is the last voltage, VoltsFor for how long it has been the same.
	Volts    physic.ElectricPotential
	VoltsFor interlock.Timer
	// Emitted is the emission without a pause of a minute, Rested the pause.
	Emitted, Rested time.Duration
}

// seen is one tick as it is seen from outside.
type seen struct {
	snapshot  *hal.Snapshot
	estimates *interlock.Estimates
	ask       supervisor.Ask
	elapsed   time.Duration
	out       hal.Outputs
	told      []interlock.Event
	firstOut  uint8 // as the status shows it: slot plus 1
	beat      bool  // the level of the heartbeat before this tick
}

// watcher holds what a monitor goes by in one view.
type watcher struct {
	rules  *supervisor.Rules
	causes []cause
	fans   int
	world  world // of the present tick; kept here so that nothing is allocated
}

func newWatcher(rules *supervisor.Rules) *watcher {
	w := &watcher{rules: rules, causes: causesOf(rules)}
	for _, required := range rules.Interlock.Fans.Required {
		if required {
			w.fans++
		}
	}
	return w
}

// restart is what remains to be seen when the program is started again: what is
// locked out, and banks out of service.
func (w *watcher) restart(m *Monitor) {
	kept := Monitor{}
	for i := range w.causes {
		if c := &w.causes[i]; c.class == outlives {
			kept.Owed |= m.Owed & (1 << i)
			kept.Told |= m.Told & (1 << c.slot)
		}
	}
	*m = kept
}

// step takes the monitor over one tick and returns the invariants that it broke.
func (w *watcher) step(m *Monitor, s *seen) broken {
	v := &w.world
	*v = world{w: w, m: m, s: s, first: !m.Begun}
	v.counted = interlock.TimerOf(min(s.elapsed, w.rules.Interlock.Deadline, 10*time.Second))
	if v.first {
		v.counted = 0
	}
	v.reset = m.Verb == hal.Reset && s.ask.Verb != hal.Reset
	v.press = m.Begun && s.ask.Verb == hal.Start && m.Verb != hal.Start
	v.observe()
	v.judge()
	var b broken
	v.air(&b)
	v.causesAct(&b)
	v.stop(&b)
	v.resets(&b)
	v.starts(&b)
	v.runOn(&b)
	v.begins(&b)
	v.firstOut(&b)
	v.watchdog(&b)
	v.contactorFirst(&b)
	v.late(&b)
	m.Begun, m.Verb = true, s.ask.Verb
	m.Out = s.out
	m.Out.Heartbeat, m.Out.FeedWatchdog, m.Out.Sounder = false, false, false // not looked at again
	return b
}
