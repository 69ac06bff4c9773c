package gpiochip

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/board/clock"
	"bathtender/hal/board/gpiosim"
)

func edges(t *testing.T, c Chip, lines ...Line) *Edges {
	t.Helper()
	e, err := c.Edges(lines)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, e.Close()) })
	return e
}

// pulse sends one pulse and lets the simulated chip deliver its edges: it merges those
// that come faster than its interrupts, which no number shows.
func pulse(t *testing.T, sim *gpiosim.Chip, offset int) {
	for _, high := range []bool{true, false} {
		require.NoError(t, sim.Set(offset, high))
		require.NoError(t, clock.SleepUntil(clock.Now()+250*time.Microsecond))
	}
}

// all fetches until there is nothing more.
func all(t *testing.T, e *Edges) []Event {
	t.Helper()
	var list []Event
	for {
		events := make([]Event, 100)
		n, err := e.Read(events, 50*time.Millisecond)
		require.NoError(t, err)
		if n == 0 {
			return list
		}
		list = append(list, events[:n]...)
	}
}

// A thousand edges that nobody fetches are all kept, in order and with their times.
func TestAThousandEdgesAreKept(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	e := edges(t, c, Line{Signal: "fan 1 tach", Offset: 3})
	before := clock.Now()
	for range 1000 {
		pulse(t, sim, 3)
	}
	after := clock.Now()
	list := all(t, e)
	require.Equal(t, 1000, len(list), "rising edges alone")
	last := before
	for i, event := range list {
		assert.Equal(t, Event{At: event.At, Offset: 3, Seq: uint32(i + 1), Rising: true}, event)
		assert.GreaterOrEqual(t, event.At, last)
		last = event.At
	}
	assert.LessOrEqual(t, last, after, "on the same clock")
}

// More than the kernel keeps are lost, and the numbers say so.
func TestLostEdgesShow(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	e := edges(t, c, Line{Signal: "fan 1 tach", Offset: 3})
	for range 3 * EdgesKept {
		pulse(t, sim, 3)
	}
	list := all(t, e)
	require.GreaterOrEqual(t, len(list), EdgesKept)
	require.Less(t, len(list), 3*EdgesKept)
	pulse(t, sim, 3)
	list = append(list, all(t, e)...)
	gaps := 0
	for i := 1; i < len(list); i++ {
		if list[i].Seq != list[i-1].Seq+1 {
			gaps++
		}
	}
	lostFirst := list[0].Seq != 1
	assert.True(t, gaps > 0 || lostFirst)
	assert.EqualValues(t, 3*EdgesKept+1, list[len(list)-1].Seq)
}

func TestBothEdgesAndActiveLow(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	e := edges(t, c, Line{Signal: "meter pulses", Offset: 1, Falling: true}, Line{Signal: "fan 1 tach", Offset: 2, ActiveLow: true})
	pulse(t, sim, 1)
	pulse(t, sim, 2)
	var got []Event
	for _, event := range all(t, e) {
		event.At = 0
		got = append(got, event)
	}
	assert.Equal(t, []Event{{Offset: 1, Seq: 1, Rising: true}, {Offset: 1, Seq: 2}, {Offset: 2, Seq: 1, Rising: true}}, got)
}

// A wait ends with an edge, with its time, and with Close, even one that came before
// it.
func TestWaitsEnd(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	e := edges(t, c, Line{Signal: "fan 1 tach", Offset: 3})
	events := make([]Event, 10)
	for _, wait := range []time.Duration{-time.Second, 0, time.Microsecond, 20 * time.Millisecond} {
		n, err := e.Read(events, wait)
		assert.NoError(t, err)
		assert.Zero(t, n)
	}
	for _, wait := range []time.Duration{0, time.Microsecond} {
		pulse(t, sim, 3)
		assert.Eventually(t, func() bool { // the kernel queues it from a thread of its own
			n, err := e.Read(events, wait)
			return err == nil && n == 1
		}, 10*time.Second, time.Millisecond, "one that is queued already")
	}
	done := make(chan error)
	read := func() {
		_, err := e.Read(events, time.Minute)
		done <- err
	}
	go read()
	time.Sleep(50 * time.Millisecond)
	pulse(t, sim, 3)
	assert.NoError(t, <-done)
	go read()
	time.Sleep(50 * time.Millisecond)
	require.NoError(t, e.Close())
	assert.Equal(t, ErrClosed, <-done)
	_, err := e.Read(events, time.Minute)
	assert.Equal(t, ErrClosed, err)
	assert.NoError(t, e.Close(), "twice")
}

// Where the chip goes away a reader gets an error, and does not spin.
func TestEdgesOfAChipThatGoesAway(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	e := edges(t, c, Line{Signal: "fan 1 tach", Offset: 3})
	done := make(chan error)
	go func() {
		events := make([]Event, 10)
		for {
			if _, err := e.Read(events, 100*time.Millisecond); err != nil {
				done <- err
				return
			}
		}
	}()
	time.Sleep(150 * time.Millisecond)
	require.NoError(t, sim.Unplug())
	select {
	case err := <-done:
		assert.ErrorContains(t, err, `the edges of 1 line of chip "cabinet" `)
	case <-time.After(20 * time.Second):
		t.Fatal("the reader was not told")
	}
}

// Four fans at 200 pulses a second each: none is lost.
func TestEdgesOfFourFans(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	e := edges(t, c, Line{Signal: "fan 1 tach", Offset: 0}, Line{Signal: "fan 2 tach", Offset: 1}, Line{Signal: "fan 3 tach", Offset: 2}, Line{Signal: "fan 4 tach", Offset: 3})
	const each = 600 // in 3 seconds
	sent := make(chan error)
	go func() {
		at := clock.Now()
		for range each {
			for offset := range 4 {
				if err := sim.Set(offset, true); err != nil {
					sent <- err
					return
				}
				if err := sim.Set(offset, false); err != nil {
					sent <- err
					return
				}
				at += 1250 * time.Microsecond
				if err := clock.SleepUntil(at); err != nil {
					sent <- err
					return
				}
			}
		}
		sent <- nil
	}()
	var next [4]uint32
	events := make([]Event, 64)
	for done := false; ; {
		n, err := e.Read(events, 100*time.Millisecond)
		require.NoError(t, err)
		for _, event := range events[:n] {
			next[event.Offset]++
			require.Equal(t, next[event.Offset], event.Seq, "line %d", event.Offset)
		}
		if n == 0 && done {
			break
		}
		select {
		case err := <-sent:
			require.NoError(t, err)
			done = true
		default:
		}
	}
	assert.Equal(t, [4]uint32{each, each, each, each}, next)
}

func TestFetchingAllocatesNothing(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	e := edges(t, c, Line{Signal: "fan 1 tach", Offset: 3})
	events := make([]Event, 10)
	got := 0
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		pulse(t, sim, 3)
		n, _ := e.Read(events, 100*time.Millisecond)
		got += n
	}))
	assert.Equal(t, 101, got, "one each time, and one to warm up")
}
