package gpiochip

import (
	"errors"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"bathtender/hal/board/gpiosim"
)

// The tests of this file ask a real kernel, about lines that it simulates. What they
// look for are faults that were measured in another layer over the same kernel.

// chip makes a simulated chip and finds it by its label.
func chip(t *testing.T, label string, lines int) (*gpiosim.Chip, Chip) {
	t.Helper()
	sim := gpiosim.Need(t, label, lines)
	c, err := Find(label)
	require.NoError(t, err)
	assert.Equal(t, Chip{Path: sim.Path, Name: strings.TrimPrefix(sim.Path, "/dev/"), Label: label, Lines: lines}, c)
	return sim, c
}

func isHigh(t *testing.T, sim *gpiosim.Chip, offset int) bool {
	t.Helper()
	high, err := sim.High(offset)
	require.NoError(t, err)
	return high
}

// flags asks the kernel, apart from any request, what a line is.
func (c Chip) flagsNow(t *testing.T, offset int) uint64 {
	t.Helper()
	fd, err := open(c.Path)
	require.NoError(t, err)
	defer unix.Close(fd)
	info, err := c.info(fd, Line{Offset: offset})
	require.NoError(t, err)
	return info.Flags
}

var relays = []Line{{Signal: "contactor", Offset: 2}, {Signal: "heater", Offset: 0, ActiveLow: true}, {Signal: "bank 1", Offset: 5}}

// Taking outputs switches none on, not even for a moment: a line that an active low
// relay hangs from is pulled up before, and is never low.
func TestOutputsAreOffFromTheFirstMoment(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	require.NoError(t, sim.Set(0, true))
	traced := trace(t)
	lines, err := c.Outputs(relays)
	said := traced()
	require.NoError(t, err)
	defer lines.Close()
	assert.Equal(t, []bool{false, true, false}, []bool{isHigh(t, sim, 2), isHigh(t, sim, 0), isHigh(t, sim, 5)})
	on, err := lines.Get()
	require.NoError(t, err)
	assert.Zero(t, on)
	// With the kernel's trace, where it has one: each line is driven once, to its
	// off level, and never made an input.
	if said != "" {
		assert.Equal(t, 3, strings.Count(said, " set "), said)
		assert.Equal(t, 1, strings.Count(said, " set 1"), said)
		assert.Equal(t, 3, strings.Count(said, " out ("), said)
		assert.NotContains(t, said, " in (")
	}
}

// trace records what the kernel does to lines, and returns a function that ends it
// and returns the record: empty where the kernel does not trace.
func trace(t *testing.T) func() string {
	const folder = "/sys/kernel/tracing"
	if os.Getenv("BATHTENDER_GUEST") == "1" {
		_ = unix.Mount("tracefs", folder, "tracefs", 0, "") // may be there already, or not at all
	}
	if _, err := os.Stat(folder + "/events/gpio/enable"); err != nil {
		t.Log("the kernel traces no lines: only the levels before and after are looked at")
		return func() string { return "" }
	}
	require.NoError(t, os.WriteFile(folder+"/trace", nil, 0o644))
	require.NoError(t, os.WriteFile(folder+"/events/gpio/enable", []byte("1"), 0o644))
	return func() string {
		require.NoError(t, os.WriteFile(folder+"/events/gpio/enable", []byte("0"), 0o644))
		text, err := os.ReadFile(folder + "/trace")
		require.NoError(t, err)
		return string(text)
	}
}

