package interlock

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"

	"bathtender/hal"
)

// Zero is safe: of all the causes there are, a zero Config and a zero snapshot
// rule none out.
func TestZeroPermitsNothing(t *testing.T) {
	var m Memory
	var events Events
	var snapshot hal.Snapshot
	var estimates Estimates
	in := Input{Snapshot: &snapshot, Estimates: &estimates, First: true}
	for i := range 100 {
		got := Judge(&Config{}, &m, &in, &events)
		require.False(t, got.Emission || got.Start || got.Heater, "tick %d: %+v", i, got)
		require.Zero(t, got.Banks)
		require.Zero(t, got.Allow(hal.Outputs{Contactor: true, Heater: true, Banks: 0xffff}).Banks)
		snapshot.Time += tick
		in.First, in.Elapsed = false, tick
	}
}

// The truth table of air proving in burner-control practice (EN 298 and kin;
// behaviour as in controllers' data sheets, clause numbers from memory), with
// emission in the place of the burner.
func TestAirProvingTruthTable(t *testing.T) {
	for _, row := range []struct {
		state           string
		run             func(b *bench)
		start, emit     bool
		latched         bool
		latchedFunction Function
	}{
		{state: "standby, no proof: ready", run: rest, start: true},
		{state: "standby, proof: start inhibited", run: func(b *bench) { b.spin(2600); rest(b) }},
		{state: "starting, not yet proven: wait", run: func(b *bench) {
			rest(b)
			b.commanded.Fans = true
			b.run(7900 * time.Millisecond)
		}},
		{state: "starting, not proven in time: lockout of emission", run: func(b *bench) {
			rest(b)
			b.commanded.Fans = true
			b.run(8 * time.Second)
		}, latched: true, latchedFunction: AirflowNotProven},
		{state: "proven: permit", run: air, start: true, emit: true},
		{state: "lost while running: off and latched", run: func(b *bench) { emitting(b); b.spin(0); b.run(time.Second) },
			latched: true, latchedFunction: AirflowLost},
		{state: "after stop, still proven after run-down: next start inhibited", run: func(b *bench) {
			emitting(b)
			b.commanded = hal.Outputs{}
			b.snap.Contacts.ContactorAux = hal.Open
			b.watts(4)
			b.run(20 * time.Second)
		}, latched: true, latchedFunction: AirflowStuck},
	} {
		t.Run(row.state, func(t *testing.T) {
			b := newBench(&Table)
			row.run(b)
			assert.Equal(t, row.start, b.permits.Start, "start")
			assert.Equal(t, row.emit, b.permits.Emission, "emission")
			assert.Equal(t, row.latched, !b.mem.Latched.Empty(), "latched")
			if row.latched {
				assert.True(t, b.mem.Latched.Has(SlotOf(row.latchedFunction, 0)))
			}
		})
	}
}

// First-out in the sense of ISA-18.1 (sequence letters from memory): what comes
// later never takes the first one's place until all have been reset, and of two
// in one scan the order is fixed.
func TestFirstOut(t *testing.T) {
	b := newBench(&Table)
	emitting(b)
	b.snap.Contacts.LeakDry = hal.Open
	b.spin(0)
	b.run(time.Second)
	require.Equal(t, "leak", b.mem.First.Sentence(), "the leak stands further up in the table")
	b.snap.Contacts.StopClosed = hal.Open
	b.run(time.Second)
	require.Equal(t, "leak", b.mem.First.Sentence(), "stop came later")

	b.snap.Contacts.LeakDry = hal.Closed
	b.reset = true
	b.step(tick)
	assert.False(t, b.mem.Latched.Has(SlotOf(Leak, 0)))
	assert.Equal(t, "leak", b.mem.First.Sentence(), "others are still latched")

	b.snap.Contacts.StopClosed = hal.Closed
	b.spin(2600)
	b.run(5 * time.Second)
	b.reset = true
	b.step(tick)
	assert.Zero(t, b.mem.Latched)
	assert.Equal(t, "no first-out", b.mem.First.Sentence())
}

