package prove

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// asTold is what is told of a tick, without times and values.
func asTold(w *walk) (list []interlock.Event) {
	for _, e := range w.work.Interlock.All() {
		list = append(list, interlock.Event{Kind: e.Kind, Function: e.Function, Place: e.Place, FirstOut: e.FirstOut})
	}
	return list
}

func phases(w *walk) (list []recipe.Event) {
	for _, e := range w.work.Sequence.All() {
		e.At = 0
		list = append(list, e)
	}
	return list
}

// TestWhatIsTakenOutMakesNoDifference goes long random ways with two
// supervisors: one whose memory is made normal after each tick, as the search
// does, and one whose memory is left whole. They must drive and tell the same.
func TestWhatIsTakenOutMakesNoDifference(t *testing.T) {
	ways, steps := 60, 400
	if testing.Short() {
		ways = 15
	}
	for _, v := range Views() {
		chance := rand.New(rand.NewPCG(1, 2))
		inputs := v.Inputs()
		for range ways {
			var normalState, wholeState State
			a, b := newWalk(&v.Rules, shipped()), newWalk(&v.Rules, shipped())
			b.whole = true
			g := &inputs[0]
			for n := range steps {
				if chance.IntN(3) > 0 { // stay for a while, so that sessions come to something
					g = &inputs[chance.IntN(len(inputs))]
					if chance.IntN(2) == 0 {
						g = &inputs[0]
					}
				}
				if g.Restart && chance.IntN(10) > 0 {
					g = &inputs[0]
				}
				brokenA := a.step(&normalState, g, 0)
				brokenB := b.step(&wholeState, g, wholeState.Memory.Last)
				a.out.Heartbeat, b.out.Heartbeat = false, false // its level, not its change, is taken out
				require.Equal(t, b.out, a.out, "view %s, step %d", v.Name, n)
				require.Equal(t, asTold(b), asTold(a), "view %s, step %d", v.Name, n)
				require.Equal(t, phases(b), phases(a), "view %s, step %d", v.Name, n)
				require.Equal(t, brokenB, brokenA, "view %s, step %d", v.Name, n)
				require.Equal(t, wholeState.Monitor, normalState.Monitor, "view %s, step %d", v.Name, n)
				same := wholeState.Memory
				b.normal.apply(&same)
				require.Equal(t, same, normalState.Memory, "view %s, step %d", v.Name, n)
			}
		}
	}
}

// TestOnlyTimeSpansCount goes one way twice, the second time with every time of
// the day shifted by a constant, and expects the same outputs.
func TestOnlyTimeSpansCount(t *testing.T) {
	const shift = 1234567 * time.Second
	for _, v := range Views() {
		chance := rand.New(rand.NewPCG(3, 4))
		inputs := v.Inputs()
		inputs = inputs[:len(inputs)-1] // no restart
		var a, b supervisor.Memory
		var workA, workB supervisor.Work
		var now time.Duration
		var snapshot hal.Snapshot
		for range 2000 {
			g := &inputs[0]
			if chance.IntN(3) == 0 {
				g = &inputs[chance.IntN(len(inputs))]
			}
			g.fill(&snapshot, &v.Rules.Interlock.Power, a.Commanded)
			now += g.Elapsed
			snapshot.Time = now
			outA := supervisor.Decide(&v.Rules, &a, &snapshot, &g.Estimates, g.Ask, &workA)
			snapshot.Time = now + shift
			outB := supervisor.Decide(&v.Rules, &b, &snapshot, &g.Estimates, g.Ask, &workB)
			require.Equal(t, outA, outB, v.Name)
			moved := b
			moved.Last -= shift
			if moved.Interlock.First.Slot != 0 {
				moved.Interlock.First.At -= shift
			}
			require.Equal(t, a, moved, "%s: a time of the day is remembered that the search does not know of", v.Name)
		}
	}
}
