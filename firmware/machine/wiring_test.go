package machine

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWiringText(t *testing.T) {
	m := demo(t)
	text := m.WiringText()
	for _, line := range strings.Split(text, "\n") {
		assert.LessOrEqual(t, len([]rune(line)), 80, line)
	}
	assert.Contains(t, text, "\nbank 6         output  cabinet-gpio  21    high    off\n")
	assert.Contains(t, text, "\nstop loop      input   cabinet-gpio  24    high    open: stop\n")
	assert.Contains(t, text, "stop loop: all stop buttons in one loop; normally closed: a closed contact\n  gives high, a broken wire low;")
	assert.Contains(t, text, "licensed electrician")
	for _, s := range m.Signals() {
		assert.Contains(t, text, "\n"+s.Name+" ", "in the table")
		assert.Contains(t, text, "\n"+s.Name+": ", "in the remarks")
	}
}

func TestWiringTextOfAMachineWithout(t *testing.T) {
	m, err := Parse("d", []byte(without(t, "[[wiring]]")))
	require.NoError(t, err)
	text := m.WiringText()
	assert.Contains(t, text, "can be simulated, not run")
	assert.Contains(t, text, "\ncontactor      output  -     -     -       open\n")
	assert.NotContains(t, text, "sounder", "what need not be wired is left out")
}

func TestWiringTextWarnsOfActiveLow(t *testing.T) {
	m, err := Parse("d", []byte(edited(t, "[[wiring]] 3 active", `active = "low"`)))
	require.NoError(t, err)
	assert.Contains(t, strings.Join(strings.Fields(m.WiringText()), " "),
		"heater: relay of the bath heater; a pull-down must hold the line low while the board starts; active low: make sure")
}
