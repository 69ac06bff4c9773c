package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

// These are faults that take their course: what one moment cannot show.

func TestABlownFuseStaysBlown(t *testing.T) {
	r := demoRig(t)
	r.want = emitting
	r.run(10 * time.Second)
	require.InDelta(t, 81, r.Truth().BankWatts[1], 0.1)
	r.Faults.BankShorted[1] = true
	r.run(tick)
	assert.InDelta(t, 810, r.Truth().BankWatts[1], 0.1)
	r.run(200 * time.Millisecond)
	assert.Zero(t, r.Truth().BankWatts[1])
	r.Faults = Faults{}
	r.run(time.Minute)
	assert.Zero(t, r.Truth().BankWatts[1], "whether or not the short has gone")
	assert.InDelta(t, 81, r.Truth().BankWatts[2], 0.1)
	r.want = allOff
	r.run(time.Second)
	r.want = emitting
	r.run(2 * time.Second)
	assert.Equal(t, "101111", r.Truth().Emitting.Text(6))
}

func TestAShortBehindAnOpenRelayBlowsNothing(t *testing.T) {
	r := demoRig(t)
	r.want = heating
	r.Faults.BankShorted[1] = true
	r.run(time.Minute)
	assert.Zero(t, r.Truth().BankWatts[1])
	r.Faults = Faults{}
	r.want = emitting
	r.run(10 * time.Second)
	assert.InDelta(t, 81, r.Truth().BankWatts[1], 0.1)
}

func TestAShortTakesTheSquareOfTheMains(t *testing.T) {
	r := demoRig(t)
	r.want = emitting
	r.run(10 * time.Second)
	r.Faults.MainsVolts, r.Faults.BankShorted[0] = 253, true
	r.run(tick)
	assert.InDelta(t, 980.1, r.Truth().BankWatts[0], 0.1) // 810 (253/230)^2
}

func TestEnergyOfAShortIsAllThere(t *testing.T) {
	// Some 160 J a bank: too little to be missed in a balance over half an hour.
	r := demoRig(t)
	r.want = emitting
	r.run(10 * time.Second)
	for i := range 6 {
		r.Faults.BankShorted[i] = true
	}
	start := r.Energy()
	winding, joint := r.Truth().Winding[0], r.Truth().Joint[0]
	r.run(300 * time.Millisecond)
	end := r.Energy()
	in := end.Electrical - start.Electrical
	assert.InDelta(t, 6*810*0.2, in, 6, "and 0.3 s of fans and standby")
	off := (end.Stored - start.Stored) - (in + end.Carried - start.Carried - (end.Lost - start.Lost))
	assert.Less(t, distance(off, 0), 0.005*in)
	assert.Greater(t, r.Truth().Winding[0], winding+1, "the driver takes it")
	assert.Less(t, r.Truth().Joint[0], joint+0.01, "nothing gets to the emitters")
}

func TestAllEmittersLooseAreAsWithoutLiquid(t *testing.T) {
	// The bonds of a bank that has come off whole know nothing of the liquid.
	joint := func(loose int, litres float64) Truth {
		c := demo(t)
		w := calm(c)
		w.Litres = litres
		r := newRig(t, c, w)
		r.want = emitting
		r.Faults.EmittersLoose[0] = loose
		r.run(time.Minute)
		return r.Truth()
	}
	bare, off := joint(0, 0), joint(2, 19.8)
	assert.InDelta(t, bare.BankWatts[0], off.BankWatts[0], 1e-9)
	assert.InDelta(t, bare.Joint[0], off.Joint[0], 0.5)
	assert.Equal(t, off, joint(7, 19.8), "it has no more of them than two")
	assert.Equal(t, joint(0, 19.8), joint(-1, 19.8))
}

func TestBusLosesItsShareOfTheConversions(t *testing.T) {
	for _, loss := range []float64{-1, 0, 0.25, 0.7, 1, 5} {
		r := demoRig(t)
		r.run(2 * time.Second)
		r.Faults.ProbeBusLoss = loss
		got, age := 0, r.see().Probes[hal.BathA].Age
		for range 800 { // 80 s are a hundred conversions of 12 bits
			r.tick(tick)
			now := r.see().Probes[hal.BathA].Age
			if now < age {
				got++
			}
			age = now
		}
		assert.InDelta(t, 100*(1-share(loss)), got, 1, "%v", loss)
		// The wire is good again: nothing more gets lost.
		r.Faults.ProbeBusLoss = 0
		r.run(2 * time.Second)
		assert.Less(t, r.see().Probes[hal.BathA].Age, 800*time.Millisecond, "%v", loss)
	}
}

