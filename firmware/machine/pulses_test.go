package machine

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// pulsed returns the demo file with a pulse meter: a whole pulse must pass in a
// refresh, so everything that waits for the meter waits longer.
func pulsed(t testing.TB, pulses, refresh string) string {
	text := without(t, "[[meter.register]]")
	for key, line := range map[string]string{
		"kind = \"Modbus": `kind = "S0 pulse meter"`, "port": "", "address = 1": "pulses_per_kwh = " + pulses, "baud": "", "parity": "",
		"volts": "volts = false", "refresh": `refresh = "` + refresh + `"`, "stagger": `stagger = "11 s"`, "watch =": `watch = "19 s"`,
	} {
		text = regexp.MustCompile(`(?m)^`+regexp.QuoteMeta(key)+`.*$`).ReplaceAllString(text, line)
	}
	return text + "\n[[wiring]]\nsignal = \"meter pulses\"\nchip = \"cabinet-gpio\"\nline = 14\nactive = \"low\"\n"
}

func TestAMachineWithAPulseMeter(t *testing.T) {
	m, err := Parse("demo.toml", []byte(pulsed(t, "10000", "5 s")))
	require.NoError(t, err)
	assert.Equal(t, 10000, m.Meter.Pulses)
	assert.Equal(t, "S0 pulse meter", m.Meter.Kind)
	assert.Contains(t, m.WiringText(), "meter pulses")
	assert.Equal(t, Line{Signal: "meter pulses", Chip: "cabinet-gpio", Offset: 14, Active: "low", Bias: "up"}, m.Wiring.Lines[len(m.Wiring.Lines)-1])
}

// 81 W make a pulse of 10000 a kilowatt-hour in 360 J / 81 W = 4.44 s, and 8889 of
// them are the fewest that make one in 5 s. Pulses of 60 ms show 4048 W (16 A at
// 253 V) with 14822 of them at most: 3.6 MJ / (4048 W x 60 ms).
func TestPulsesThatShowTooLittle(t *testing.T) {
	for _, c := range []struct{ pulses, refresh, want string }{
		{"8889", "5 s", ""},
		{"8888", "5 s", `pulses_per_kwh 8888 in [meter] is too few to show draw "81 W" in [[bank]] 1 within refresh "5 s" in [meter], allowed is 8889 or more, or a longer refresh`},
		{"1000", "5 s", `pulses_per_kwh 1000 in [meter] is too few to show draw "81 W" in [[bank]] 1 within refresh "5 s" in [meter], allowed is 8889 or more, or a longer refresh`},
		{"14822", "5 s", ""},
		{"14823", "5 s", `pulses_per_kwh 14823 in [meter] is too many: pulses of 30 ms with gaps of 30 ms show 4048 W at most and the meter must show 4048 W, allowed is 14822 or less`},
		{"0", "5 s", "pulses_per_kwh 0 in [meter] is not a whole number from 1 to 100000, allowed is as in pulses_per_kwh = 1"},
	} {
		m, err := Parse("demo.toml", []byte(pulsed(t, c.pulses, c.refresh)))
		if c.want == "" {
			assert.NoError(t, err)
			assert.NotNil(t, m)
			continue
		}
		require.Error(t, err)
		_, sentence, _ := strings.Cut(err.Error(), ": ")
		assert.Equal(t, c.want, sentence)
	}
}
