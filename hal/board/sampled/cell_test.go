package sampled_test

import (
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/board/sampled"
)

func TestTheZeroCellHasNoReading(t *testing.T) {
	var c sampled.Cell[physic.Power]
	assert.Equal(t, hal.Reading[physic.Power]{}, c.Reading(time.Hour))
}

func TestALastValueGrowsOld(t *testing.T) {
	var c sampled.Cell[physic.Power]
	for i := range 5 {
		at := time.Duration(i) * time.Second
		c.Put(physic.Power(i)*physic.Watt, at)
		assert.Equal(t, hal.Fresh(physic.Power(i)*physic.Watt), c.Reading(at))
		assert.Equal(t, hal.Aged(physic.Power(i)*physic.Watt, 700*time.Millisecond), c.Reading(at+700*time.Millisecond))
	}
	assert.Equal(t, hal.Fresh(4*physic.Watt), c.Reading(3*time.Second), "put in after the reader looked at the clock")
}

// A reader that is overtaken must not pair one value with the time of another.
func TestAValueKeepsItsTime(t *testing.T) {
	var c sampled.Cell[physic.Power]
	var writer sync.WaitGroup
	writer.Go(func() {
		for i := range 200_000 {
			c.Put(physic.Power(i+1), time.Duration(i+1))
		}
	})
	const now = time.Hour
	for range 200_000 {
		if r := c.Reading(now); r.Valid {
			assert.Equal(t, now-time.Duration(r.Value), r.Age)
		}
	}
	writer.Wait()
	assert.Equal(t, hal.Aged(physic.Power(200_000), now-200_000), c.Reading(now))
}

func TestReadingAllocatesNothing(t *testing.T) {
	var c sampled.Cell[physic.Power]
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		c.Put(physic.Watt, time.Second)
		c.Reading(time.Second)
	}))
}
