package plant

import (
	"bytes"
	"encoding/binary"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bathtender/hal"
)

// record runs a session with a few faults and returns all its snapshots, byte
// by byte.
func record(t testing.TB, seed uint64) []byte {
	t.Helper()
	c := demo(t)
	r := newRig(t, c, c.Workshop(seed))
	var all []byte
	for i := range 1200 {
		switch i {
		case 20:
			r.want = heating
		case 400:
			r.want = emitting
		case 600:
			r.Faults.FanStalled[1], r.Faults.EmittersDead[2] = true, 1
		case 900:
			r.want, r.Faults = allOff, Faults{LeakRate: 1}
		}
		r.tick(tick)
		s := r.see()
		var err error
		all, err = binary.Append(all, binary.LittleEndian, s)
		require.NoError(t, err)
	}
	return all
}

func TestSameSeedSameBytes(t *testing.T) {
	first := record(t, 1)
	require.Len(t, first, 1200*binary.Size(hal.Snapshot{}))
	assert.True(t, bytes.Equal(first, record(t, 1)), "the same seed again")
	assert.False(t, bytes.Equal(first, record(t, 2)), "another seed")
}

func TestCopyGoesOnLikeTheOriginal(t *testing.T) {
	c := demo(t)
	r := newRig(t, c, c.Workshop(3))
	r.want = emitting
	r.run(20 * time.Second)
	other := &rig{t: t, want: r.want, beat: r.beat}
	copied := *r.Plant
	other.Plant = &copied
	require.Equal(t, *r.Plant, copied)
	r.run(10 * time.Second)
	assert.NotEqual(t, r.Truth(), other.Truth(), "a copy stands still by itself")
	other.run(10 * time.Second)
	assert.True(t, *r.Plant == *other.Plant)
}

func TestFaultDoesNotDisturbTheNoise(t *testing.T) {
	c := demo(t)
	well, ill := newRig(t, c, c.Workshop(4)), newRig(t, c, c.Workshop(4))
	ill.Faults.ProbeOpen[hal.BathA], ill.Faults.TachOpen[0], ill.Faults.FloatStuck = true, true, StuckLow
	for _, r := range []*rig{well, ill} {
		r.want = emitting
		r.run(30 * time.Second)
	}
	a, b := well.see(), ill.see()
	assert.Equal(t, a.Meter, b.Meter)
	assert.Equal(t, a.Probes[hal.BathB], b.Probes[hal.BathB])
	assert.Equal(t, well.Truth(), ill.Truth())
}

// No fault draws noise, or keeps any from being drawn: what is random goes on as it
// would have without it.
func TestNoFaultDisturbsTheNoise(t *testing.T) {
	c := demo(t)
	well := newRig(t, c, c.Workshop(4))
	well.want = emitting
	well.run(5 * time.Second)
	require.NotEqual(t, newRig(t, c, c.Workshop(4)).noise, well.noise, "it goes on at all")
	for _, row := range slices.Concat(faultRows, drivenRows) {
		ill := newRig(t, c, c.Workshop(4))
		ill.want = emitting
		row.set(&ill.Faults)
		ill.run(5 * time.Second)
		assert.Equal(t, well.noise, ill.noise, "%s", row.name)
	}
}

func TestNoiseHasTheSpreadThatWasAskedFor(t *testing.T) {
	// Mean 0 and variance 1 for the bell; from -1 to 1 with variance 1/3 for
	// the even one. Of 200000 draws the mean is good to 0.01 (4 standard errors).
	n := newNoise(5)
	const draws = 200000
	var sum, squares, even, evenSquares float64
	for range draws {
		x, y := n.bell(), n.uniform()
		require.True(t, x >= -3 && x <= 3 && y >= -1 && y < 1)
		sum, squares, even, evenSquares = sum+x, squares+x*x, even+y, evenSquares+y*y
	}
	assert.InDelta(t, 0, sum/draws, 0.01)
	assert.InDelta(t, 1, squares/draws, 0.02)
	assert.InDelta(t, 0, even/draws, 0.01)
	assert.InDelta(t, 1.0/3, evenSquares/draws, 0.01)
}

func TestMainsWanderKeepsItsSpread(t *testing.T) {
	// The spread of a mean-reverting wander does not depend on the step.
	c := demo(t)
	w := c.Workshop(6)
	w.Wander, w.Noise = 2, 0
	for _, step := range []time.Duration{tick, 25 * time.Millisecond} {
		p, err := New(c, w)
		require.NoError(t, err)
		var sum, squares, n float64
		for range 12000 {
			p.Step(step * 10)
			volts := p.Truth().MainsVolts - 230
			sum, squares, n = sum+volts, squares+volts*volts, n+1
		}
		assert.InDelta(t, 0, sum/n, 0.5, "%v", step)
		assert.InDelta(t, 2, sqrt(squares/n), 0.5, "%v", step)
	}
}

