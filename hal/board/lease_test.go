package board

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

// tick lets 100 ms pass and does what the loop does at each tick.
func tick(t *testing.T, b *Board, o hal.Outputs) {
	time.Sleep(100 * time.Millisecond)
	assert.True(t, read(t, b).OutputsOK)
	require.NoError(t, b.Write(o))
}

func TestOutputsThatAreRenewedStayOn(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(everything))
		for range 1000 {
			tick(t, b, everything)
			assert.Len(t, c.on(), 8)
		}
	})
}

// Whenever the last tick came, all is on until the lease is over and off from then.
func TestOutputsFallOffWithTheirLease(t *testing.T) {
	for ms := range 37 {
		bubble(t, func(t *testing.T, b *Board, c *cabinet) {
			time.Sleep(time.Duration(ms) * 17 * time.Millisecond)
			require.NoError(t, b.Write(everything))
			tick(t, b, everything)
			time.Sleep(299 * time.Millisecond)
			synctest.Wait()
			assert.Len(t, c.on(), 8, "before it is over")
			time.Sleep(2 * time.Millisecond)
			synctest.Wait()
			assert.Empty(t, c.on(), "1 ms after")
		})
	}
}

// A tick that was held up after it had decided must not switch on again what has
// fallen off.
func TestADecisionFromBeforeTheFallIsRefused(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(everything))
		read(t, b)
		time.Sleep(time.Second)
		assert.EqualError(t, b.Write(everything), "the outputs fell off, not renewed for 300 ms: nothing is set until the cabinet was read again")
		assert.Empty(t, c.on())
		assert.False(t, read(t, b).OutputsOK, "the loop is told of it once")
		require.NoError(t, b.Write(hal.Outputs{Fans: true}))
		assert.Equal(t, []string{"fans"}, c.on())
		assert.True(t, read(t, b).OutputsOK)
	})
}

// What cannot be switched off is tried again until it can.
func TestTheLeaseDoesNotGiveUp(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(everything))
		c.set(c.refuses, "lamp", true)
		time.Sleep(310 * time.Millisecond)
		assert.Equal(t, []string{"lamp"}, c.on(), "the other chip is off")
		time.Sleep(10 * time.Second)
		c.set(c.refuses, "lamp", false)
		time.Sleep(100 * time.Millisecond)
		assert.Empty(t, c.on())
	})
}

// A Write that failed does not renew the lease.
func TestAFailedWriteRenewsNothing(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(everything))
		c.set(c.refuses, "lamp", true)
		for range 3 {
			time.Sleep(95 * time.Millisecond)
			assert.Error(t, b.Write(everything))
			assert.Contains(t, c.on(), "heater")
		}
		time.Sleep(20 * time.Millisecond)
		assert.Equal(t, []string{"lamp"}, c.on())
	})
}

func TestAnIdleBoardFallsToo(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		time.Sleep(time.Minute)
		assert.True(t, read(t, b).OutputsOK, "nothing was ever commanded")
		require.NoError(t, b.Write(hal.Outputs{}))
	})
}
