package board

import (
	"errors"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

var everything = hal.Outputs{Contactor: true, Fans: true, Heater: true, Banks: hal.FirstBanks(2), Heartbeat: true, Sounder: true, Lamp: true}

var names = []string{"contactor", "fans", "heater", "bank 1", "bank 2", "heartbeat", "sounder", "lamp",
	"stop loop", "float switch", "lid switch", "leak sensor", "contactor aux", "start button", "reset button", "fan 1 tach", "fan 2 tach"}

// wiring is that of a cabinet with two banks and two fans. The lamp and the reset
// button are on a second chip.
func wiring() Config {
	c := Config{
		Fans:     []Fan{{Pulses: 2, Nominal: 2600 * hal.RPM, Minimum: 1500 * hal.RPM}, {Pulses: 2, Nominal: 2600 * hal.RPM, Minimum: 1500 * hal.RPM}},
		Debounce: 5 * time.Millisecond, Tick: 100 * time.Millisecond, Lease: 300 * time.Millisecond,
		Watchdog: Watchdog{Path: "/dev/watchdog", Timeout: 2 * time.Second},
	}
	for i, name := range names {
		chip := "a"
		if name == "lamp" || name == "reset button" {
			chip = "b"
		}
		c.Lines = append(c.Lines, Line{Signal: name, Chip: chip, Offset: i})
	}
	return c
}

// bubble runs a test in virtual time with a board on a modelled cabinet.
func bubble(t *testing.T, body func(t *testing.T, b *Board, c *cabinet)) {
	synctest.Test(t, func(t *testing.T) {
		c := newCabinet()
		b, err := open(wiring(), c)
		require.NoError(t, err)
		defer b.Close()
		body(t, b, c)
	})
}

func read(t *testing.T, b *Board) hal.Snapshot {
	var s hal.Snapshot
	require.NoError(t, b.Read(&s))
	return s
}

func TestOutputsReachTheirLines(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		assert.Empty(t, c.on())
		assert.True(t, read(t, b).OutputsOK, "off is as commanded before the first tick")
		for name, o := range map[string]hal.Outputs{
			"contactor": {Contactor: true}, "fans": {Fans: true}, "heater": {Heater: true},
			"bank 1": {Banks: hal.Bank(0)}, "bank 2": {Banks: hal.Bank(1)},
			"heartbeat": {Heartbeat: true}, "sounder": {Sounder: true}, "lamp": {Lamp: true},
		} {
			require.NoError(t, b.Write(o))
			assert.Equal(t, []string{name}, c.on())
			assert.True(t, read(t, b).OutputsOK)
		}
		require.NoError(t, b.Write(everything))
		assert.Len(t, c.on(), 8)
		require.NoError(t, b.Write(hal.Outputs{}))
		assert.Empty(t, c.on())
	})
}

func TestContactsAndButtons(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		all := hal.Contacts{LevelOK: hal.Open, LidClosed: hal.Open, StopClosed: hal.Open, LeakDry: hal.Open, ContactorAux: hal.Open}
		assert.Equal(t, all, read(t, b).Contacts)
		for name, contact := range map[string]*hal.Contact{
			"stop loop": &all.StopClosed, "float switch": &all.LevelOK, "lid switch": &all.LidClosed,
			"leak sensor": &all.LeakDry, "contactor aux": &all.ContactorAux,
		} {
			c.set(c.level, name, true)
			*contact = hal.Closed
			assert.Equal(t, all, read(t, b).Contacts, name)
		}
		start, reset, ok := b.Buttons()
		assert.Equal(t, []bool{false, false, true}, []bool{start, reset, ok})
		c.set(c.level, "start button", true)
		read(t, b)
		start, reset, ok = b.Buttons()
		assert.Equal(t, []bool{true, false, true}, []bool{start, reset, ok})
		c.set(c.level, "reset button", true)
		c.set(c.level, "start button", false)
		read(t, b)
		start, reset, ok = b.Buttons()
		assert.Equal(t, []bool{false, true, true}, []bool{start, reset, ok})
	})
}

// A contact that cannot be read is absent, never open or closed as it was.
func TestAFailedReadIsNoLevel(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		for _, name := range names[8:15] {
			c.set(c.level, name, true)
		}
		assert.Equal(t, hal.Closed, read(t, b).Contacts.StopClosed)
		c.set(c.broken, "lid switch", true) // and with it all of its chip
		s := read(t, b)
		assert.Equal(t, hal.Contacts{}, s.Contacts)
		assert.True(t, s.OutputsOK)
		start, reset, ok := b.Buttons()
		assert.Equal(t, []bool{false, true, false}, []bool{start, reset, ok}, "the reset button is on another chip")
		c.set(c.broken, "lid switch", false)
		assert.Equal(t, hal.Closed, read(t, b).Contacts.StopClosed, "recovered")
	})
}

