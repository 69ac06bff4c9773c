package supervisor

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

// A whole session on two sides, from start to idle, in the words that its owner
// would read.
func TestAWholeSession(t *testing.T) {
	c := newCabinet()
	c.run(time.Second)
	require.Equal(t, hal.Outputs{Heartbeat: c.out.Heartbeat, FeedWatchdog: true}, c.out)
	c.start("warm")
	require.True(t, c.out.Fans)
	require.False(t, c.out.Contactor, "air first")
	require.True(t, c.until(recipe.TurnOver, 10*time.Minute))
	c.run(time.Second)
	require.Equal(t, hal.Outputs{Fans: true, Lamp: true, Sounder: true, Heartbeat: c.out.Heartbeat, FeedWatchdog: true}, c.out,
		"hands are in the bath: everything but the fans is off")
	c.run(2 * time.Minute)
	require.Equal(t, recipe.TurnOver, c.Status().Phase, "only START ends a turn-over")
	c.start("warm")
	require.Equal(t, recipe.Clean, c.Status().Phase)
	require.Equal(t, 2, c.Status().Side)
	require.True(t, c.until(recipe.Idle, 5*time.Minute))
	assert.Equal(t, []string{
		`session of "warm" begins`,
		"purge begins",
		"preheat begins",
		"degas begins",
		"clean begins, side 1 of 2",
		"turn-over begins: mains off, turn the parts over and press START",
		"clean begins, side 2 of 2",
		`session of "warm" ends in clean: its work is done`,
		"run-on begins: fans until the cabinet is cool",
		"idle: everything is off",
	}, c.said)
	assert.Zero(t, c.Memory().Interlock.Latched)
}

// Emission is timed to the tick: degas and clean each last as long as the
// recipe says, counted by what was commanded.
func TestEmissionLastsAsLongAsTheRecipeSays(t *testing.T) {
	c := newCabinet()
	c.run(time.Second)
	c.start("warm")
	emitted := time.Duration(0)
	for c.Status().Phase != recipe.TurnOver && c.snap.Time < time.Hour {
		c.step()
		if c.out.Banks != 0 {
			emitted += tick
		}
	}
	assert.Equal(t, 90*time.Second, emitted)
}

func TestBanksStartOneAfterAnother(t *testing.T) {
	c := newCabinet()
	c.run(time.Second)
	c.start("cold")
	require.True(t, c.until(recipe.Clean, time.Minute))
	var at []time.Duration
	last := hal.Banks(0)
	for begin := c.snap.Time; c.snap.Time < begin+10*time.Second; c.step() {
		if c.out.Banks != last {
			require.Equal(t, 1, (c.out.Banks &^ last).Count())
			at = append(at, c.snap.Time-begin)
			last = c.out.Banks
		}
	}
	assert.Equal(t, []time.Duration{0, 2 * time.Second, 4 * time.Second}, at)
	for i := range 3 {
		assert.InDelta(t, 80, float64(c.Status().Estimates.Bank[i].Value)/1e9, 0.01, "bank %d is credited with its step", i+1)
	}
}

func TestADeadBankIsTakenOutAndTheRestGoOnIfTheRecipeAllows(t *testing.T) {
	c := newCabinet()
	c.dead = hal.Bank(1)
	c.run(time.Second)
	c.start("warm") // asks for two
	require.True(t, c.until(recipe.Clean, 10*time.Minute))
	c.run(10 * time.Second)
	assert.Equal(t, hal.Bank(0)|hal.Bank(2), c.out.Banks)
	assert.Contains(t, c.said, "bank 2 takes 0 W, under the 56 W that its baseline asks for, for 5.0 s: bank 2 taken out")

	c = newCabinet()
	c.dead = hal.Bank(1)
	c.run(time.Second)
	c.start("cold") // asks for three
	require.True(t, c.until(recipe.RunOn, 2*time.Minute))
	assert.Contains(t, c.said, `session of "cold" ends in clean: too few banks are in service`)
}

