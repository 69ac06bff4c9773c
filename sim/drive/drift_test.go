package drive_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

// daily plays a short session with what was kept from the one before, and
// returns what is kept after it and what was said.
func daily(t *testing.T, sc *scenario.Scenario, kept supervisor.Kept, seed uint64, spoil func(*plant.Faults)) (supervisor.Kept, []string) {
	w := sc.Plant.Workshop(seed)
	p, err := plant.New(sc.Plant, w)
	require.NoError(t, err)
	spoil(&p.Faults)
	s := drive.New(sc.Config, kept, p)
	var said []string
	begun := false
	for s.Now() < time.Hour {
		request := hal.Request{}
		if s.Now() == 3*time.Second {
			request = hal.Request{Verb: hal.Start, Recipe: "short"}
		}
		require.NoError(t, s.Tick(request))
		for _, e := range s.Events {
			said = append(said, s.Supervisor.Sentence(e))
		}
		phase := s.Supervisor.Status().Phase
		begun = begun || phase != recipe.Idle
		if begun && phase == recipe.Idle {
			break
		}
	}
	return s.Supervisor.Kept(), said
}

// short is the demo tank with one short recipe that does not heat.
func short(t *testing.T) *scenario.Scenario {
	sc, err := scenario.LoadFrom(testdata.FS.ReadFile, "scenarios/fan-fails.toml")
	require.NoError(t, err)
	sc.Config.Recipes = []recipe.Recipe{{
		Name: "short", Limit: 340 * 1e9, Clean: 3 * time.Minute, Sides: 1, BanksLeast: 4,
		ChangeEmission: 90 * time.Minute, ChangeDays: 20,
	}}
	return sc
}

func mentions(said []string, what string) bool {
	return strings.Contains(strings.Join(said, "\n"), what)
}

// A bank that loses 1 % of its watts a session is warned of long before it
// trips, and no healthy one is.
func TestADriftingBankIsToldBeforeItTrips(t *testing.T) {
	sc := short(t)
	var kept supervisor.Kept
	warned := 0
	for session := range 40 {
		var said []string
		kept, said = daily(t, sc, kept, uint64(session), func(f *plant.Faults) {
			f.BankDrift[1] = -0.01 * max(float64(session-10), 0)
		})
		if mentions(said, "bank 2 drifts: it takes") && warned == 0 {
			warned = session
		}
		if mentions(said, "bank 2 taken out") {
			require.Positive(t, warned)
			assert.Greater(t, session-warned, 10, "warned at session %d", warned)
			return
		}
		for _, other := range []string{"bank 1 ", "bank 3 ", "bank 4 ", "bank 5 ", "bank 6 "} {
			assert.False(t, mentions(said, other+"drifts"), "session %d: %v", session, said)
		}
	}
	require.Positive(t, warned, "never warned")
}

// A bank that was taken out stays out of later sessions, over a restart, until
// its owner resets it; the others go on, and what is left of the watts is told.
func TestABankOutOfServiceStaysOutUntilItIsPutBack(t *testing.T) {
	sc := short(t)
	dead := func(f *plant.Faults) { f.BankDead[2] = true }
	kept, said := daily(t, sc, supervisor.Kept{}, 1, dead)
	require.True(t, mentions(said, "bank 3 taken out"), "%v", said)
	require.Equal(t, hal.Bank(2), kept.Record.OutOfService)

	kept, said = daily(t, sc, kept, 2, func(*plant.Faults) {})
	assert.True(t, mentions(said, "5 of 6 banks are in service: 405 W, 20.5 W/l"), "%v", said)
	assert.Equal(t, hal.Bank(2), kept.Record.OutOfService)

	p, err := plant.New(sc.Plant, sc.Plant.Workshop(3))
	require.NoError(t, err)
	s := drive.New(sc.Config, kept, p)
	run(t, s, hal.Request{}, 3*time.Second)
	run(t, s, hal.Request{Verb: hal.Reset}, time.Second)
	run(t, s, hal.Request{}, time.Second)
	assert.Zero(t, s.Supervisor.Kept().Record.OutOfService)
}

// The liquid's age is told at the start of a session that finds it over the
// recipe's limits.
func TestTheLiquidsAgeIsTold(t *testing.T) {
	sc := short(t)
	kept := supervisor.Kept{Today: 20020}
	require.NoError(t, kept.Record.Fill(20001, 19800*hal.MilliLitre))
	kept, said := daily(t, sc, kept, 1, func(*plant.Faults) {})
	assert.False(t, mentions(said, "due for a change"), "%v", said)
	assert.InDelta(t, 180, kept.Record.Liquid.EmissionSinceFill.Seconds(), 1)
	kept.Today++
	kept.Record.Liquid.EmissionSinceFill = 91 * time.Minute
	_, said = daily(t, sc, kept, 2, func(*plant.Faults) {})
	assert.True(t, mentions(said, "the liquid is due for a change: 1 h 31 min of emission, its limit is 1 h 30 min"), "%v", said)
	assert.True(t, mentions(said, "the liquid is due for a change: 20 days in the tank, its limit is 20 days"), "%v", said)
}