// Reading outputs leaves them outputs, and at their level.
func TestReadingAnOutputDoesNotSwitchIt(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	lines, err := c.Outputs(relays)
	require.NoError(t, err)
	defer lines.Close()
	traced := trace(t)
	for on := range uint64(8) {
		require.NoError(t, lines.Set(on))
		for range 10 {
			got, err := lines.Get()
			require.NoError(t, err)
			assert.Equal(t, on, got)
		}
		for i, l := range relays {
			assert.Equal(t, on&(1<<i) != 0 != l.ActiveLow, isHigh(t, sim, l.Offset), "%s with %03b", l.Signal, on)
			flags := c.flagsNow(t, l.Offset)
			assert.NotZero(t, flags&flagOutput)
			assert.Zero(t, flags&flagInput)
		}
	}
	assert.NotContains(t, traced(), "gpio_direction:", "no direction was touched")
	// Pulled the other way from outside, a simulated output stays as it is driven.
	require.NoError(t, lines.Set(0))
	require.NoError(t, sim.Set(2, true))
	got, err := lines.Get()
	require.NoError(t, err)
	assert.Zero(t, got)
}

// A refused request names who has each line, takes none, and touches no other file.
func TestALineThatIsInUse(t *testing.T) {
	_, c := chip(t, "cabinet", 8)
	var before, after unix.Stat_t
	require.NoError(t, unix.Fstat(0, &before))
	first, err := c.Inputs([]Line{{Signal: "stop loop", Offset: 5}, {Signal: "lid switch", Offset: 6}}, 0)
	require.NoError(t, err)
	for range 2 {
		_, err = c.Outputs([]Line{{Signal: "heater", Offset: 4}, {Signal: "contactor", Offset: 5}, {Signal: "fans", Offset: 6}})
		assert.EqualError(t, err, "line 5 of chip \"cabinet\" (contactor) is in use by \"bathtender\"\nline 6 of chip \"cabinet\" (fans) is in use by \"bathtender\"")
	}
	_, err = c.Edges([]Line{{Signal: "fan 1 tach", Offset: 5}})
	assert.EqualError(t, err, `line 5 of chip "cabinet" (fan 1 tach) is in use by "bathtender"`)
	assert.Zero(t, c.flagsNow(t, 4)&flagUsed, "the free one was not kept")
	require.NoError(t, first.Close())
	again, err := c.Outputs([]Line{{Signal: "contactor", Offset: 5}})
	require.NoError(t, err)
	require.NoError(t, again.Close())
	require.NoError(t, unix.Fstat(0, &after))
	assert.Equal(t, before.Ino, after.Ino, "standard input is as it was")
}

func TestLinesThatAreNotThere(t *testing.T) {
	_, c := chip(t, "cabinet", 8)
	_, err := c.Outputs([]Line{{Signal: "heater", Offset: 7}, {Signal: "fans", Offset: 8}, {Signal: "lamp", Offset: -1}})
	assert.EqualError(t, err, "line 8 of chip \"cabinet\" (fans) is not there, the chip has lines 0 to 7\nline -1 of chip \"cabinet\" (lamp) is not there, the chip has lines 0 to 7")
	_, err = c.Inputs(nil, 0)
	assert.ErrorContains(t, err, "0 lines of chip")
}

// Chips are found by what they call themselves, whichever number they have got.
func TestChipsAreFoundByTheirLabel(t *testing.T) {
	sim, _ := chip(t, "cabinet", 8)
	other := gpiosim.Need(t, "other", 4)
	c, err := Find(other.Path)
	require.NoError(t, err)
	assert.Equal(t, "other", c.Label)
	_, err = Find("cab")
	assert.ErrorContains(t, err, `no GPIO chip has the label "cab", there are `)
	assert.ErrorContains(t, err, `"cabinet" (`+sim.Path+", 8 lines)")
	chips, err := List()
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(chips), 2)

	second := gpiosim.Need(t, "cabinet", 8)
	_, err = Find("cabinet")
	assert.EqualError(t, err, `2 GPIO chips have the label "cabinet": `+sim.Path+" and "+second.Path+"; allowed is the path of one of them")
	// A path that has come to be another chip is not taken for the one that it was.
	stale := Chip{Path: other.Path, Label: "cabinet"}
	_, err = stale.Outputs(relays[:1])
	assert.EqualError(t, err, "the GPIO chip at "+other.Path+` was "cabinet" and is now "other"`)
}