func TestWhatIsNotWired(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newCabinet()
		b, err := open(Config{Tick: 1, Lease: 2, Lines: []Line{{Signal: "contactor", Chip: "a"}}}, c)
		require.NoError(t, err)
		defer b.Close()
		s := read(t, b)
		assert.Equal(t, hal.Snapshot{OutputsOK: true, RecordOK: true, KeptOK: true}, s)
		_, _, ok := b.Buttons()
		assert.False(t, ok)
	})
}

// An output that reads otherwise than it was set, or cannot be read or set.
func TestOutputsThatAreNotAsCommanded(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(hal.Outputs{Fans: true}))
		c.set(c.level, "heater", true)
		assert.False(t, read(t, b).OutputsOK, "the heater's line reads on")
		c.unset("heater")
		assert.True(t, read(t, b).OutputsOK)
		c.set(c.level, "fans", false)
		assert.False(t, read(t, b).OutputsOK, "the fans' line reads off")
		c.unset("fans")

		c.set(c.broken, "lamp", true)
		assert.False(t, read(t, b).OutputsOK, "cannot be read back")
		c.set(c.broken, "lamp", false)

		c.set(c.refuses, "lamp", true)
		assert.EqualError(t, b.Write(hal.Outputs{Fans: true, Heater: true}), "input/output error at lamp")
		assert.Equal(t, []string{"fans", "heater"}, c.on(), "the other chip was set")
		c.set(c.refuses, "lamp", false)
		assert.False(t, read(t, b).OutputsOK, "the last Write had failed, though all reads as it should")
		require.NoError(t, b.Write(hal.Outputs{Fans: true}))
		assert.True(t, read(t, b).OutputsOK)
	})
}

// The snapshot's time is that of the monotonic clock since Open, and sensors are
// asked with the clock itself.
func TestSensorsAndTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newCabinet()
		config := wiring()
		config.Probes[hal.BathB] = probe{}
		config.Meter = meter{}
		c.fans[15] = 12 * time.Millisecond // 2500 rpm with 2 pulses
		b, err := open(config, c)
		require.NoError(t, err)
		defer b.Close()
		time.Sleep(1500 * time.Millisecond)
		s := read(t, b)
		assert.Equal(t, 1500*time.Millisecond, s.Time)
		assert.Equal(t, hal.Reading[physic.Temperature]{}, s.Probes[hal.BathA])
		assert.Equal(t, hal.Aged(physic.Temperature(time.Hour+1500*time.Millisecond), 1), s.Probes[hal.BathB])
		assert.Equal(t, hal.Aged(physic.Power(time.Hour+1500*time.Millisecond), 2), s.Meter.Watts)
		assert.True(t, s.Fans[0].Valid)
		assert.InDelta(t, 2500, float64(s.Fans[0].Value)/float64(hal.RPM), 1)
		assert.True(t, s.Fans[1].Valid)
		assert.Zero(t, s.Fans[1].Value)
		assert.False(t, s.Fans[2].Valid)
	})
}

type probe struct{}

func (probe) Read(now time.Duration) hal.Reading[physic.Temperature] {
	return hal.Aged(physic.Temperature(now), 1)
}

type meter struct{}

func (meter) Read(now time.Duration) hal.Meter {
	return hal.Meter{Watts: hal.Aged(physic.Power(now), 2)}
}

func TestTheWatchdogIsFedWhenTheOutputsSaySo(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(everything))
		read(t, b)
		time.Sleep(time.Second)
		assert.Equal(t, "open ", c.dog.done, "nothing else feeds it")
		read(t, b)
		require.NoError(t, b.Write(hal.Outputs{FeedWatchdog: true}))
		assert.Equal(t, "open feed ", c.dog.done)
		c.set(c.refuses, "fans", true)
		assert.Error(t, b.Write(hal.Outputs{FeedWatchdog: true}))
		assert.Equal(t, "open feed ", c.dog.done, "not for outputs that could not be set")
		c.set(c.refuses, "fans", false)
		c.dog.fault = errors.New("input/output error")
		assert.EqualError(t, b.Write(hal.Outputs{FeedWatchdog: true}), "input/output error")
		c.dog.fault = nil
		require.NoError(t, b.Close())
		assert.Equal(t, "open feed feed close ", c.dog.done)
	})
}

