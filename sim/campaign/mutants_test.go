package campaign

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/interlock"
)

// A mutant is the table of protective functions with one thing changed.
type mutant struct {
	f      interlock.Function
	what   string
	change func(*interlock.Row)
	// delay changes the machine's delay of the function, which comes from the
	// table when a machine file is read.
	delay func(time.Duration) time.Duration
}

func never(time.Duration) time.Duration { return math.MaxInt64 }

func twice(d time.Duration) time.Duration { return 2 * d }

func same(d time.Duration) time.Duration { return d }

// mutants returns each function disabled, its delay doubled, each of its effects
// dropped.
func mutants() []mutant {
	var list []mutant
	for f := range interlock.FunctionCount {
		row := &interlock.Table[f]
		list = append(list, mutant{f: f, what: "disabled", change: func(r *interlock.Row) { r.Strict = false }, delay: never})
		if row.Delay > 0 {
			list = append(list, mutant{f: f, what: "delay doubled", change: func(*interlock.Row) {}, delay: twice})
		}
		for bit := interlock.TakesStart; bit <= interlock.TakesBank; bit <<= 1 {
			if row.Takes.Has(bit) {
				list = append(list, mutant{f: f, what: bit.String() + " not taken", change: func(r *interlock.Row) { r.Takes &^= bit }, delay: same})
			}
		}
	}
	return list
}

// leftToTheBench are the mutants that single faults in a campaign's short session
// cannot tell from the shipped table, with the reason. The scripts of the bench
// must catch them (sim/bench, TestTheScriptsOfEveryFunctionCanFail).
var leftToTheBench = map[string]string{
	"bath high limit: disabled":                       noSingleHeats,
	"bath high limit: delay doubled":                  noSingleHeats,
	"bath high limit: contactor not taken":            noSingleHeats,
	"bath above recipe limit: heater not taken":       "its hold comes after the thermostat has switched the heater off",
	"bath far above recipe limit: disabled":           noSingleHeats,
	"bath far above recipe limit: emission not taken": noSingleHeats,
	"airflow signal stuck: disabled":                  onceOnly,
	"airflow signal stuck: delay doubled":             onceOnly,
	"airflow signal stuck: start not taken":           onceOnly,
	"level low: heater not taken":                     emissionGoesToo,
	"bath too small: heater not taken":                "the session that loses its emission is over, and switches the heater off",
	"bath too small: emission not taken":              "in preheat, where it acts, there is no emission",
	"probes disagree: heater not taken":               emissionGoesToo,
	"over-power: heater not taken":                    emissionGoesToo,
	"cabinet hot: delay doubled":                      noSingleWarms,
	"cabinet hot: emission not taken":                 noSingleWarms,
	"session too long: disabled":                      sessionShort,
	"session too long: emission not taken":            sessionShort,
}

const (
	noSingleHeats   = "no single fault brings the bath so far"
	noSingleWarms   = "no single fault warms the cabinet's air for longer than the delay while something emits"
	onceOnly        = "the owner of a campaign starts once, and a tach that sticks is seen after that"
	emissionGoesToo = "what it takes besides ends the session, and with it what this takes"
	sessionShort    = "the sessions of a campaign are shorter than the machine's limit"
)

// Each mutant is caught by the single-fault campaign: what comes of some case is
// then otherwise. The rest is left to the bench.
func TestEveryMutantIsCaught(t *testing.T) {
	if testing.Short() {
		t.Skip("the campaign again for each mutant")
	}
	c := demoCampaign(t, asItIs)
	var results []Result
	require.NoError(t, c.RunAll(Singles(1), 0, func(r Result) error {
		results = append(results, r)
		return nil
	}))
	caught, left := 0, 0
	for _, m := range mutants() {
		name := fmt.Sprintf("%v: %s", m.f, m.what)
		found := c.catches(t, m, results)
		if reason, listed := leftToTheBench[name]; listed {
			assert.NotEmpty(t, reason)
			assert.Empty(t, found, "%s is left to the bench, and %s tells it", name, found)
			left++
			continue
		}
		if found == "" {
			assert.Fail(t, name+" is not caught")
			continue
		}
		caught++
	}
	assert.Equal(t, len(leftToTheBench), left, "each that is left to the bench is a mutant")
	t.Logf("%d of %d mutants caught", caught, len(mutants()))
}

// catches returns the first case that a mutant makes otherwise. Only cases in
// which the function acted can be.
func (c *Campaign) catches(t *testing.T, m mutant, results []Result) string {
	shipped := interlock.Table[m.f]
	defer func() { interlock.Table[m.f] = shipped }()
	m.change(&interlock.Table[m.f])
	changed := *c
	changed.config.Interlock.Delay[m.f] = m.delay(c.config.Interlock.Delay[m.f])
	var cases []Case
	want := map[string]Result{}
	for _, r := range results {
		if r.Acted&(1<<m.f) != 0 {
			cases = append(cases, r.Case)
			want[r.Case.Key()] = r
		}
	}
	found := ""
	errFound := fmt.Errorf("found")
	err := changed.RunAll(cases, 0, func(r Result) error {
		if was := want[r.Case.Key()]; !assert.ObjectsAreEqual(was, r) {
			found = r.Case.Key()
			return errFound
		}
		return nil
	})
	if err != nil {
		require.ErrorIs(t, err, errFound)
	}
	return found
}
