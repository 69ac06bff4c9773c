package drive_test

import (
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

// newSession returns a session of the demo tank, and the start of its recipe.
func newSession(t testing.TB) (*drive.Session, hal.Request) {
	sc, err := scenario.LoadFrom(testdata.FS.ReadFile, "scenarios/fan-fails.toml")
	require.NoError(t, err)
	return sessionIn(t, sc, sc.World)
}

// sessionIn returns a session of a scenario's machine in some world.
func sessionIn(t testing.TB, sc *scenario.Scenario, w plant.World) (*drive.Session, hal.Request) {
	p, err := plant.New(sc.Plant, w)
	require.NoError(t, err)
	return drive.New(sc.Config, supervisor.Kept{}, p), hal.Request{Verb: hal.Start, Recipe: sc.Recipe.Recipe.Name}
}

func run(t testing.TB, s *drive.Session, request hal.Request, d time.Duration) {
	for end := s.Now() + d; s.Now() < end; {
		require.NoError(t, s.Tick(request))
	}
}

// A board whose program stalls lets its outputs fall off, and the program that
// comes back finds them latched off.
func TestAStallEndsInAnOpenContactor(t *testing.T) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	run(t, s, start, time.Second)
	run(t, s, hal.Request{}, time.Minute)
	require.True(t, s.Plant.Truth().ContactorClosed)
	s.Stall(5 * time.Second)
	run(t, s, hal.Request{}, 200*time.Millisecond)
	assert.False(t, s.Plant.Truth().ContactorClosed)
	run(t, s, hal.Request{}, time.Minute)
	assert.Equal(t, "loop late", s.Supervisor.Status().FirstOut.Sentence())
	assert.False(t, s.Plant.Truth().ContactorClosed)
}

func TestARestartResumesNothing(t *testing.T) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	run(t, s, start, time.Second)
	run(t, s, hal.Request{}, time.Minute)
	s.Restart(20 * time.Second)
	run(t, s, hal.Request{}, time.Minute)
	assert.Equal(t, recipe.Idle, s.Supervisor.Status().Phase)
	assert.False(t, s.Plant.Truth().ContactorClosed)
}

func TestALockoutSurvivesARestart(t *testing.T) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	s.Plant.Faults.ContactorWontClose = true
	run(t, s, start, time.Second)
	run(t, s, hal.Request{}, time.Minute)
	require.Equal(t, "contactor disagrees", s.Supervisor.Status().FirstOut.Sentence())
	s.Plant.Faults.ContactorWontClose = false
	s.Restart(time.Minute)
	run(t, s, start, time.Second)
	run(t, s, hal.Request{}, time.Minute)
	assert.Equal(t, recipe.Idle, s.Supervisor.Status().Phase)
	assert.Equal(t, "contactor disagrees", s.Supervisor.Status().FirstOut.Sentence())
}

func TestASessionAllocatesNothingTickByTick(t *testing.T) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	run(t, s, start, time.Second)
	assert.Zero(t, testing.AllocsPerRun(20000, func() { _ = s.Tick(hal.Request{}) }))
}

// BenchmarkSession is plant and supervisor together on the demo tank, through
// whole sessions; an operation is one tick of 100 ms.
func BenchmarkSession(b *testing.B) {
	s, start := newSession(b)
	b.ReportAllocs()
	for b.Loop() {
		request := hal.Request{}
		if s.Ticks%2 == 0 && s.Supervisor.Status().Phase == recipe.Idle || s.Supervisor.Status().Phase == recipe.TurnOver {
			request = start
		}
		if err := s.Tick(request); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(s.Now().Seconds()/b.Elapsed().Seconds(), "simulated-s/s")
}