func TestAFanThatFailsEndsTheSessionAndTheFansRunOn(t *testing.T) {
	c := cleaning("cold")
	require.Equal(t, hal.FirstBanks(3), c.out.Banks)
	c.stopped[1] = true
	c.run(time.Second)
	assert.Zero(t, c.out.Banks)
	assert.True(t, c.out.Fans)
	assert.True(t, c.out.Sounder)
	assert.Contains(t, c.said, "fan 2 at 0 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped")
	assert.Contains(t, c.said, `session of "cold" ends in clean: a trip has taken away what it needs`)
	c.stopped[1] = false
	c.run(10 * time.Minute)
	require.Equal(t, recipe.Idle, c.Status().Phase)
	c.start("cold")
	assert.Equal(t, recipe.Idle, c.Status().Phase, "nothing starts while a trip is latched")
	assert.Contains(t, c.said, `start of "cold" refused: airflow lost (fan 2) waits for a reset`)
}

func TestAResetActsOnReleaseOnly(t *testing.T) {
	c := cleaning("cold")
	c.stopped[1] = true
	c.run(2 * time.Second)
	c.stopped[1] = false
	c.run(5 * time.Second)
	latched := func() bool { m := c.Memory(); return !m.Interlock.Latched.Empty() }
	require.True(t, latched())
	c.request = hal.Request{Verb: hal.Reset}
	c.run(time.Minute)
	require.True(t, latched(), "held down it does nothing")
	c.request = hal.Request{}
	c.step()
	assert.False(t, latched())
	assert.Equal(t, "airflow lost (fan 2) has been reset", c.said[len(c.said)-1])
}

func TestAHeldStartButtonStartsOnce(t *testing.T) {
	c := newCabinet()
	c.run(time.Second)
	c.request = hal.Request{Verb: hal.Start, Recipe: "cold"}
	c.run(10 * time.Minute)
	begun := 0
	for _, said := range c.said {
		if said == `session of "cold" begins` {
			begun++
		}
	}
	assert.Equal(t, 1, begun)
	assert.Equal(t, recipe.Idle, c.Status().Phase)
}

func TestALidThatOpensPausesEmissionAndItsClock(t *testing.T) {
	c := cleaning("cold")
	done := c.Memory().Sequence.Done
	c.spoil = func(s *hal.Snapshot) { s.Contacts.LidClosed = hal.Open }
	c.run(time.Minute)
	assert.Zero(t, c.out.Banks)
	assert.Equal(t, recipe.Clean, c.Status().Phase)
	assert.InDelta(t, done.Seconds(), c.Memory().Sequence.Done.Seconds(), 0.6)
	c.spoil = nil
	c.run(2100 * time.Millisecond)
	assert.Equal(t, hal.FirstBanks(1), c.out.Banks, "they start one after another again")
	c.run(5 * time.Second)
	assert.Equal(t, hal.FirstBanks(3), c.out.Banks)
}

func TestAHoldThatDoesNotEndEndsTheSession(t *testing.T) {
	c := cleaning("cold")
	c.spoil = func(s *hal.Snapshot) { s.Contacts.LidClosed = hal.Open }
	c.run(11 * time.Minute)
	assert.Contains(t, c.said, `session of "cold" ends in clean: it has waited for too long`)
}

func TestStopOpensTheContactorAfterTheLoads(t *testing.T) {
	c := cleaning("warm")
	c.request = hal.Request{Verb: hal.Stop}
	c.step()
	require.True(t, c.out.Contactor)
	require.Zero(t, c.out.Banks)
	require.False(t, c.out.Heater)
	c.step()
	require.False(t, c.out.Contactor, "a tick later its contacts part without current")
	assert.Contains(t, c.said, `session of "warm" ends in clean: it was asked to stop`)
}

// Stop category 0 of IEC 60204-1: the power goes at once.
func TestTheStopLoopTakesThePowerInTheSameTick(t *testing.T) {
	c := cleaning("warm")
	c.spoil = func(s *hal.Snapshot) { s.Contacts.StopClosed = hal.Open }
	c.step()
	assert.Equal(t, hal.Outputs{Fans: true, Sounder: true, Heartbeat: c.out.Heartbeat, FeedWatchdog: true}, c.out)
}

func TestAfterARestartNothingResumes(t *testing.T) {
	c := cleaning("warm")
	c.spoil = func(s *hal.Snapshot) { s.Contacts.ContactorAux = hal.Open }
	c.run(2 * time.Second)
	lockouts := c.Lockouts()
	require.False(t, lockouts.Empty())
	c.Supervisor = New(c.config, Kept{Lockouts: lockouts})
	c.spoil, c.out, c.said = nil, hal.Outputs{}, nil
	c.run(time.Minute)
	assert.Equal(t, hal.Outputs{Sounder: true, Heartbeat: c.out.Heartbeat, FeedWatchdog: true}, c.out)
	assert.Equal(t, "contactor disagrees", c.Status().FirstOut.Sentence())
	c.start("warm")
	assert.Equal(t, recipe.Idle, c.Status().Phase)
	c.press(hal.Request{Verb: hal.Reset})
	c.start("warm")
	assert.Equal(t, recipe.Purge, c.Status().Phase)
}