// Where the last trip of one shutdown is reset at the very tick at which another
// function trips, the first-out is that one.
func TestAFirstOutIsNotHandedToTheNextShutdown(t *testing.T) {
	b := newBench(&Table)
	b.run(time.Second)
	b.snap.Contacts.StopClosed = hal.Open
	b.step(tick)
	require.Equal(t, "stop", b.mem.First.Sentence())
	b.snap.Contacts.StopClosed, b.snap.Contacts.LeakDry = hal.Closed, hal.Open
	b.run(time.Second - tick)
	require.False(t, b.mem.Latched.Has(SlotOf(Leak, 0)))
	b.reset = true
	b.step(tick)
	require.False(t, b.mem.Latched.Has(SlotOf(StopPressed, 0)))
	require.True(t, b.mem.Latched.Has(SlotOf(Leak, 0)))
	assert.Equal(t, "leak", b.mem.First.Sentence())
	for _, e := range b.events.All() {
		assert.Equal(t, e.Kind == Tripped, e.FirstOut, "%s", e.Sentence())
	}
}

func TestTheDelayDrainsFourTimesMoreSlowlyThanItFills(t *testing.T) {
	b := newBench(&Table)
	emitting(b)
	slot := SlotOf(LevelLow, 0)
	b.snap.Contacts.LevelOK = hal.Open
	b.run(time.Second)
	require.Equal(t, time.Second, b.mem.Counter[slot].Duration())
	b.snap.Contacts.LevelOK = hal.Closed
	b.run(2 * time.Second)
	assert.Equal(t, 500*time.Millisecond, b.mem.Counter[slot].Duration())
	b.run(2 * time.Second)
	assert.Zero(t, b.mem.Counter[slot])
}

func TestAMissingReadingNeverDrainsADelay(t *testing.T) {
	b := newBench(&Table)
	emitting(b)
	slot := SlotOf(ProbesDisagree, 0)
	b.snap.Probes[hal.BathA] = hal.Fresh(celsius + 44*degree)
	b.run(5 * time.Second)
	full := b.mem.Counter[slot]
	b.snap.Probes[hal.BathA] = hal.Reading[physic.Temperature]{}
	b.run(time.Minute)
	assert.Equal(t, full, b.mem.Counter[slot])
}

// A probe that jumps farther than a bath can go is not believed, and is again
// once a bath could have got there.
func TestImpossibleRate(t *testing.T) {
	b := newBench(&Table)
	emitting(b)
	b.bath(480) // 8 K, at 3 K/s and 1 K
	b.run(2 * time.Second)
	trips := b.did(ProbeFault, Tripped)
	require.Len(t, trips, 2, "both bath probes jumped")
	assert.Equal(t, "bath probe A went to 48 °C, farther than a bath can have gone from 40 °C, for 2.0 s: heater and emission stopped", trips[0].Sentence())
	b.run(20 * time.Second)
	b.reset = true
	b.step(tick)
	b.step(tick)
	assert.True(t, b.permits.Emission)
}

func TestFrozenMeter(t *testing.T) {
	b := newBench(&Table)
	rest(b)
	for range int(63 * time.Second / tick) {
		b.snap.Time += tick
		b.judge(tick) // the mains voltage stays the same to the last digit
	}
	trips := b.did(MeterFault, Tripped)
	require.Len(t, trips, 1)
	assert.Equal(t, "the meter has shown the same mains voltage for 1 min 3 s, over 1 min: it is frozen: heater and emission stopped", trips[0].Sentence())
}

// Loads follow the square of the voltage: 1000 W at 230 V are 810.0 W at 207 V
// and 1210.0 W at 253 V (Ohm's law).
func TestLoadsAtTheMains(t *testing.T) {
	p := PowerConfig{Nominal: 230 * physic.Volt}
	for volts, want := range map[physic.ElectricPotential]float64{
		207: 810.0, 220: 914.934, 230: 1000, 240: 1088.847, 253: 1210.0,
	} {
		got := float64(p.atMains(1000*physic.Watt, volts*physic.Volt)) / float64(physic.Watt)
		assert.InDelta(t, want, got, 0.001, "%d V", volts)
	}
	assert.Equal(t, int64(5), p.atMains(5, 0), "no voltage, no correction")
}

func TestAHeaterOnLowMainsIsNotSilentAndOnHighMainsNotOverPower(t *testing.T) {
	for volts, watts := range map[physic.ElectricPotential]physic.Power{208: 818, 252: 1200} {
		b := newBench(&Table)
		b.snap.Meter.Volts = hal.Fresh(volts * physic.Volt)
		heating(b)
		b.watts(watts + 18)
		b.run(time.Minute)
		assert.Zero(t, b.mem.Latched, "%d V", volts)
	}
}

