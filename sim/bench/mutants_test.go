package bench

import (
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"bathtender/interlock"
)

// mutant is a change that breaks a protective function.
type mutant struct {
	name   string
	row    func(*interlock.Row)
	config func(*Cabinet)
}

func delayed(f interlock.Function, name string, by func(time.Duration) time.Duration) mutant {
	return mutant{name: name, config: func(c *Cabinet) {
		c.Config.Interlock.Delay[f] = by(c.Config.Interlock.Delay[f])
	}}
}

// finds replaces a function's cause by one that always finds the same.
func finds(v interlock.Verdict) func(*interlock.Row) {
	return func(r *interlock.Row) {
		judge := reflect.ValueOf(&r.Judge).Elem() // its type has a name that is interlock's own
		judge.Set(reflect.MakeFunc(judge.Type(), func([]reflect.Value) []reflect.Value {
			return []reflect.Value{reflect.ValueOf(interlock.Finding{Verdict: v})}
		}))
	}
}

// mutantsOf returns all the changes of a function that a script must notice.
func mutantsOf(f interlock.Function) []mutant {
	row := interlock.Table[f]
	list := []mutant{
		{name: "deleted", row: finds(interlock.Idle)},
		{name: "never there", row: finds(interlock.Clear)},
	}
	if row.Delay > 0 {
		list = append(list,
			delayed(f, "delay doubled", func(d time.Duration) time.Duration { return 2 * d }),
			delayed(f, "delay a tick longer", func(d time.Duration) time.Duration { return d + 100*time.Millisecond }),
			delayed(f, "delay a tick shorter", func(d time.Duration) time.Duration { return d - 100*time.Millisecond }),
			mutant{name: "strict or not", row: func(r *interlock.Row) { r.Strict = !r.Strict }},
		)
	}
	for _, latch := range []interlock.Latch{interlock.Hold, interlock.Trip, interlock.Lockout} {
		if latch != row.Latch {
			list = append(list, mutant{name: "latch now " + latch.String(), row: func(r *interlock.Row) { r.Latch = latch }})
		}
	}
	for bit := interlock.TakesStart; bit <= interlock.TakesBank; bit <<= 1 {
		list = append(list, mutant{name: "effect changed in " + bit.String(), row: func(r *interlock.Row) { r.Takes ^= bit }})
	}
	return list
}

// equivalent tells why a change of a function changes nothing that can be seen
// from outside; empty where it does.
func equivalent(f interlock.Function, change string) string {
	takes := interlock.Table[f].Takes
	switch {
	case change == "effect changed in start" && takes != interlock.TakesStart && takes != interlock.TakesBank:
		return "whatever takes more than a bank withholds the start anyway"
	case (change == "effect changed in heater" || change == "effect changed in emission") && takes.Has(interlock.TakesContactor):
		return "neither goes without the contactor"
	case change == "strict or not" && takes == interlock.TakesStart:
		return "a start waits for every cause that stands, however short"
	}
	return ""
}

// noticed reports whether a script of the function fails with the change.
func (m *mutant) noticed(t *testing.T, f interlock.Function) bool {
	if m.row != nil {
		was := interlock.Table[f]
		defer func() { interlock.Table[f] = was }()
		m.row(&interlock.Table[f])
	}
	for _, name := range ownScripts(t, f) {
		if len(playKept(t, name, m.config).failures) > 0 {
			return true
		}
	}
	return false
}

// TestTheScriptsOfEveryFunctionCanFail breaks each function in each way, and sees
// that the scripts of that function alone notice it.
func TestTheScriptsOfEveryFunctionCanFail(t *testing.T) {
	for f := range interlock.FunctionCount {
		for _, m := range mutantsOf(f) {
			if testing.Short() && m.name != "deleted" && m.name != "delay doubled" {
				continue
			}
			noticed := m.noticed(t, f)
			if reason := equivalent(f, m.name); reason != "" {
				assert.False(t, noticed, "%v, %s: it is noticed, so it is not true that %s", f, m.name, reason)
				continue
			}
			assert.True(t, noticed, "%v, %s: none of its scripts fails", f, m.name)
		}
	}
}

// The scripts that are about more than one function can fail too.
func TestTheOtherScriptsCanFail(t *testing.T) {
	fan := interlock.AirflowLost
	for name, change := range map[string]mutant{
		"loose-wire.txt":    delayed(fan, "delay a tick longer", func(d time.Duration) time.Duration { return d + 100*time.Millisecond }),
		"first-out.txt":     delayed(interlock.Leak, "a leak is told a tick later", func(d time.Duration) time.Duration { return d + 100*time.Millisecond }),
		"watchdog.txt":      {name: "a late tick is in time", config: func(c *Cabinet) { c.Config.Interlock.Deadline = time.Second }},
		"held-start.txt":    {name: "a session without an end", config: func(c *Cabinet) { c.Config.Timing.RunOnLeast = time.Hour; c.Config.Timing.RunOnMost = time.Hour }},
		"whole-session.txt": {name: "banks start together", config: func(c *Cabinet) { c.Config.Timing.Stagger = 0 }},
	} {
		assert.Empty(t, playKept(t, name, nil).failures, name)
		assert.NotEmpty(t, playKept(t, name, change.config).failures, "%s: %s", name, change.name)
	}
}