// A chip that goes away gives errors, and never a level.
func TestAChipThatGoesAway(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	require.NoError(t, sim.Set(3, true))
	out, err := c.Outputs(relays)
	require.NoError(t, err)
	defer out.Close()
	in, err := c.Inputs([]Line{{Signal: "stop loop", Offset: 3}}, 0)
	require.NoError(t, err)
	defer in.Close()
	got, err := in.Get()
	require.NoError(t, err)
	assert.EqualValues(t, 1, got)
	require.NoError(t, sim.Unplug())
	assert.ErrorContains(t, out.Set(1), `the 3 outputs of chip "cabinet" cannot be set: no such device`)
	_, err = out.Get()
	assert.ErrorContains(t, err, `the 3 outputs of chip "cabinet" cannot be read: no such device`)
	_, err = in.Get()
	assert.ErrorContains(t, err, `the 1 input of chip "cabinet" cannot be read: no such device`)
}

func TestLinesThatWereLetGo(t *testing.T) {
	_, c := chip(t, "cabinet", 8)
	lines, err := c.Outputs(relays)
	require.NoError(t, err)
	require.NoError(t, lines.Close())
	require.NoError(t, lines.Close(), "twice")
	assert.EqualError(t, lines.Set(7), `the 3 outputs of chip "cabinet" cannot be set: they have been let go`)
	_, err = lines.Get()
	assert.EqualError(t, err, `the 3 outputs of chip "cabinet" cannot be read: they have been let go`)
}

// The kernel's bias decides what an open wire reads; a simulated chip has both.
func TestBias(t *testing.T) {
	_, c := chip(t, "cabinet", 8)
	lines, err := c.Inputs([]Line{
		{Signal: "stop loop", Offset: 0, Bias: BiasDown}, {Signal: "lid switch", Offset: 1, Bias: BiasUp},
		{Signal: "leak sensor", Offset: 2, Bias: BiasUp, ActiveLow: true},
	}, 0)
	require.NoError(t, err)
	defer lines.Close()
	got, err := lines.Get()
	require.NoError(t, err)
	assert.EqualValues(t, 0b010, got)
	assert.NotZero(t, c.flagsNow(t, 0)&flagBiasDown)
	assert.NotZero(t, c.flagsNow(t, 1)&flagBiasUp)
}

// A contact that chatters faster than its debounce keeps its level; one that stays
// takes the new one.
func TestDebounce(t *testing.T) {
	sim, c := chip(t, "cabinet", 8)
	const debounce = 200 * time.Millisecond
	lines, err := c.Inputs([]Line{{Signal: "lid switch", Offset: 3}}, debounce)
	require.NoError(t, err)
	defer lines.Close()
	get := func() uint64 {
		got, err := lines.Get()
		require.NoError(t, err)
		return got
	}
	assert.Zero(t, get())
	begin := time.Now()
	for range 20 {
		require.NoError(t, sim.Set(3, true))
		require.NoError(t, sim.Set(3, false))
	}
	require.NoError(t, sim.Set(3, true))
	if got := get(); time.Since(begin) < debounce {
		assert.Zero(t, got)
	}
	assert.Eventually(t, func() bool { return get() == 1 }, 10*time.Second, 10*time.Millisecond)
}

func TestSetAndGetAllocateNothing(t *testing.T) {
	_, c := chip(t, "cabinet", 8)
	lines, err := c.Outputs(relays)
	require.NoError(t, err)
	defer lines.Close()
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		err = errors.Join(lines.Set(5))
		_, _ = lines.Get()
	}))
	assert.NoError(t, err)
}

func BenchmarkSetAndGet(b *testing.B) {
	gpiosim.Need(b, "cabinet", 8)
	c, err := Find("cabinet")
	require.NoError(b, err)
	lines, err := c.Outputs(relays)
	require.NoError(b, err)
	defer lines.Close()
	b.ReportAllocs()
	for b.Loop() {
		_ = lines.Set(5)
		_, _ = lines.Get()
	}
}