// TestNothingMakesJudgePanic gives Judge the whole range of every number, and
// holds it to what must be true of any answer.
func TestNothingMakesJudgePanic(t *testing.T) {
	anything := rapid.Int64()
	rapid.Check(t, func(t *rapid.T) {
		b := newBench(&Table)
		for range rapid.IntRange(1, 20).Draw(t, "ticks") {
			spoil(t, b, anything)
			b.snap.Time += tick
			b.judge(time.Duration(anything.Draw(t, "elapsed")))
			p := b.permits
			if (p.Heater || p.Emission) && !p.Contactor {
				t.Fatalf("heat or emission without the contactor: %+v", p)
			}
			if p.Emission && !b.mem.AirProven {
				t.Fatal("emission without proven air")
			}
			if p.Start && !b.mem.Latched.Empty() && p.Tripped != TakesBank {
				t.Fatal("a start with a latch set")
			}
			if b.mem.Latched.Empty() != (b.mem.First == FirstOut{}) {
				t.Fatalf("latched %v with first-out %v", b.mem.Latched, b.mem.First)
			}
			for _, e := range b.events.All() {
				_ = e.Sentence()
			}
			if b.events.Lost != 0 {
				t.Fatal("events lost")
			}
			for _, e := range Explain(&b.cfg, b.mem, &Input{Snapshot: &b.snap, Estimates: &b.est, Commanded: b.commanded}) {
				_ = e.Sentence()
			}
		}
	})
}

func spoil(t *rapid.T, b *bench, anything *rapid.Generator[int64]) {
	quantity := func(name string) (int64, time.Duration, bool) {
		return anything.Draw(t, name), time.Duration(rapid.Int64Range(-2, 4e9).Draw(t, "age")), rapid.Bool().Draw(t, "valid")
	}
	for i := range b.snap.Probes {
		v, age, ok := quantity("temperature")
		b.snap.Probes[i] = hal.Reading[physic.Temperature]{Value: physic.Temperature(v), Age: age, Valid: ok}
	}
	for i := range b.snap.Fans {
		v, age, ok := quantity("speed")
		b.snap.Fans[i] = hal.Reading[hal.RotationalSpeed]{Value: hal.RotationalSpeed(v), Age: age, Valid: ok}
	}
	v, age, ok := quantity("watts")
	b.snap.Meter.Watts = hal.Reading[physic.Power]{Value: physic.Power(v), Age: age, Valid: ok}
	v, age, ok = quantity("volts")
	b.snap.Meter.Volts = hal.Reading[physic.ElectricPotential]{Value: physic.ElectricPotential(v), Age: age, Valid: ok}
	v, age, ok = quantity("litres")
	b.est.Volume = hal.Reading[hal.Volume]{Value: hal.Volume(v), Age: age, Valid: ok}
	b.commanded = hal.Outputs{Contactor: ok, Fans: v%2 == 0, Heater: v%3 == 0, Banks: hal.Banks(v)}
	b.limit = physic.Temperature(v)
	b.reset = v%5 == 0
	contacts := hal.Contact(rapid.IntRange(0, 3).Draw(t, "contact"))
	b.snap.Contacts = hal.Contacts{LevelOK: contacts, LidClosed: contacts, StopClosed: contacts, LeakDry: contacts, ContactorAux: contacts}
}

func TestTimersStopAtTheirEnd(t *testing.T) {
	assert.Equal(t, timerMost, timerMost.plus(1))
	assert.Equal(t, timerMost, TimerOf(math.MaxInt64))
	assert.Equal(t, Timer(0), TimerOf(-time.Second))
	assert.Equal(t, 35*time.Minute, timerMost.Duration().Truncate(time.Minute))
}

func BenchmarkJudge(bench *testing.B) {
	b := newBench(&Table)
	emitting(b)
	in := Input{Snapshot: &b.snap, Estimates: &b.est, Commanded: b.commanded, Elapsed: tick, RecipeLimit: celsius + 50*degree}
	bench.ReportAllocs()
	for bench.Loop() {
		b.snap.Time += tick
		b.snap.Meter.Volts.Value ^= 1
		b.mem.EmissionFor = 0
		b.events.Empty()
		Judge(&b.cfg, &b.mem, &in, &b.events)
	}
	if !b.mem.Latched.Empty() {
		bench.Fatal("the healthy cabinet tripped:", b.mem.First.Sentence())
	}
}