func TestMainsNoiseHasItsSpread(t *testing.T) {
	c := demo(t)
	w := c.Workshop(8)
	w.Wander, w.Noise = 0, 0.5
	p, err := New(c, w)
	require.NoError(t, err)
	var squares float64
	for range 10000 {
		p.Step(tick)
		volts := p.Truth().MainsVolts - 230
		squares += volts * volts
	}
	assert.InDelta(t, 0.5, sqrt(squares/10000), 0.02)
}

func sqrt(x float64) float64 {
	root := x
	for range 50 {
		root = (root + x/root) / 2
	}
	return root
}

func TestNoStepIsTooWild(t *testing.T) {
	// Whatever the faults, outputs and steps: everything stays finite and where
	// physics allows.
	c := demo(t)
	rapid.Check(t, func(rt *rapid.T) {
		w := c.Workshop(rapid.Uint64().Draw(rt, "seed"))
		w.Litres = rapid.Float64Range(0, 40).Draw(rt, "litres")
		w.Bath = zero + rapid.Float64Range(0, 100).Draw(rt, "bath")
		p, err := New(c, w)
		require.NoError(rt, err)
		beat := false
		for range rapid.IntRange(1, 8).Draw(rt, "parts") {
			p.Faults.LeakRate = rapid.Float64Range(-1, 50).Draw(rt, "leak")
			p.Faults.PourRate = rapid.Float64Range(-1, 50).Draw(rt, "pour")
			p.Faults.AirInletBlocked = rapid.Float64Range(-1, 2).Draw(rt, "blocked")
			p.Faults.FanSpeedLoss[0] = rapid.Float64Range(-1, 2).Draw(rt, "slow")
			p.Faults.EmittersDead[0] = rapid.IntRange(-3, 9).Draw(rt, "dead")
			p.Faults.BankDrift[1] = rapid.Float64Range(-2, 2).Draw(rt, "drift")
			p.Faults.MeterScale = rapid.Float64Range(-2, 2).Draw(rt, "scale")
			p.Faults.MainsVolts = rapid.Float64Range(-10, 400).Draw(rt, "volts")
			p.Faults.HeaterDetached = rapid.Bool().Draw(rt, "detached")
			p.Faults.EmittersLoose[0] = rapid.IntRange(-3, 9).Draw(rt, "loose")
			p.Faults.BankShorted[2] = rapid.Bool().Draw(rt, "shorted")
			p.Faults.MainsDip = rapid.Float64Range(-1, 2).Draw(rt, "dip")
			p.Faults.Draught = rapid.Float64Range(-1, 20).Draw(rt, "draught")
			p.Faults.ProbeBusLoss = rapid.Float64Range(-1, 2).Draw(rt, "loss")
			p.Faults.MeterLate = rapid.Float64Range(-1, 5).Draw(rt, "late")
			step := time.Duration(rapid.Int64Range(1, 3e8).Draw(rt, "step"))
			out := hal.Outputs{Contactor: true, Fans: rapid.Bool().Draw(rt, "fans"),
				Heater: rapid.Bool().Draw(rt, "heater"), Banks: hal.Banks(rapid.Uint16().Draw(rt, "banks"))}
			for range 100 {
				beat = !beat
				out.Heartbeat, out.FeedWatchdog = beat, true
				_ = p.Write(out)
				p.Step(step)
			}
			truth := p.Truth()
			for _, kelvin := range append([]float64{truth.Bath, truth.Plate, truth.Cabinet}, truth.Winding[:6]...) {
				require.True(rt, kelvin > 250 && kelvin < 4000, "%+v", truth)
			}
			require.True(rt, truth.Litres >= 0 && truth.Litres <= 27.001 && truth.LitresOnFloor >= 0, "%+v", truth)
			require.True(rt, truth.AirShare >= 0 && truth.AirShare <= 1 && truth.TotalWatts >= 0, "%+v", truth)
			require.True(rt, truth.Bath <= zero+100.1 || truth.Litres < 1e-9, "water under air does not get hotter: %+v", truth)
		}
	})
}

func TestNothingAllocates(t *testing.T) {
	r := demoRig(t)
	r.want = busy
	var s hal.Snapshot
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		r.tick(tick)
		_ = r.Read(&s)
		_ = r.Truth()
		_ = r.Energy()
	}))
}
