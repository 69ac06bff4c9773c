package plant

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestBadNumbersGetOneSentence(t *testing.T) {
	for _, c := range []struct {
		want  string
		spoil func(*Config, *World)
	}{
		{"the plant's tank length is 0 m; it must be 0.01 to 10 m", func(c *Config, _ *World) { c.Tank.Length = 0 }},
		{"the plant's tank depth is NaN m; it must be 0.01 to 10 m", func(c *Config, _ *World) { c.Tank.Depth = math.NaN() }},
		{"the plant's lease is 0 s; it must be 0.001 to 3600 s", func(c *Config, _ *World) { c.Board.Lease = 0 }},
		{"the plant's number of banks is 17 banks; it must be 0 to 16 banks", func(c *Config, _ *World) { c.Banks = 17 }},
		{"the plant's number of fans is -1 fans; it must be 0 to 8 fans", func(c *Config, _ *World) { c.Fans = -1 }},
		{"the plant's probe 2 resolution is 13 bits; it must be 9 to 12 bits", func(c *Config, _ *World) { c.Probe[1].Bits = 13 }},
		{"the plant's fan 1 tach is 0 pulses per revolution; it must be 1 to 16 pulses per revolution",
			func(c *Config, _ *World) { c.Fan[0].Pulses = 0 }},
		{"the plant's bank 6 is 0 emitters; it must be 1 to 1000 emitters", func(c *Config, _ *World) { c.Bank[5].Emitters = 0 }},
		{"the plant's humidity is 1.5 of saturation; it must be 0 to 1 of saturation", func(_ *Config, w *World) { w.Humidity = 1.5 }},
		{"the plant's liquid at the start is -1 litres; it must be 0 to 100000 litres", func(_ *Config, w *World) { w.Litres = -1 }},
	} {
		config := demo(t)
		world := config.Workshop(1)
		c.spoil(&config, &world)
		p, err := New(config, world)
		assert.EqualError(t, err, c.want)
		assert.Nil(t, p)
	}
	config := demo(t)
	p, err := New(config, config.Workshop(1))
	require.NoError(t, err)
	assert.Equal(t, config, p.Config())
}
