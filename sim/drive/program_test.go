package drive_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/interlock"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

// These are the faults of the program and of its owner, which the session makes so.

// heated returns a session in which the heater is on.
func heated(t *testing.T) (*drive.Session, hal.Request) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	run(t, s, start, 100*time.Millisecond)
	run(t, s, hal.Request{}, 30*time.Second)
	require.Equal(t, recipe.Preheat, s.Supervisor.Status().Phase)
	require.True(t, s.Plant.Truth().HeaterOn)
	return s, start
}

// tripped returns the first-out as a sentence.
func tripped(s *drive.Session) string { return s.Supervisor.Status().FirstOut.Sentence() }

func TestAStoppedProgramLetsItsOutputsFallOff(t *testing.T) {
	s, start := heated(t)
	s.Plant.Faults.ProgramStopped = true
	// The lease is 300 ms, and one of them is over when the program stops.
	ticks := s.Ticks
	run(t, s, start, 200*time.Millisecond)
	assert.True(t, s.Plant.Truth().HeaterOn, "nothing falls off before its time")
	run(t, s, start, 200*time.Millisecond)
	truth := s.Plant.Truth()
	assert.True(t, truth.OutputsFallen)
	assert.False(t, truth.ContactorClosed)
	run(t, s, start, 100*time.Millisecond)
	assert.False(t, s.Plant.Truth().HeaterOn, "its watts are means over a tick")
	run(t, s, start, 10*time.Second)
	assert.False(t, s.Plant.Truth().ContactorClosed)
	assert.Equal(t, ticks+105, s.Ticks, "the session's clock goes on")
	assert.Equal(t, s.Plant.Truth().Time, s.Now(), "and so does what is seen")
	assert.Equal(t, "no first-out", tripped(s), "it has not noticed yet")

	s.Plant.Faults.ProgramStopped = false
	run(t, s, hal.Request{}, 100*time.Millisecond)
	assert.Equal(t, "loop late", tripped(s))
	assert.False(t, s.Outputs.Contactor)
	run(t, s, start, 100*time.Millisecond)
	run(t, s, hal.Request{}, time.Minute)
	assert.False(t, s.Plant.Truth().ContactorClosed, "a start without a reset does nothing")
}

func TestNobodyTellsAnythingForAStoppedProgram(t *testing.T) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	require.NoError(t, s.Tick(start))
	require.NotEmpty(t, s.Events)
	require.Equal(t, start, s.Request)
	s.Plant.Faults.ProgramStopped = true
	require.NoError(t, s.Tick(start))
	assert.Empty(t, s.Events)
	assert.Equal(t, hal.Request{}, s.Request)
}

func TestAKilledProgramComesBackWithNothingOn(t *testing.T) {
	s, start := heated(t)
	before := s.Supervisor
	s.Plant.Faults.ProgramKilled = true
	run(t, s, hal.Request{}, 10*time.Second)
	assert.False(t, s.Plant.Truth().ContactorClosed)
	assert.Same(t, before, s.Supervisor, "the new one starts when the fault is over")
	s.Plant.Faults.ProgramKilled = false
	run(t, s, hal.Request{}, 100*time.Millisecond)
	assert.NotSame(t, before, s.Supervisor)
	again := s.Supervisor
	run(t, s, hal.Request{}, time.Minute)
	assert.Same(t, again, s.Supervisor, "once is enough")
	assert.Equal(t, recipe.Idle, s.Supervisor.Status().Phase)
	assert.Equal(t, "no first-out", tripped(s))
	truth := s.Plant.Truth()
	assert.False(t, truth.ContactorClosed)
	assert.False(t, truth.HeaterOn)
	assert.Zero(t, truth.Emitting)
	// It is a program like any other.
	run(t, s, start, 100*time.Millisecond)
	run(t, s, hal.Request{}, time.Minute)
	assert.Equal(t, recipe.Preheat, s.Supervisor.Status().Phase)
	assert.True(t, s.Plant.Truth().ContactorClosed)
}

func TestALockoutSurvivesAKill(t *testing.T) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	s.Plant.Faults.ContactorWontClose = true
	run(t, s, start, 100*time.Millisecond)
	run(t, s, hal.Request{}, time.Minute)
	require.Equal(t, "contactor disagrees", tripped(s))
	s.Plant.Faults.ContactorWontClose, s.Plant.Faults.ProgramKilled = false, true
	run(t, s, hal.Request{}, time.Second)
	s.Plant.Faults.ProgramKilled = false
	run(t, s, hal.Request{}, time.Second)
	assert.Equal(t, "contactor disagrees", tripped(s))
}

func TestAProgramThatIsStoppedAndKilledIsStartedAnew(t *testing.T) {
	s, _ := heated(t)
	before := s.Supervisor
	s.Plant.Faults.ProgramStopped, s.Plant.Faults.ProgramKilled = true, true
	run(t, s, hal.Request{}, time.Second)
	s.Plant.Faults.ProgramKilled = false // still stopped, but another by now
	run(t, s, hal.Request{}, time.Second)
	assert.Same(t, before, s.Supervisor)
	s.Plant.Faults.ProgramStopped = false
	run(t, s, hal.Request{}, time.Second)
	assert.NotSame(t, before, s.Supervisor)
	assert.Equal(t, recipe.Idle, s.Supervisor.Status().Phase)
}

