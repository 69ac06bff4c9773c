package machine

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBoard(t *testing.T) {
	assert.Equal(t, Board{}, demo(t).Board, "may be left out")
	text := demoText(t) + "\n[board]\nwatchdog = \"/dev/watchdog1\"\npriority = 50\n"
	m, err := Parse("d", []byte(text))
	require.NoError(t, err)
	assert.Equal(t, Board{Watchdog: "/dev/watchdog1", Priority: 50}, m.Board)

	odd := strings.Replace(text, `watchdog = "2 s"`, `watchdog = "2.5 s"`, 1)
	_, err = Parse("d", []byte(odd))
	assert.ErrorContains(t, err, `watchdog "2.5 s" in [timings]`)
	assert.ErrorContains(t, err, `does not go with watchdog "/dev/watchdog1" in [board]`)
	assert.ErrorContains(t, err, "allowed are whole seconds, 1 s and more, where the board has one")
	m, err = Parse("d", []byte(strings.Replace(demoText(t), `watchdog = "2 s"`, `watchdog = "2.5 s"`, 1)))
	require.NoError(t, err, "without a watchdog any time will do")
	assert.Equal(t, 2500*time.Millisecond, m.Timings.Watchdog)
}

// Where the file has no bias an open wire reads as what is not safe, or as no edges.
func TestBiasOfTheDemosLines(t *testing.T) {
	for _, line := range demo(t).Wiring.Lines {
		want := ""
		switch line.Signal {
		case "stop loop", "float switch", "lid switch", "leak sensor", "contactor aux", "start button", "reset button":
			want = "down"
		case "fan 1 tach", "fan 2 tach":
			want = "up"
		}
		assert.Equal(t, want, line.Bias, line.Signal)
	}
	m, err := Parse("d", []byte(edited(t, "[[wiring]] 14 active+", `bias = "off"`)))
	require.NoError(t, err)
	assert.Equal(t, "off", m.Wiring.Lines[13].Bias)
}
