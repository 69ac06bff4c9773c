package prove

import (
	"runtime"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// quick are the views that a short run searches.
var quick = map[string]bool{"air": true, "bath": true, "heat": true, "contactor": true, "stop": true, "lid": true, "leak": true, "late": true, "reset": true, "sides": true, "long": true}

// searched are the results of all views, or of the quick ones; they are searched
// once.
func searched(t *testing.T) []*Result {
	t.Helper()
	results, err := searchOnce()
	require.NoError(t, err)
	return results
}

var searchOnce = sync.OnceValues(func() ([]*Result, error) {
	views := Views()
	if testing.Short() {
		var few []*View
		for _, v := range views {
			if quick[v.Name] {
				few = append(few, v)
			}
		}
		views = few
	}
	return All(views, runtime.GOMAXPROCS(0), nil)
})

// knownIn are the views in which something is known not to hold, and what. Who
// mends it takes it out here, and out of Known.
var knownIn = map[Known][]string{
	AuxFlickers: {"contactor"},
}

// TestEverythingHolds searches the shipped code. The rules are the design's
// sections 3 and 4, which follow, as named there, ISO 13849-1 (manual reset on
// release), IEC 60204-1 (stop category 0, no start by itself), EN 298 (air is
// proven before it is trusted) and ISA-18.1 (first-out).
func TestEverythingHolds(t *testing.T) {
	found := map[Known]bool{}
	for _, r := range searched(t) {
		name := r.View.Name
		for i, trail := range r.Broken {
			if trail != nil {
				t.Errorf("%s is broken in view %s:\n%s", Invariant(i), name, told(t, trail, shipped()))
			}
		}
		for k, trail := range r.Known {
			if trail != nil {
				found[Known(k)] = true
				assert.Contains(t, knownIn[Known(k)], name, "%s, in a view in which it was not known", Known(k))
			}
		}
		// A view in which nothing happens holds everything.
		for _, f := range r.View.Reaches {
			assert.True(t, r.Acted[f], "%s never acts in view %s", f, name)
		}
		assert.True(t, r.Emitted, "nothing ever emits in view %s", name)
		assert.Equal(t, r.View.Rules.Timing.Heater, r.Heated, "the heater in view %s", name)
		assert.Greater(t, r.States, 50, name)
		assert.Equal(t, r.States > 0, r.Depth > 5, name)
	}
	for k := range KnownCount {
		assert.True(t, found[k], "%s does not come up any more: take it out of Known, so that the invariant is strict again", k)
	}
}

// TestEachFunctionActsSomewhere says that no protective function is left out.
func TestEachFunctionActsSomewhere(t *testing.T) {
	acts := map[string]bool{}
	for _, v := range Views() {
		for _, f := range v.Reaches {
			acts[f.Name()] = true
		}
	}
	for _, c := range causesOf(&Find("stop").Rules) {
		assert.True(t, acts[c.function.Name()], "no view is about %s", c.function)
	}
	assert.Len(t, acts, 26) // as many rows as the design's table and two of later: "kept state unreadable", "bath far above recipe limit"
}

// TestTheSearchIsTheSameEachTime searches some views twice, with other company.
func TestTheSearchIsTheSameEachTime(t *testing.T) {
	views := []*View{Find("reset"), Find("late"), Find("sides")}
	one, err := All(views, 1, nil)
	require.NoError(t, err)
	two, err := All([]*View{Find("reset"), Find("late"), Find("sides")}, 3, nil)
	require.NoError(t, err)
	for i := range one {
		a, b := *one[i], *two[i]
		assert.Equal(t, []int{a.States, a.Transitions, a.Depth, a.Inputs}, []int{b.States, b.Transitions, b.Depth, b.Inputs})
		assert.Equal(t, a.Transitions, a.States*a.Inputs, "each input is tried once on each state")
		for k, trail := range a.Known {
			if trail != nil {
				assert.Equal(t, trail.Path, b.Known[k].Path, a.View.Name)
			}
		}
	}
}
