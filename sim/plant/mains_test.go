package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dipped returns for how long nothing was on from the start of a dip.
func dipped(t *testing.T, seconds float64) (off time.Duration, r *rig) {
	r = demoRig(t)
	r.want = busy
	r.run(10 * time.Second)
	r.Faults.MainsDip = seconds
	for range 20 {
		r.tick(tick)
		if !r.Truth().ContactorClosed {
			off += tick
		}
	}
	return off, r
}

func TestWhatDipsAreRiddenThrough(t *testing.T) {
	for _, c := range []struct {
		dip float64
		off time.Duration
	}{
		{0, 0}, {0.01, 0}, {0.02, 0}, {0.03, 0}, {0.04, tick}, {0.06, tick}, {0.1, tick}, {0.2, 2 * tick}, {0.25, 3 * tick}, {0.5, 5 * tick},
	} {
		off, r := dipped(t, c.dip)
		assert.Equal(t, c.off, off, "%v s", c.dip)
		require.True(t, r.Truth().ContactorClosed)
		// The same dip again needs somebody to take it away first.
		r.run(time.Second)
		assert.True(t, r.Truth().ContactorClosed)
	}
	// A dip that is taken away and comes again is another.
	_, r := dipped(t, 0.5)
	r.Faults.MainsDip = 0
	r.run(tick)
	r.Faults.MainsDip = 0.5
	r.run(tick)
	assert.False(t, r.Truth().ContactorClosed)
	// One that is taken away early is over.
	r.Faults.MainsDip = 0
	r.run(200 * time.Millisecond)
	assert.True(t, r.Truth().ContactorClosed)
}