func TestALateTickTripsAndDoesNotFeedTheWatchdog(t *testing.T) {
	c := cleaning("warm")
	beat := c.out.Heartbeat
	c.snap.Time += 2 * tick
	c.step()
	assert.False(t, c.out.Contactor)
	assert.False(t, c.out.FeedWatchdog)
	assert.Equal(t, beat, c.out.Heartbeat, "no beat for a late tick")
	c.run(time.Minute)
	assert.True(t, c.out.FeedWatchdog, "the loop is healthy again")
	assert.False(t, c.out.Contactor, "but recovery is not a reset")
	assert.NotEqual(t, recipe.Clean, c.Status().Phase)
}

// The watchdog's negative cases: a loop that turns but is not healthy.
func TestTheWatchdogIsNotFedByALoopThatOnlyTurns(t *testing.T) {
	for name, spoil := range map[string]func(*hal.Snapshot){
		"outputs not as commanded": func(s *hal.Snapshot) { s.OutputsOK = false },
		"no sensor answers": func(s *hal.Snapshot) {
			*s = hal.Snapshot{Time: s.Time, OutputsOK: true, RecordOK: true, KeptOK: true, Contacts: s.Contacts}
		},
	} {
		c := newCabinet()
		c.run(time.Second)
		c.spoil = spoil
		c.step()
		beat := c.out.Heartbeat
		for range 50 {
			c.step()
			require.False(t, c.out.FeedWatchdog, name)
			require.Equal(t, beat, c.out.Heartbeat, name)
		}
	}
}

func TestTheHeartbeatChangesAtEveryHealthyTick(t *testing.T) {
	c := newCabinet()
	for range 100 {
		before := c.out.Heartbeat
		c.step()
		require.NotEqual(t, before, c.out.Heartbeat)
	}
}

func TestTheCountDownRunsToZero(t *testing.T) {
	c := newCabinet()
	c.run(time.Second)
	c.start("cold")
	togo := c.Status().ToGo
	assert.InDelta(t, (7*time.Second + time.Minute + time.Minute).Seconds(), togo.Total.Seconds(), 1)
	last := togo.Total
	for c.Status().Phase != recipe.Idle {
		c.step()
		now := c.Status().ToGo.Total
		require.LessOrEqual(t, now, last)
		require.LessOrEqual(t, last-now, 200*time.Millisecond)
		last = now
	}
	assert.Zero(t, last)
}

func TestAStartThatIsRefusedSaysWhy(t *testing.T) {
	for want, spoil := range map[string]func(c *cabinet){
		`start of "cold" refused: the journal has not been made durable`:          func(c *cabinet) { c.spoil = func(s *hal.Snapshot) { s.RecordOK = false } },
		`start of a recipe refused: this machine has no such recipe`:              func(c *cabinet) { c.start("boil") },
		`start of "cold" refused: the lid has been open for 0.5 s`:                func(c *cabinet) { c.spoil = func(s *hal.Snapshot) { s.Contacts.LidClosed = hal.Absent } },
		`start of "cold" refused: a session is running, or its fans still run on`: func(c *cabinet) { c.start("cold") },
	} {
		c := newCabinet()
		c.run(time.Second)
		spoil(c)
		c.run(time.Second)
		c.start("cold")
		assert.Contains(t, c.said, want)
	}
}

// Whatever gives no reading when START is pressed is told: not the function that only
// depends on it, and never nothing.
func TestAStartWithoutAReadingSaysWhich(t *testing.T) {
	for want, spoil := range map[string]func(*hal.Snapshot){
		"bath probe A gives no reading for 0.1 s":                           func(s *hal.Snapshot) { s.Probes[hal.BathA].Valid = false },
		"the cabinet probe gives no reading for 0.1 s":                      func(s *hal.Snapshot) { s.Probes[hal.Cabinet].Valid = false },
		"the meter gives no reading for 0.1 s":                              func(s *hal.Snapshot) { s.Meter = hal.Meter{} },
		"fan 1 gives no speed for 0.1 s with the fans off":                  func(s *hal.Snapshot) { s.Fans[0].Valid = false },
		"the main contactor's auxiliary contact gives no reading for 0.1 s": func(s *hal.Snapshot) { s.Contacts.ContactorAux = hal.Absent },
	} {
		c := newCabinet()
		c.run(time.Second)
		c.spoil = spoil
		c.start("cold")
		assert.Equal(t, []string{`start of "cold" refused: ` + want}, c.said)
	}
}

