package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

// busy is everything on.
var busy = hal.Outputs{Contactor: true, Fans: true, Heater: true, Banks: hal.FirstBanks(6)}

func TestOutputsFallOffWithoutALoop(t *testing.T) {
	r := demoRig(t)
	r.want = busy
	r.run(time.Second)
	require.InDelta(t, 1500, r.Truth().TotalWatts, 2)
	// The lease is 300 ms: for so long the outputs stay after the last Write.
	r.tick(tick)
	r.Step(200 * time.Millisecond)
	assert.True(t, r.Truth().ContactorClosed)
	assert.True(t, r.see().OutputsOK)
	r.Step(tick)
	truth := r.Truth()
	assert.False(t, truth.ContactorClosed)
	assert.True(t, truth.OutputsFallen)
	assert.False(t, r.see().OutputsOK, "the lines are not as commanded")
	r.Step(tick)
	assert.Equal(t, 6.0, r.Truth().TotalWatts, "standby alone")
	// A loop that is back has its outputs again: latching is not the board's.
	r.run(300 * time.Millisecond)
	assert.InDelta(t, 1500, r.Truth().TotalWatts, 20)
	assert.True(t, r.see().OutputsOK)
}

func TestLoopThatRunsWithoutFeedingTheWatchdog(t *testing.T) {
	r := demoRig(t)
	r.want = busy
	r.run(time.Second)
	r.runWith(1900*time.Millisecond, func(out *hal.Outputs) { out.FeedWatchdog = false })
	assert.True(t, r.Truth().ContactorClosed, "the watchdog has 2 s from its last feed")
	r.runWith(200*time.Millisecond, func(out *hal.Outputs) { out.FeedWatchdog = false })
	assert.False(t, r.Truth().ContactorClosed)
	assert.True(t, r.Truth().OutputsFallen)
}

func TestHeartbeatThatStandsStillOpensTheContactor(t *testing.T) {
	for _, level := range []bool{false, true} {
		r := demoRig(t)
		r.want = busy
		r.run(time.Second)
		still := func(out *hal.Outputs) { out.Heartbeat = level }
		r.runWith(1900*time.Millisecond, still)
		assert.True(t, r.Truth().ContactorClosed, "%v", level)
		r.runWith(400*time.Millisecond, still)
		assert.False(t, r.Truth().ContactorClosed, "%v", level)
		assert.False(t, r.Truth().OutputsFallen, "the board itself is content")
		assert.Positive(t, r.Truth().FanSpeed[0], "and the fans go on")
	}
	// Without such a relay the contactor stays.
	c := demo(t)
	c.Board.HeartbeatInCoil = false
	r := newRig(t, c, calm(c))
	r.want = busy
	r.runWith(5*time.Second, func(out *hal.Outputs) { out.Heartbeat = true })
	assert.True(t, r.Truth().ContactorClosed)
}

// runWith runs with outputs that a loop gets wrong.
func (r *rig) runWith(d time.Duration, wrong func(*hal.Outputs)) {
	for ; d > 0; d -= tick {
		r.beat = !r.beat
		out := r.want
		out.Heartbeat, out.FeedWatchdog = r.beat, true
		wrong(&out)
		_ = r.Write(out)
		r.Step(tick)
	}
}

func TestStopLoopBreaksTheCoilCircuit(t *testing.T) {
	r := demoRig(t)
	r.want = busy
	r.run(time.Second)
	r.Faults.StopOpen = true
	r.run(tick)
	assert.False(t, r.Truth().ContactorClosed, "whatever the outputs say")

	c := demo(t)
	c.Board.StopInCoil = false
	r = newRig(t, c, calm(c))
	r.want = busy
	r.Faults.StopOpen = true
	r.run(time.Second)
	assert.True(t, r.Truth().ContactorClosed, "here it is for the supervisor to open it")
	assert.Equal(t, hal.Open, r.see().Contacts.StopClosed)
}

func TestContactorTakesItsTime(t *testing.T) {
	// 25 ms to pick up and 15 ms to drop out, seen in steps of 5 ms.
	const step = 5 * time.Millisecond
	r := demoRig(t)
	r.tick(step)
	r.want = hal.Outputs{Contactor: true}
	count := func(closed hal.Contact) (steps int) {
		for r.see().Contacts.ContactorAux != closed {
			r.tick(step)
			steps++
			require.Less(t, steps, 100)
		}
		return steps
	}
	assert.Equal(t, 5, count(hal.Closed))
	r.want = allOff
	assert.Equal(t, 3, count(hal.Open))
	// A coil that flickers faster than that does not move the contacts.
	for i := range 40 {
		r.want.Contactor = i%4 < 3
		r.tick(step)
		assert.Equal(t, hal.Open, r.see().Contacts.ContactorAux)
	}
}

func TestRelayInSeriesWithTheContactor(t *testing.T) {
	const h = tick
	c := &ContactConfig{PickUp: 25 * time.Millisecond, DropOut: 15 * time.Millisecond}
	var main, heater relay
	on := heater.step(true, c, h).both(main.step(false, c, h))
	assert.Zero(t, on.share(h), "no contactor, no power")
	on = heater.step(true, c, h).both(main.step(true, c, h))
	assert.InDelta(t, 0.75, on.share(h), 1e-12)
	on = heater.step(false, c, h).both(main.step(true, c, h))
	assert.InDelta(t, 0.15, on.share(h), 1e-12)
	// One opens before the other closes.
	main.hold(false, h)
	heater.hold(true, h)
	on = heater.step(false, c, h).both(main.step(true, c, h))
	assert.Zero(t, on.share(h))
}

func TestNothingHappensWithoutTheLoop(t *testing.T) {
	r := demoRig(t)
	r.Step(time.Minute)
	truth := r.Truth()
	assert.Equal(t, time.Minute, truth.Time)
	assert.Equal(t, 6.0, truth.TotalWatts)
	assert.False(t, truth.ContactorClosed)
	assert.True(t, r.see().OutputsOK, "nothing was commanded, nothing is on")
	r.Step(0)
	r.Step(-time.Second)
	assert.Equal(t, time.Minute, r.Truth().Time)
}
