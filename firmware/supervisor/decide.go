package supervisor

import (
	"time"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

// Rules is what Decide goes by: one machine, and the recipes that it has.
type Rules struct {
	Interlock interlock.Config
	Timing    recipe.Timing
	Recipes   []recipe.Recipe
}

// Memory is all that Decide remembers from tick to tick: one small comparable
// value of integers and arrays. It can be copied, compared, hashed, stored and
// enumerated. The zero Memory is that of a program just started.
type Memory struct {
	Interlock interlock.Memory
	Sequence  recipe.Memory
	// Commanded is what the last tick drove; Verb what was asked at it.
	Commanded hal.Outputs
	Verb      hal.Verb
	// Last is the time of the last tick; Began says that there was one.
	Last  time.Duration
	Began bool
}

// Ask is a request with its recipe looked up: Recipe is its place plus 1, 0 for
// none.
type Ask struct {
	Verb   hal.Verb
	Recipe uint8
}

// Work is the room that one Decide works in: what the interlock and the recipe
// were given, and what happened. The caller keeps it and hands it in again, so
// that a tick allocates nothing.
type Work struct {
	Judged    interlock.Input
	Permits   interlock.Permits
	Interlock interlock.Events
	advanced  recipe.Input
	Sequence  recipe.Events
}

// Decide judges one tick: from the snapshot, the estimates and what was asked,
// the outputs. It is integer arithmetic only, and changes nothing but the
// memory and the work.
func Decide(rules *Rules, m *Memory, snapshot *hal.Snapshot, estimates *interlock.Estimates, ask Ask, work *Work) hal.Outputs {
	work.Interlock.Empty()
	work.Sequence.Empty()
	elapsed := snapshot.Time - m.Last
	if !m.Began {
		elapsed = 0
	}
	work.Judged = interlock.Input{
		Snapshot:    snapshot,
		Estimates:   estimates,
		Commanded:   m.Commanded,
		Elapsed:     elapsed,
		First:       !m.Began,
		RecipeLimit: m.Sequence.Limit(rules.Recipes),
		// A button that gives way to a stop has not been let go.
		ResetReleased: m.Verb == hal.Reset && ask.Verb == hal.None,
	}
	work.Permits = interlock.Judge(&rules.Interlock, &m.Interlock, &work.Judged, &work.Interlock)
	work.advanced = recipe.Input{
		At:      snapshot.Time,
		Elapsed: max(elapsed, 0),
		// A button that is down when the program starts was not pressed for it.
		Pressed:   m.Began && ask.Verb == hal.Start && m.Verb != hal.Start,
		Recipe:    ask.Recipe,
		Stop:      ask.Verb == hal.Stop,
		Permits:   work.Permits,
		AirProven: m.Interlock.AirProven,
		Commanded: m.Commanded,
		Snapshot:  snapshot,
		Estimates: estimates,
	}
	want := recipe.Advance(&rules.Timing, rules.Recipes, &m.Sequence, &work.advanced, &work.Sequence)
	out := work.Permits.Allow(want)
	if !m.Interlock.Latched.Empty() {
		out.Sounder = true
	}
	if work.Interlock.Lost > 0 || work.Sequence.Lost > 0 {
		out = hal.Outputs{Fans: out.Fans, Sounder: true} // what happened could not all be told
	}
	healthy := onTime(rules, &work.Judged) && snapshot.OutputsOK && sampled(rules, snapshot)
	out.FeedWatchdog = healthy
	out.Heartbeat = m.Commanded.Heartbeat != healthy
	m.Commanded, m.Verb, m.Last, m.Began = out, ask.Verb, snapshot.Time, true
	return out
}

// onTime reports whether this tick met its deadline. A late tick must not feed
// the watchdog, whatever it decided.
func onTime(rules *Rules, in *interlock.Input) bool {
	return in.First || in.Elapsed > 0 && in.Elapsed <= rules.Interlock.Deadline
}

// sampled reports whether any sensor has answered lately. A loop that turns
// while nothing is being read is not healthy; a single dead sensor is a trip's
// business, not the watchdog's.
func sampled(rules *Rules, s *hal.Snapshot) bool {
	for i := range s.Probes {
		if _, ok := s.Probes[i].Within(rules.Interlock.Probes.MaxAge); ok {
			return true
		}
	}
	for i := range s.Fans {
		if _, ok := s.Fans[i].Within(rules.Interlock.Fans.MaxAge); ok {
			return true
		}
	}
	_, ok := s.Meter.Watts.Within(rules.Interlock.Power.MaxAge)
	return ok
}