// A stop that comes while RESET is held is no release of it.
func TestAStopIsNoReleaseOfAHeldReset(t *testing.T) {
	c := cleaning("cold")
	c.stopped[1] = true
	c.run(2 * time.Second)
	c.stopped[1] = false
	c.run(5 * time.Second)
	latched := func() bool { m := c.Memory(); return !m.Interlock.Latched.Empty() }
	require.True(t, latched())
	for _, verb := range []hal.Verb{hal.Reset, hal.Stop, hal.Reset, hal.Start, hal.Reset} {
		c.request = hal.Request{Verb: verb}
		c.step()
		assert.True(t, latched(), "RESET is held all the while")
	}
	c.request = hal.Request{}
	c.step()
	assert.False(t, latched())
}

// A START button that is stuck, or held while the program starts, starts nothing:
// it must be let go and pressed.
func TestAHeldStartStartsNothingAtAPowerUp(t *testing.T) {
	c := newCabinet()
	c.request = hal.Request{Verb: hal.Start, Recipe: "cold"}
	c.run(5 * time.Second)
	assert.Equal(t, recipe.Idle, c.Status().Phase)
	assert.False(t, c.out.Fans)
	c.request = hal.Request{}
	c.step()
	c.start("cold")
	assert.Equal(t, recipe.Purge, c.Status().Phase)
}

func TestZeroSupervisorKeepsEverythingOff(t *testing.T) {
	var s Supervisor
	snapshot := newCabinet().snap
	for range 100 {
		snapshot.Time += tick
		out, _ := s.Tick(&snapshot, hal.Request{Verb: hal.Start, Recipe: ""})
		require.False(t, out.Contactor || out.Heater || out.Fans || out.Banks != 0)
	}
	assert.Equal(t, interlock.Permits{}.Emission, s.Status().Permits.Emission)
}

// The same snapshots give the same outputs and leave the same memory.
func TestTickIsDeterministic(t *testing.T) {
	run := func() (Memory, []string) {
		c := cleaning("warm")
		c.stopped[0] = true
		c.run(20 * time.Minute)
		return c.Memory(), c.said
	}
	m1, said1 := run()
	m2, said2 := run()
	assert.Equal(t, said1, said2)
	assert.True(t, m1 == m2, "the memories are equal as values")
}

func TestTickAllocatesNothing(t *testing.T) {
	c := cleaning("warm")
	request := hal.Request{Verb: hal.Start, Recipe: "warm"}
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		c.snap.Time += tick
		c.Tick(&c.snap, request)
		c.Status()
	}))
}

func BenchmarkTick(b *testing.B) {
	c := cleaning("cold")
	c.Supervisor.config.Recipes[0].Clean = 1 << 62 // for as long as it is measured
	c.Supervisor.config.Interlock.EmissionMax = 1 << 62
	b.ReportAllocs()
	for b.Loop() {
		c.snap.Time += tick
		c.snap.Meter.Volts.Value ^= 1
		c.Tick(&c.snap, hal.Request{})
	}
}

// BenchmarkTickInPreheat is the dearest phase for health: all the fits run. The
// same minute is gone through again and again.
func BenchmarkTickInPreheat(b *testing.B) {
	c := newCabinet()
	c.rate = 0
	c.run(time.Second)
	c.start("warm")
	c.until(recipe.Preheat, time.Minute)
	c.run(2 * time.Second)
	at, begun := c.snap.Time, *c.Supervisor
	b.ReportAllocs()
	for i := 1; b.Loop(); i++ {
		if i%500 == 0 {
			c.snap.Time, *c.Supervisor = at, begun
		}
		c.snap.Time += tick
		c.snap.Meter.Volts.Value ^= 1
		c.snap.Probes[0].Age = time.Duration(i%8) * tick
		c.snap.Probes[1].Age = c.snap.Probes[0].Age
		c.Tick(&c.snap, hal.Request{})
		if c.Status().Phase != recipe.Preheat {
			b.Fatal("left preheat: ", c.said)
		}
	}
}
