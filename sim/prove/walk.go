package prove

import (
	"time"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// walk takes a state over one tick, or a restart.
type walk struct {
	subject  subject
	rules    *supervisor.Rules
	normal   normal
	whole    bool // whether the memory is left whole, times and all
	beat     bool // the level of the heartbeat, which the search always has low
	watcher  *watcher
	work     supervisor.Work
	snapshot hal.Snapshot
	seen     seen
	out      hal.Outputs
}

func newWalk(rules *supervisor.Rules, s subject) *walk {
	return &walk{subject: s, rules: rules, normal: newNormal(rules), watcher: newWatcher(rules)}
}

// step changes the state to that after one more tick at which the world gives
// this, and returns what was broken by it. before is the time of the last tick.
func (w *walk) step(state *State, g *Given, before time.Duration) broken {
	w.out = hal.Outputs{}
	if g.Restart {
		state.Memory = w.subject.restart(&state.Memory)
		w.watcher.restart(&state.Monitor)
		w.normalise(&state.Memory)
		w.beat = false
		return 0
	}
	m := &state.Memory
	g.fill(&w.snapshot, &w.rules.Interlock.Power, state.Monitor.Out)
	w.snapshot.Time = before + g.Elapsed
	w.out = w.subject.decide(w.rules, m, &w.snapshot, &g.Estimates, g.Ask, &w.work)
	w.seen = seen{
		snapshot: &w.snapshot, estimates: &g.Estimates, ask: g.Ask, elapsed: g.Elapsed,
		out: w.out, told: w.work.Interlock.All(), firstOut: m.Interlock.First.Slot, beat: w.beat,
	}
	b := w.watcher.step(&state.Monitor, &w.seen)
	w.beat = w.whole && w.out.Heartbeat
	w.normalise(m)
	return b
}

// acted returns the functions that tripped or held at this tick.
func (w *walk) acted() (set uint32) {
	for _, e := range w.work.Interlock.All() {
		if e.Kind == interlock.Tripped || e.Kind == interlock.Holding {
			set |= 1 << e.Function
		}
	}
	return set
}

func (w *walk) normalise(m *supervisor.Memory) {
	if !w.whole {
		w.normal.apply(m)
	}
}
