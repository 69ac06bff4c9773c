package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bathtender/firmware/machine"
	"bathtender/firmware/thermal"
	"bathtender/hal"
	"bathtender/testdata"
)

const (
	tick = 100 * time.Millisecond
	zero = thermal.ZeroCelsius
)

// demo returns the configuration of the demo tank.
func demo(t testing.TB) Config {
	t.Helper()
	const name = "machines/slide-tank.toml"
	data, err := testdata.FS.ReadFile(name)
	require.NoError(t, err)
	m, err := machine.Parse(name, data)
	require.NoError(t, err)
	return FromMachine(m)
}

// calm is a world without noise.
func calm(c Config) World {
	w := c.Workshop(7)
	w.Wander, w.Noise, w.ProbeSpread = 0, 0, 0
	return w
}

// rig drives a plant as a healthy loop does.
type rig struct {
	*Plant
	t    testing.TB
	want hal.Outputs
	beat bool
}

func newRig(t testing.TB, c Config, w World) *rig {
	t.Helper()
	p, err := New(c, w)
	require.NoError(t, err)
	return &rig{Plant: p, t: t}
}

func demoRig(t testing.TB) *rig {
	t.Helper()
	c := demo(t)
	return newRig(t, c, calm(c))
}

// tick writes the wanted outputs once and moves on by a step.
func (r *rig) tick(step time.Duration) {
	r.beat = !r.beat
	out := r.want
	out.Heartbeat, out.FeedWatchdog = r.beat, true
	_ = r.Write(out)
	r.Step(step)
}

// run ticks for a time.
func (r *rig) run(d time.Duration) *rig {
	for ; d > 0; d -= tick {
		r.tick(tick)
	}
	return r
}

// until ticks until a condition holds, and returns how long that took.
func (r *rig) until(limit time.Duration, done func(Truth) bool) time.Duration {
	r.t.Helper()
	start := r.Truth().Time
	for !done(r.Truth()) {
		require.Less(r.t, r.Truth().Time-start, limit, "it takes too long")
		r.tick(tick)
	}
	return r.Truth().Time - start
}

// see reads a snapshot.
func (r *rig) see() hal.Snapshot {
	r.t.Helper()
	var s hal.Snapshot
	require.NoError(r.t, r.Read(&s))
	return s
}

// The outputs of the phases of a session.
var (
	allOff   = hal.Outputs{}
	airOnly  = hal.Outputs{Contactor: true, Fans: true}
	heating  = hal.Outputs{Contactor: true, Fans: true, Heater: true}
	emitting = hal.Outputs{Contactor: true, Fans: true, Banks: hal.FirstBanks(6)}
	airless  = hal.Outputs{Contactor: true, Banks: hal.FirstBanks(6)}
)
