package board

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/gpiosim"
)

// simulated opens a board on simulated chips of a real kernel: lines as in wiring, which
// has two chips; the lamp's is active low.
func simulated(t *testing.T) (*Board, *gpiosim.Chip, *gpiosim.Chip) {
	a, other := gpiosim.Need(t, "a", 20), gpiosim.Need(t, "b", 20)
	config := wiring()
	config.Watchdog, config.Lease = Watchdog{}, 600*time.Millisecond
	for i := range config.Lines {
		l := &config.Lines[i]
		switch {
		case l.Signal == "lamp":
			l.ActiveLow = true
		case i >= 15:
			l.Bias = gpiochip.BiasUp
		case i >= 8:
			l.Bias = gpiochip.BiasDown
		}
	}
	b, err := Open(config)
	require.NoError(t, err)
	t.Cleanup(func() { _ = b.Close() })
	return b, a, other
}

func high(t *testing.T, chip *gpiosim.Chip, offset int) bool {
	t.Helper()
	is, err := chip.High(offset)
	require.NoError(t, err)
	return is
}

func TestABoardUnderARealKernel(t *testing.T) {
	b, a, other := simulated(t)
	assert.True(t, high(t, other, 7), "active low and off")
	require.NoError(t, b.Write(everything))
	for offset := range 7 {
		assert.True(t, high(t, a, offset), names[offset])
	}
	assert.False(t, high(t, other, 7), "active low and on")
	assert.True(t, read(t, b).OutputsOK)

	require.NoError(t, a.Set(8, true)) // the stop loop closes
	assert.Eventually(t, func() bool {
		s := read(t, b)
		_ = b.Write(everything)
		return s.Contacts.StopClosed == hal.Closed
	}, 10*time.Second, 50*time.Millisecond)
	assert.Equal(t, hal.Open, read(t, b).Contacts.LidClosed)
	require.NoError(t, b.Close())
	assert.False(t, high(t, a, 0), "the contactor after Close")
}

// Nothing renews the lease: the kernel's lines fall off by themselves.
func TestTheLeaseUnderARealKernel(t *testing.T) {
	b, a, _ := simulated(t)
	require.NoError(t, b.Write(everything))
	assert.True(t, high(t, a, 0))
	begin := time.Now()
	for high(t, a, 0) {
		require.Less(t, time.Since(begin), 20*time.Second)
		time.Sleep(time.Millisecond)
	}
	t.Logf("with a lease of 600 ms the contactor's line fell after %v", time.Since(begin).Round(time.Millisecond))
	assert.Error(t, b.Write(everything))
	assert.False(t, read(t, b).OutputsOK)
}

// A chip that is unplugged: everything that hangs from it is missing, and nothing of
// it is believed.
func TestAnUnpluggedChip(t *testing.T) {
	b, a, _ := simulated(t)
	require.NoError(t, a.Set(8, true))
	require.NoError(t, b.Write(hal.Outputs{Fans: true}))
	require.NoError(t, a.Unplug())
	assert.ErrorContains(t, b.Write(hal.Outputs{Fans: true}), "no such device")
	s := read(t, b)
	assert.False(t, s.OutputsOK)
	assert.Equal(t, hal.Contacts{}, s.Contacts)
	assert.Eventually(t, func() bool { return !read(t, b).Fans[0].Valid }, 10*time.Second, 50*time.Millisecond)
	failed := 0
	for _, answer := range b.Answers() {
		if !answer.OK {
			failed++
		}
	}
	assert.Equal(t, 15, failed, "all but the lamp and the reset button")
	assert.ErrorContains(t, b.Close(), "no such device")
}

// A line that somebody else has is named, and nothing else is kept.
func TestABusyLineIsNamed(t *testing.T) {
	b, _, _ := simulated(t)
	_, err := Open(b.config)
	require.Error(t, err)
	assert.ErrorContains(t, err, `line 0 of chip "a" (contactor) is in use by "bathtender"`)
	assert.ErrorContains(t, err, `line 7 of chip "b" (lamp) is in use by "bathtender"`)
	assert.ErrorContains(t, err, `line 8 of chip "a" (stop loop) is in use by "bathtender"`)
	assert.ErrorContains(t, err, `line 15 of chip "a" (fan 1 tach) is in use by "bathtender"`)
}

func BenchmarkATick(b *testing.B) {
	gpiosim.Need(b, "a", 20)
	gpiosim.Need(b, "b", 20)
	config := wiring()
	config.Watchdog, config.Lease = Watchdog{}, time.Minute
	board, err := Open(config)
	require.NoError(b, err)
	defer board.Close()
	var s hal.Snapshot
	b.ReportAllocs()
	for b.Loop() {
		_ = board.Read(&s)
		_ = board.Write(everything)
	}
}