// resets counts how often anything was reset, and how often that was refused.
func resets(t *testing.T, s *drive.Session, d time.Duration) (done, refused int) {
	for end := s.Now() + d; s.Now() < end; {
		require.NoError(t, s.Tick(hal.Request{}))
		for _, e := range s.Events {
			switch e.Interlock.Kind {
			case interlock.WasReset:
				done++
			case interlock.ResetRefused:
				refused++
			}
		}
	}
	return done, refused
}

func TestAHeldResetResetsNothing(t *testing.T) {
	for _, c := range []struct {
		name         string
		before, held bool
	}{{"held before it trips", true, true}, {"held after it has tripped", false, true}, {"not held", false, false}} {
		t.Run(c.name, func(t *testing.T) {
			s, _ := heated(t)
			f := &s.Plant.Faults
			f.ResetHeld = c.before
			run(t, s, hal.Request{}, time.Second)
			f.StopOpen = true
			run(t, s, hal.Request{}, time.Second)
			require.Equal(t, "stop", tripped(s))
			f.StopOpen, f.ResetHeld = false, c.held
			done, refused := resets(t, s, 10*time.Minute)
			assert.Zero(t, done+refused, "it acts when it is let go")
			assert.Equal(t, "stop", tripped(s))
			assert.False(t, s.Plant.Truth().ContactorClosed)
			assert.Equal(t, c.held, s.Request.Verb == hal.Reset)

			f.ResetHeld = false
			done, _ = resets(t, s, time.Second)
			if c.held {
				assert.Equal(t, 1, done, "now it has been let go")
				assert.Equal(t, "no first-out", tripped(s))
			} else {
				assert.Zero(t, done, "there was none to let go")
			}
			assert.False(t, s.Plant.Truth().ContactorClosed, "a reset starts nothing")
		})
	}
}

func TestNobodyStartsWhileAResetIsHeld(t *testing.T) {
	s, start := newSession(t)
	run(t, s, hal.Request{}, 5*time.Second)
	s.Plant.Faults.ResetHeld = true
	run(t, s, start, 10*time.Second)
	assert.Equal(t, recipe.Idle, s.Supervisor.Status().Phase)
}

func TestLateTicksTrip(t *testing.T) {
	// A tick is due after 100 ms and late after 200. The lease has 300.
	for _, c := range []struct {
		late  float64
		trips bool
		falls bool
	}{{-1, false, false}, {0, false, false}, {0.05, false, false}, {0.1, false, false}, {0.15, true, false}, {0.3, true, true}, {3, true, true}} {
		s, _ := heated(t)
		s.Plant.Faults.TickLate = c.late
		before := s.Now()
		require.NoError(t, s.Tick(hal.Request{}))
		took := 100*time.Millisecond + time.Duration(max(c.late, 0)*1e9)
		assert.Equal(t, took, s.Now()-before, "%v s late", c.late)
		assert.Equal(t, c.falls, s.Plant.Truth().OutputsFallen, "%v s late", c.late)
		for range 10 {
			require.NoError(t, s.Tick(hal.Request{}))
		}
		assert.Equal(t, 11*took, s.Now()-before, "each of them")
		if c.trips {
			assert.Equal(t, "loop late", tripped(s), "%v s late", c.late)
		} else {
			assert.Equal(t, "no first-out", tripped(s), "%v s late", c.late)
		}
		assert.Equal(t, !c.trips, s.Plant.Truth().ContactorClosed, "%v s late", c.late)
	}
}

func TestAKilledProgramReadsWhatItsJournalKept(t *testing.T) {
	sc, err := scenario.LoadFrom(testdata.FS.ReadFile, "scenarios/fan-fails.toml")
	require.NoError(t, err)
	p, err := plant.New(sc.Plant, sc.World)
	require.NoError(t, err)
	folder := journal.Folder(t.TempDir())
	require.NoError(t, journal.Create(folder))
	cabinet := setup.Journal(sc.Machine, []*recipe.File{sc.Recipe}, trace.Synthetic, 1)
	s := drive.NewRecorded(sc.Config, folder, cabinet, scenario.Begun, p)
	run(t, s, hal.Request{}, 5*time.Second)
	s.Plant.Faults.ContactorWontClose = true
	run(t, s, hal.Request{Verb: hal.Start, Recipe: sc.Recipe.Recipe.Name}, 100*time.Millisecond)
	run(t, s, hal.Request{}, time.Minute)
	require.Equal(t, "contactor disagrees", tripped(s))
	before := s.Supervisor
	s.Plant.Faults.ContactorWontClose, s.Plant.Faults.ProgramKilled = false, true
	run(t, s, hal.Request{}, time.Second)
	s.Plant.Faults.ProgramKilled = false
	run(t, s, hal.Request{}, time.Second)
	assert.NotSame(t, before, s.Supervisor)
	assert.Equal(t, "contactor disagrees", tripped(s), "a lockout outlives its program")
	assert.NoError(t, s.Close())
}
