package proofbench

import (
	"errors"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
	"bathtender/firmware/prooftest"
	"bathtender/firmware/status"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// What stands already before anything is done is not taken for a pass.
func TestWhatStandsBeforeIsNotTried(t *testing.T) {
	r := newRig(t, nil)
	r.session.Plant.Faults.LidOpen = true
	results, _, err := r.walk(only("lid open"))
	require.NoError(t, err)
	assert.Equal(t, journal.ProofNotTried, results[0].Outcome)
	assert.Equal(t, "the cabinet shows it already, before anything was done", results[0].Why)
}

// Something that is latched and cannot be reset stops every step, and none passes.
func TestNothingPassesWhileSomethingWaitsForAReset(t *testing.T) {
	r := newRig(t, nil)
	r.session.Plant.Faults.StopOpen = true
	results, _, err := r.walk(only("leak", "lid open"))
	require.NoError(t, err)
	for _, one := range results {
		assert.Equal(t, journal.ProofNotTried, one.Outcome)
		assert.Equal(t, "something waits for a reset: stop", one.Why)
	}
}

// A bath that is warm enough has no preheat, so no heater to be seen to fall.
func TestAWarmBathIsNotTried(t *testing.T) {
	r := newRig(t, nil)
	for _, i := range []int{hal.BathA, hal.BathB} {
		r.session.Plant.Faults.ProbeOffset[i] = 32
	}
	for range 400 { // the probes are believed again
		require.NoError(t, r.session.Tick(hal.Request{}))
	}
	results, heard, err := r.walk(only("stop"))
	require.NoError(t, err)
	assert.Equal(t, journal.ProofNotTried, results[0].Outcome, heard)
	assert.Contains(t, results[0].Why, "the bath is warm enough for this recipe")
	assert.Contains(t, r.asked, "stop")
}

// Views every half second cannot tell 0.5 s from 1 s, and neither is let pass for it: the
// program is held to its own words as well.
func TestCoarseViewsAreHeldToWhatIsSaid(t *testing.T) {
	for _, late := range []bool{false, true} {
		r := newRig(t, func(c *supervisor.Config) {
			if late {
				c.Interlock.Delay[interlock.LidOpen] *= 2
			}
		})
		r.every = 5
		results, heard, err := r.walk(only("lid open"))
		require.NoError(t, err)
		if late {
			assert.Equal(t, journal.ProofFailed, results[0].Outcome, heard)
			assert.Contains(t, results[0].Why, "1.0 s")
		} else {
			assert.Equal(t, journal.ProofPassed, results[0].Outcome, heard)
		}
	}
}

// A start that is refused at first is asked for again.
func TestAStartThatIsRefusedAtFirstIsAskedForAgain(t *testing.T) {
	r := newRig(t, nil)
	w := &refusing{rig: r, times: 3}
	plan := prooftest.Plan(r.scenario.Machine)
	r.hand = newHand(plan)
	steps, err := prooftest.Choose(plan, "stop")
	require.NoError(t, err)
	config := r.scenario.Machine.Interlock()
	walk := prooftest.Walk{Steps: steps, Recipe: "heavy", Tick: config.Tick, Idle: prooftest.IdleWatts(&config), Watcher: w, Talk: prooftest.NewTalk(t.Context(), r.hand, r.hand)}
	results, err := walk.Run()
	require.NoError(t, err)
	assert.Equal(t, journal.ProofPassed, results[0].Outcome, results[0].Why)
	w.times = 1000
	results, err = walk.Run()
	require.NoError(t, err)
	assert.Equal(t, "not tried: the session could not be started: not yet", results[0].Sentence())
}

// refusing is a program that refuses a start some times.
type refusing struct {
	*rig
	times int
}

func (f *refusing) Ask(what, recipe string) (string, error) {
	if f.times--; what == "start" && f.times >= 0 {
		return "", errors.New("not yet")
	}
	return f.rig.Ask(what, recipe)
}

// A machine that wants its START button, and nobody presses it: nothing failed.
func TestAStartThatNobodyPressesIsNoFailure(t *testing.T) {
	r := newRig(t, nil)
	plan := prooftest.Plan(r.scenario.Machine)
	r.hand = newHand(plan)
	steps, err := prooftest.Choose(plan, "airflow not proven, fan 1")
	require.NoError(t, err)
	walk := prooftest.Walk{Steps: steps, Recipe: "heavy", Tick: 100 * time.Millisecond, Watcher: &buttoned{r}, Talk: prooftest.NewTalk(t.Context(), r.hand, r.hand)}
	results, err := walk.Run()
	require.NoError(t, err)
	assert.Equal(t, "not tried: no session began", results[0].Sentence())
	assert.Contains(t, r.hand.heard.String(), "Press the START button at the cabinet.")
}

// buttoned is a program in which a start only selects.
type buttoned struct{ *rig }

func (b *buttoned) Ask(string, string) (string, error) { return "", nil }

func (b *buttoned) View() (*status.View, error) {
	v, err := b.rig.View()
	if v != nil {
		v.Selected = &status.Selected{Recipe: "heavy"}
	}
	return v, err
}

func TestViewsThatComeTooSeldomJudgeNothing(t *testing.T) {
	r := newRig(t, nil)
	r.every = 10
	results, _, err := r.walk(only("lid open"))
	require.NoError(t, err)
	assert.Equal(t, journal.ProofNotTried, results[0].Outcome)
	assert.Equal(t, "the program was seen only every 1.0 s, too seldom to judge 0.5 s", results[0].Why)
}

// A plug that makes contact now and then is no pass: it is said, and waited for.
func TestASignalThatGoesAwayIsNotJudged(t *testing.T) {
	r := newRig(t, nil)
	r.hand = newHand(prooftest.Plan(r.scenario.Machine))
	r.hand.shaky = true
	results, heard, err := r.walk(only("leak"))
	require.NoError(t, err)
	assert.Contains(t, heard, "It was seen, and has gone again; it must stay.")
	assert.NotEqual(t, journal.ProofFailed, results[0].Outcome, results[0].Why)
}

// An odd answer is asked again, and changes nothing.
func TestOddAnswersAreAskedAgain(t *testing.T) {
	r := newRig(t, nil)
	r.hand = newHand(prooftest.Plan(r.scenario.Machine))
	r.hand.odd = []string{"perhaps", "", "YES!"}
	results, heard, err := r.walk(only("leak"))
	require.NoError(t, err)
	assert.Equal(t, journal.ProofPassed, results[0].Outcome)
	assert.Contains(t, heard, `"perhaps" is no answer to this, allowed are yes, no and skip.`)
}

// Wherever the answers end, what was done is kept, the rest is not tried, and nothing
// is left running.
func TestAnEndOfTheAnswersEndsInOrder(t *testing.T) {
	for _, c := range []struct {
		at     string
		passed int
	}{{"Are the drivers off", 0}, {"Ready?", 0}, {"Now dry the leak sensor", 1}, {"Now close the lid", 2}, {"Now release the stop button", 3}, {"Now lift the float", 3}} {
		t.Run(c.at, func(t *testing.T) {
			t.Parallel()
			r := newRig(t, nil)
			r.hand = newHand(prooftest.Plan(r.scenario.Machine))
			r.hand.end = c.at
			results, heard, err := r.walk(only("leak", "lid open", "stop", "level low"))
			require.Error(t, err)
			require.Len(t, results, 4)
			tally := prooftest.Count(results)
			assert.Equal(t, prooftest.Tally{Passed: c.passed, NotTried: 4 - c.passed}, tally, heard)
			assert.Contains(t, heard, "What was done so far is kept.")
			_, err = r.View()
			require.NoError(t, err)
			_, err = r.View()
			require.NoError(t, err)
			assert.False(t, r.session.Outputs.Contactor)
		})
	}
}

func TestAProgramThatHangsUpEndsInOrder(t *testing.T) {
	r := newRig(t, nil)
	r.stopAt = r.session.Now() + 20*time.Second
	results, _, err := r.walk(nil)
	require.EqualError(t, err, "the program has hung up")
	tally := prooftest.Count(results)
	assert.Positive(t, tally.Passed)
	assert.Zero(t, tally.Failed)
	assert.Equal(t, len(results), tally.Passed+tally.NotTried)
}

// A reset that takes a latch away although its cause stands is a failure.
func TestAResetThatActsTooSoonFails(t *testing.T) {
	r := newRig(t, nil)
	w := forgetful{rig: r}
	plan := prooftest.Plan(r.scenario.Machine)
	r.hand = newHand(plan)
	for _, s := range plan {
		if s.Function != interlock.Leak {
			continue
		}
		config := r.scenario.Machine.Interlock()
		walk := prooftest.Walk{Steps: []prooftest.Step{s}, Tick: config.Tick, Watcher: &w, Talk: prooftest.NewTalk(t.Context(), r.hand, r.hand)}
		results, err := walk.Run()
		require.NoError(t, err)
		assert.Equal(t, "FAIL: a reset took it away although its cause still stood", results[0].Sentence())
	}
}

// forgetful is a program that forgets its latches at any reset.
type forgetful struct {
	*rig
	forgot bool
}

func (f *forgetful) Ask(what, recipe string) (string, error) {
	f.forgot = f.forgot || what == "reset"
	return f.rig.Ask(what, recipe)
}

func (f *forgetful) View() (*status.View, error) {
	v, err := f.rig.View()
	if v != nil && f.forgot {
		v.Latched = nil
	}
	return v, err
}
