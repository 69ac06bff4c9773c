package tach

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
	"bathtender/hal/board/clock"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/gpiosim"
)

// Four simulated fans at 200 pulses a second under a real kernel: how regular the
// pulses are is the emulated machine's doing, so the speeds are only bounded.
func TestSpeedsUnderARealKernel(t *testing.T) {
	sim := gpiosim.Need(t, "cabinet", 8)
	chip, err := gpiochip.Find("cabinet")
	require.NoError(t, err)
	var lines []gpiochip.Line
	var fans []*Monitored
	for offset := range 4 {
		lines = append(lines, gpiochip.Line{Signal: "tach", Offset: offset, Bias: gpiochip.BiasUp})
		fans = append(fans, &Monitored{Offset: offset, Tach: New(2, nominal)})
	}
	edges, err := chip.Edges(lines)
	require.NoError(t, err)
	m := Watch(edges, clock.Now, fans)

	pulses := func(during time.Duration, count int) {
		at := clock.Now()
		for end := at + during; at < end; at += 5 * time.Millisecond {
			for offset := range count {
				require.NoError(t, sim.Set(offset, false))
				require.NoError(t, sim.Set(offset, true))
			}
			require.NoError(t, clock.SleepUntil(at+5*time.Millisecond))
		}
	}
	pulses(2*time.Second, 4)
	for i, fan := range fans {
		r := fan.Speed(clock.Now())
		if assert.True(t, r.Valid, "fan %d", i+1) {
			assert.InEpsilon(t, 6000, float64(r.Value)/float64(hal.RPM), 0.25, "fan %d", i+1)
		}
	}
	// The last stalls, the others turn on.
	pulses(time.Second, 3)
	r := fans[3].Speed(clock.Now())
	assert.True(t, r.Valid)
	assert.Zero(t, r.Value)
	r = fans[0].Speed(clock.Now())
	assert.True(t, r.Valid)
	assert.InEpsilon(t, 6000, float64(r.Value)/float64(hal.RPM), 0.25)

	require.NoError(t, sim.Unplug())
	assert.Eventually(t, func() bool { return m.Err() != nil }, 20*time.Second, 10*time.Millisecond)
	assert.False(t, fans[0].Speed(clock.Now()).Valid)
	assert.NoError(t, m.Close())
}
