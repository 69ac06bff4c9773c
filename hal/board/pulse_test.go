package board

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

// pulsed starts a pulse, looks at the cabinet halfway, and returns how it ended.
func pulsed(b *Board, c *cabinet, name string, halfway func()) error {
	done := make(chan error)
	go func() { done <- b.Pulse(name, 2*time.Second) }()
	time.Sleep(time.Second)
	halfway()
	return <-done
}

func TestOneOutputIsTried(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		for _, name := range names[1:8] {
			assert.NoError(t, pulsed(b, c, name, func() {
				assert.Equal(t, []string{name}, c.on())
				assert.True(t, read(t, b).OutputsOK)
				assert.Error(t, b.Write(everything))
				assert.Equal(t, []string{name}, c.on(), "it is the only one")
			}))
			assert.Empty(t, c.on())
		}
		time.Sleep(time.Second)
		assert.True(t, read(t, b).OutputsOK, "no lease has run out")
		require.NoError(t, b.Write(hal.Outputs{Fans: true}))
	})
}

func TestTheContactorHasItsOwnCall(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		assert.EqualError(t, b.Pulse("contactor", time.Second), "the contactor is not tried like other outputs: it puts mains on what is behind it")
		assert.Empty(t, c.on())
		done := make(chan error)
		go func() { done <- b.PulseContactor(time.Second) }()
		time.Sleep(500 * time.Millisecond)
		assert.Equal(t, []string{"contactor"}, c.on())
		assert.NoError(t, <-done)
		assert.Empty(t, c.on())
	})
}

func TestPulsesThatAreRefused(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		assert.EqualError(t, b.Pulse("pump", time.Second), `"pump" is not an output that is wired`)
		assert.EqualError(t, b.Pulse("stop loop", time.Second), `"stop loop" is not an output that is wired`)
		assert.EqualError(t, b.Pulse("fans", 0), "an output cannot be tried for 0 s, allowed are up to 10 s")
		assert.EqualError(t, b.Pulse("fans", time.Minute), "an output cannot be tried for 1 min, allowed are up to 10 s")
		require.NoError(t, b.Write(hal.Outputs{Contactor: true}))
		assert.EqualError(t, b.Pulse("fans", time.Second), "no output can be tried while another is on")
		require.NoError(t, b.Write(hal.Outputs{}))
		assert.NoError(t, pulsed(b, c, "fans", func() {
			assert.EqualError(t, b.Pulse("lamp", time.Second), "no output can be tried while another is on")
		}))
	})
}

func TestAnOutputThatDoesNotAnswerItsPulse(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		c.set(c.level, "bank 2", false)
		assert.EqualError(t, b.Pulse("bank 2", time.Second), "the output bank 2 was switched on and reads off")
		assert.Empty(t, c.on())
		c.set(c.level, "bank 2", true)
		assert.EqualError(t, b.Pulse("bank 1", time.Second), "the output bank 2 was switched off and reads on")
		assert.Empty(t, c.on())
	})
}

// A pulse whose goroutine does not get to end it falls off with its lease; until the
// goroutine does, nobody else may try an output, which it would end.
func TestAPulseThatIsHeldUp(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.pulseOn("fans", time.Second))
		time.Sleep(1250 * time.Millisecond)
		assert.Equal(t, []string{"fans"}, c.on())
		time.Sleep(100 * time.Millisecond)
		assert.Empty(t, c.on(), "a second and the lease of 300 ms are over")
		assert.EqualError(t, b.Pulse("lamp", time.Second), "no output can be tried while another is on")
		assert.EqualError(t, b.pulseOff(), "the output fell off before its time, not switched off within 300 ms of it")
		assert.False(t, read(t, b).OutputsOK)
		assert.NoError(t, b.Pulse("lamp", time.Second))
	})
}

func TestClosingEndsAPulse(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		assert.EqualError(t, pulsed(b, c, "fans", func() {
			assert.NoError(t, b.Close())
			assert.Empty(t, c.on())
		}), "the board was closed")
	})
}
