package setup

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/board"
	"bathtender/hal/board/gpiochip"
	"bathtender/testdata"
)

func demo(t *testing.T, more string) *machine.Machine {
	t.Helper()
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	require.NoError(t, err)
	m, err := machine.Parse("demo", append(data, more...))
	require.NoError(t, err)
	return m
}

func TestBoardOfTheDemo(t *testing.T) {
	m := demo(t, "\n[board]\nwatchdog = \"/dev/watchdog\"\n")
	c, err := Board(m)
	require.NoError(t, err)
	assert.Equal(t, 100*time.Millisecond, c.Tick)
	assert.Equal(t, 300*time.Millisecond, c.Lease)
	assert.Equal(t, board.Watchdog{Path: "/dev/watchdog", Timeout: 2 * time.Second}, c.Watchdog)
	assert.Less(t, c.Debounce, time.Second/60/2, "half a period of 60 Hz mains")
	fan := board.Fan{Pulses: 2, Nominal: 2600 * hal.RPM, Minimum: 1500 * hal.RPM}
	assert.Equal(t, []board.Fan{fan, fan}, c.Fans)

	require.Len(t, c.Lines, 21)
	assert.Equal(t, board.Line{Signal: "contactor", Chip: "cabinet-gpio", Offset: 5}, c.Lines[0])
	assert.Equal(t, board.Line{Signal: "bank 6", Chip: "cabinet-gpio", Offset: 21}, c.Lines[8])
	assert.Equal(t, board.Line{Signal: "float switch", Chip: "cabinet-gpio", Offset: 25, Bias: gpiochip.BiasDown}, c.Lines[13])
	assert.Equal(t, board.Line{Signal: "fan 2 tach", Chip: "cabinet-gpio", Offset: 9, Bias: gpiochip.BiasUp}, c.Lines[18])
}

func TestBoardWithoutAWatchdog(t *testing.T) {
	c, err := Board(demo(t, ""))
	require.NoError(t, err)
	assert.Empty(t, c.Watchdog.Path)
}

// Every signal that a machine can have is one that the board knows.
func TestTheBoardKnowsEverySignal(t *testing.T) {
	m := demo(t, "")
	for len(m.Banks) < hal.MaxBanks {
		m.Banks = append(m.Banks, m.Banks[0])
	}
	for len(m.Fans) < hal.MaxFans {
		m.Fans = append(m.Fans, m.Fans[0])
	}
	m.Wiring.Lines = nil
	for i, s := range m.Signals() {
		m.Wiring.Lines = append(m.Wiring.Lines, machine.Line{Signal: s.Name, Chip: "there-is-none", Offset: i, Active: "high"})
	}
	c, err := Board(m)
	require.NoError(t, err)
	require.Len(t, c.Lines, len(m.Signals()))
	require.NoError(t, c.Check())
}

func TestActiveLowReachesTheBoard(t *testing.T) {
	m := demo(t, "")
	m.Wiring.Lines[2].Active = "low"
	c, err := Board(m)
	require.NoError(t, err)
	assert.True(t, c.Lines[2].ActiveLow)
	assert.False(t, c.Lines[1].ActiveLow)
}

func TestAMachineWithoutWiringHasNoBoard(t *testing.T) {
	m := demo(t, "")
	m.Wiring.Lines = nil
	_, err := Board(m)
	assert.EqualError(t, err, `the machine file of "slide tank" has no [[wiring]]: the machine can be simulated, not run`)
}
