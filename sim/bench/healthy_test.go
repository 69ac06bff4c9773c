package bench

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/hal"
)

// run lets ticks pass until a time has.
func run(b *Bench, d time.Duration) {
	for until := b.Now() + d; b.Now() < until; {
		b.Tick(0)
	}
}

// What nobody sets is that of a healthy cabinet: a whole session of it, by day and
// night, is never taken for a fault.
func TestAHealthyCabinetIsNeverAFault(t *testing.T) {
	b, _ := demo(t)
	for i := range b.probes[:2] {
		b.probes[i].set(celsius(61), 0, false)
	}
	run(b, 5*time.Minute)
	b.press(start("heavy"))
	b.Tick(0)
	b.press(hal.Request{})
	seen := map[recipe.Phase]bool{}
	for b.Now() < time.Hour {
		b.Tick(0)
		phase := b.Supervisor.Status().Phase
		seen[phase] = true
		if phase == recipe.TurnOver {
			b.press(start("heavy"))
		} else {
			b.press(hal.Request{})
		}
		m := b.Supervisor.Memory()
		require.Zero(t, m.Interlock.Latched, "%v: %v", b.Now(), b.Said)
		require.Zero(t, m.Interlock.Held, "%v: %v", b.Now(), b.Said)
	}
	assert.True(t, seen[recipe.Degas] && seen[recipe.Clean] && seen[recipe.RunOn] && seen[recipe.Idle])
}

// The watts are the sum of what is commanded, as the machine file has it: 6 W of
// standby, 4 W a fan, 81 W a bank, 1000 W of heater at 230 V, and with the square
// of the voltage at another (Ohm's law).
func TestTheWattsAreThoseOfWhatIsCommanded(t *testing.T) {
	b, _ := demo(t)
	b.follow(point{kind: mains}, int64(115*2*physic.Volt))
	wattsOf := func(o hal.Outputs, volts physic.ElectricPotential) float64 {
		b.Outputs = o
		b.mains.set(int64(volts), 0, false)
		b.behave(100 * time.Millisecond)
		return float64(b.watts.value) / float64(physic.Watt)
	}
	all := hal.Outputs{Contactor: true, Fans: true, Heater: true, Banks: hal.FirstBanks(6)}
	assert.InDelta(t, 6, wattsOf(hal.Outputs{}, 230*physic.Volt), 1e-6)
	assert.InDelta(t, 14, wattsOf(hal.Outputs{Fans: true}, 230*physic.Volt), 1e-6)
	assert.InDelta(t, 1500, wattsOf(all, 230*physic.Volt), 1e-6)
	assert.InDelta(t, 14+1486*0.81, wattsOf(all, 207*physic.Volt), 1e-3)
	assert.InDelta(t, 14, wattsOf(hal.Outputs{Fans: true, Heater: true, Banks: 63}, 230*physic.Volt), 1e-6, "nothing without the contactor")
	assert.InDelta(t, 0, wattsOf(all, 100*physic.Volt), 1e-6, "coils let go, supplies are off")
	assert.InDelta(t, 0, wattsOf(all, -230*physic.Volt), 1e-6)
	b.banks[2].set(0, 0, false)
	assert.InDelta(t, 1500-81, wattsOf(all, 230*physic.Volt), 1e-6, "a dummy load of nothing")
	// As much as a cabinet can have must not run over.
	for i := range b.banks {
		b.banks[i].set(int64(20*physic.KiloWatt), 0, false)
	}
	b.heater.set(int64(20*physic.KiloWatt), 0, false)
	assert.InDelta(t, 14+140000*(1000.0/230)*(1000.0/230), wattsOf(all, 1000*physic.Volt), 1)
}

func TestFansTakeTheirTimeAndStopWithTheMains(t *testing.T) {
	b, _ := demo(t)
	speed := func() float64 { return float64(b.Snapshot.Fans[0].Value) / float64(hal.RPM) }
	b.Tick(0)
	b.press(start("gentle"))
	b.Tick(0)
	b.press(hal.Request{})
	run(b, time.Second)
	assert.InDelta(t, 1300, speed(), 1)
	run(b, 1100*time.Millisecond)
	assert.InDelta(t, 2600, speed(), 1e-9)
	b.mains.set(0, 0, false)
	run(b, time.Second)
	assert.InDelta(t, 2600-650, speed(), 1)
	run(b, time.Hour)
	assert.Zero(t, speed())
}

// A followed mains is never the same at two ticks, and near what it follows.
func TestTheFollowedMainsIsNeverStill(t *testing.T) {
	b, _ := demo(t)
	b.follow(point{kind: mains}, int64(210*physic.Volt))
	last := physic.ElectricPotential(0)
	for range 100 {
		b.Tick(0)
		volts := b.Snapshot.Meter.Volts.Value
		require.NotEqual(t, last, volts)
		require.InDelta(t, 210, float64(volts)/float64(physic.Volt), 0.2)
		last = volts
	}
}

func TestARampIsEvenAndEndsWhereItShould(t *testing.T) {
	b, _ := demo(t)
	b.probes[0].set(celsius(20), 0, false)
	b.probes[0].turn(celsius(30), 10*time.Second)
	for i := 1; i <= 120; i++ {
		b.Tick(0)
		want := min(20+float64(i)/10, 30)
		require.InDelta(t, want, float64(b.Snapshot.Probes[0].Value-physic.ZeroCelsius)/float64(physic.Kelvin), 1e-6)
	}
	assert.Equal(t, physic.Temperature(celsius(30)), b.Snapshot.Probes[0].Value)
	// Down, and with a tick that comes in the middle of the night.
	b.watts.set(int64(500*physic.Watt), 0, false)
	b.watts.turn(-int64(50*physic.KiloWatt), 24*time.Hour)
	b.Tick(12*time.Hour - 100*time.Millisecond)
	assert.InDelta(t, -24750, float64(b.Snapshot.Meter.Watts.Value)/float64(physic.Watt), 1e-3)
	b.Tick(24 * time.Hour)
	assert.Equal(t, -50*physic.KiloWatt, b.Snapshot.Meter.Watts.Value)
}

func TestAnAgeIsThatOfTheReading(t *testing.T) {
	b, _ := demo(t)
	b.probes[0].set(celsius(20), 2*time.Second, false)
	b.probes[1].set(celsius(20), time.Second, true)
	run(b, 500*time.Millisecond)
	assert.Equal(t, 2*time.Second, b.Snapshot.Probes[0].Age)
	assert.Equal(t, 1500*time.Millisecond, b.Snapshot.Probes[1].Age)
	b.probes[1].nothing()
	run(b, 500*time.Millisecond)
	assert.Equal(t, hal.Reading[physic.Temperature]{}, b.Snapshot.Probes[1])
}

// What outlives the program is what the supervisor asks to keep; where that cannot
// be read there is nothing.
func TestARestartKeepsWhatIsKept(t *testing.T) {
	for readable, want := range map[bool]bool{true: true, false: false} {
		b, _ := demo(t)
		run(b, time.Second)
		b.contacts[aux].state, b.contacts[aux].follows = hal.Closed, false
		run(b, 2*time.Second)
		lockouts := b.Supervisor.Lockouts()
		require.False(t, lockouts.Empty())
		b.assents[kept] = readable
		b.follow(point{contact, aux}, 0)
		before := b.Now()
		b.Restart(10 * time.Second)
		assert.Equal(t, before+10*time.Second, b.Now())
		lockouts = b.Supervisor.Lockouts()
		assert.Equal(t, want, !lockouts.Empty())
		assert.Equal(t, hal.Outputs{}, b.Outputs)
	}
}