func TestCloseSwitchesOffFirst(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(everything))
		require.NoError(t, b.Close())
		assert.Empty(t, c.on())
		assert.Len(t, c.log, 15, "all lines without edges were let go")
		assert.NoError(t, b.Close(), "twice")
		var s hal.Snapshot
		assert.EqualError(t, b.Read(&s), "the board was closed")
		assert.EqualError(t, b.Write(everything), "the board was closed")
		assert.Empty(t, c.on())
	})
}

// A relay that cannot be seen to be off is left to the watchdog.
func TestCloseLeavesTheWatchdogToWhatStaysOn(t *testing.T) {
	bubble(t, func(t *testing.T, b *Board, c *cabinet) {
		require.NoError(t, b.Write(everything))
		c.set(c.level, "heater", true)
		assert.EqualError(t, b.Close(), "the output heater was switched off and reads on\nthe watchdog is left running, and resets the board within 2 s")
		assert.Equal(t, "open ", c.dog.done)
		assert.Empty(t, c.on(), "all others are off")
	})
}

func TestOpenSaysEverythingAndHoldsNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newCabinet()
		for _, name := range []string{"heater", "stop loop", "fan 2 tach"} {
			c.busy[name] = errors.New(name + " is in use")
		}
		_, err := open(wiring(), c)
		assert.EqualError(t, err, "heater is in use\nstop loop is in use\nfan 2 tach is in use")
		assert.Equal(t, []string{"close lamp", "close reset button"}, c.log, "what could be had was let go")
		assert.Empty(t, c.dog.done, "the watchdog was not started")

		c = newCabinet()
		c.busy["/dev/watchdog"] = errors.New("the watchdog is in use")
		_, err = open(wiring(), c)
		assert.EqualError(t, err, "the watchdog is in use")
		assert.Len(t, c.log, 15)
	})
}

func TestWhatAConfigMustNotSay(t *testing.T) {
	c := wiring()
	assert.NoError(t, c.Check())
	c.Lines = append(c.Lines, Line{Signal: "pump", Chip: "a", Offset: 30}, Line{Signal: "fans", Chip: "a", Offset: 31}, Line{Signal: "bank 3", Chip: "a", Offset: 1},
		Line{Signal: "bank 17", Chip: "a", Offset: 32}, Line{Signal: "bank 03", Chip: "a", Offset: 33}, Line{Signal: "fan 3 tach", Chip: "a", Offset: 34},
		Line{Signal: "meter pulses", Chip: "a", Offset: 35}, Line{Signal: "bank 4"})
	c.Fans[1] = Fan{}
	c.Debounce, c.Lease, c.Watchdog.Timeout = -time.Second, 100*time.Millisecond, 50*time.Millisecond
	assert.EqualError(t, c.Check(), strings.Join([]string{
		`signal "pump" is none that a board has`,
		`signal "fans" is on two lines, allowed is one`,
		`line 1 of chip "a" carries fans and bank 3, allowed is one signal`,
		`signal "bank 17" is none that a board has`,
		`signal "bank 03" is none that a board has`,
		`signal "fan 3 tach" is of a fan that is not there, there are 2`,
		`signal "meter pulses" is wired and no meter counts it`,
		`signal "bank 4" has no chip, allowed is a label, or a path that begins with a slash`,
		`fan 2 gives 0 pulses a revolution at 0 rpm, allowed are 1 and more pulses and 1 rpm and more`,
		`the debounce of -1 s is under 0 s`,
		`the lease of 100 ms is not over the tick of 100 ms, and both must be over 0 s`,
		`the watchdog's timeout of 50 ms is not in whole seconds, allowed are 1 s and more`,
		`the watchdog's timeout of 50 ms is not over the lease of 100 ms`,
	}, "\n"))
}

func TestATickAllocatesNothing(t *testing.T) {
	c := newCabinet()
	config := wiring()
	config.Lines = config.Lines[:15] // the modelled tachs allocate, from a goroutine of their own
	config.Lease, config.Watchdog = time.Hour, Watchdog{}
	b, err := open(config, c)
	require.NoError(t, err)
	defer b.Close()
	var s hal.Snapshot
	require.NoError(t, b.Write(everything)) // the lines of the model are in its map then
	b.dog = quietDog{}
	o := everything
	o.FeedWatchdog = true
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		_ = b.Read(&s)
		_ = b.Write(o)
	}))
	assert.True(t, s.OutputsOK)
}

type quietDog struct{}

func (quietDog) Feed() error  { return nil }
func (quietDog) Close() error { return nil }