func TestLateMeterAnswersInTheEnd(t *testing.T) {
	// Refreshed each 0.5 s, and 3 s late: a reading gets no older than 3.5 s, and
	// is the mean of all that time.
	r := demoRig(t)
	r.want = heating
	r.run(10 * time.Second)
	require.Zero(t, r.see().Meter.Watts.Age)
	r.Faults.MeterLate = 3
	oldest, fresh := time.Duration(0), 0
	for range 350 {
		r.tick(tick)
		age := r.see().Meter.Watts.Age
		oldest = max(oldest, age)
		if age == 0 {
			fresh++
		}
	}
	assert.Equal(t, 3400*time.Millisecond, oldest, "seen each tick")
	assert.Equal(t, 10, fresh)
	assert.InDelta(t, 1014, watt(state{Snapshot: r.see()}), 1)
	r.Faults.MeterLate = 0
	r.run(time.Second)
	assert.Zero(t, r.see().Meter.Watts.Age)
}

func TestEvaporationInADraught(t *testing.T) {
	// ASHRAE's natatorium equation goes with 0.089 + 0.0782 v: from 0.1 to 2 m/s
	// that is 2.5376 times as much.
	evaporated := func(draught float64) float64 {
		c := demo(t)
		w := calm(c)
		w.Bath, w.LidOn = zero+60, false
		r := newRig(t, c, w)
		r.Faults.Draught = draught
		r.run(2 * time.Second) // what is worked out once a second takes the draught in
		before := r.bath.mass
		r.run(10 * time.Second)
		return before - r.bath.mass
	}
	still := evaporated(0)
	assert.InEpsilon(t, (0.089+0.0782*2)/(0.089+0.0782*0.1)*still, evaporated(2), 3e-3, "the bath cools by a little more")
	assert.Equal(t, still, evaporated(0.1), "the workshop has 0.1 m/s")
}

func TestRelaysWithoutDropOutTimeWork(t *testing.T) {
	c := demo(t)
	c.Contact.PickUp, c.Contact.DropOut = 0, 0
	r := newRig(t, c, calm(c))
	r.want = heating
	r.run(time.Second)
	assert.InDelta(t, 1000, r.Truth().HeaterWatts, 0.1)
}

func TestWeldedHeartbeatRelayHoldsTheCoil(t *testing.T) {
	still := func(out *hal.Outputs) { out.Heartbeat = true }
	for _, welded := range []bool{false, true} {
		r := demoRig(t)
		r.want = busy
		r.run(time.Second)
		r.Faults.HeartbeatWelded = welded
		r.runWith(5*time.Second, still)
		assert.Equal(t, welded, r.Truth().ContactorClosed)
		// The stop loop breaks the coil circuit all the same.
		r.Faults.StopOpen = true
		r.run(tick)
		assert.False(t, r.Truth().ContactorClosed)
	}
}

func TestOutputsStayOnAStuckLease(t *testing.T) {
	for _, stuck := range []bool{false, true} {
		r := demoRig(t)
		r.want = busy
		r.run(time.Second)
		r.Faults.LeaseStuck = stuck
		r.Step(time.Second) // nobody writes
		assert.Equal(t, stuck, r.Truth().ContactorClosed)
		assert.Equal(t, !stuck, r.Truth().OutputsFallen)
		assert.Equal(t, stuck, r.see().OutputsOK, "the board sees nothing wrong")
		assert.Equal(t, stuck, r.Truth().TotalWatts > 1000)
		// There is another layer: the heartbeat's relay.
		r.Step(2 * time.Second)
		assert.False(t, r.Truth().ContactorClosed)
	}
	r := demoRig(t)
	r.want = busy
	r.run(time.Second)
	r.Faults.LeaseStuck, r.Faults.HeartbeatWelded = true, true
	r.Step(time.Minute)
	assert.Greater(t, r.Truth().TotalWatts, 1000.0, "only both together leave it on")
}

func TestBridgedLoopHidesHotDrivers(t *testing.T) {
	// The thermal switches on the heat sinks open the stop loop at windings of
	// 130 degC, and close it again under 110.
	for _, bridged := range []bool{false, true} {
		r := demoRig(t)
		r.want = airless
		r.Faults.StopBridged = bridged
		r.until(15*time.Minute, func(truth Truth) bool { return truth.Winding[0] > zero+130 })
		r.run(tick)
		assert.Equal(t, hal.ContactOf(bridged), r.see().Contacts.StopClosed)
		assert.Equal(t, bridged, r.Truth().ContactorClosed)
		if bridged {
			continue
		}
		r.until(15*time.Minute, func(truth Truth) bool { return truth.Winding[0] < zero+111 })
		assert.Equal(t, hal.Open, r.see().Contacts.StopClosed)
		r.until(15*time.Minute, func(truth Truth) bool { return truth.Winding[0] < zero+110 })
		r.run(tick)
		assert.Equal(t, hal.Closed, r.see().Contacts.StopClosed)
	}
}
