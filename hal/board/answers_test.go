package board

import (
	"fmt"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

type fixed[Q ~int64] struct{ reading hal.Reading[Q] }

func (f fixed[Q]) Read(time.Duration) hal.Reading[Q] { return f.reading }

type fixedMeter hal.Meter

func (m fixedMeter) Read(time.Duration) hal.Meter { return hal.Meter(m) }

func TestAnswersInPlainWords(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		c := newCabinet()
		config := wiring()
		config.Probes = [hal.MaxProbes]Probe{
			fixed[physic.Temperature]{hal.Fresh(physic.ZeroCelsius + 48500*physic.MilliCelsius)},
			fixed[physic.Temperature]{},
			fixed[physic.Temperature]{hal.Aged(physic.ZeroCelsius+22*physic.Celsius, 1740*time.Millisecond)},
		}
		config.Meter = fixedMeter{Watts: hal.Fresh(6 * physic.Watt), Volts: hal.Fresh(230 * physic.Volt)}
		c.fans[15] = 60 * time.Millisecond // 500 rpm
		b, err := open(config, c)
		require.NoError(t, err)
		defer b.Close()
		time.Sleep(time.Second)
		require.NoError(t, b.Write(hal.Outputs{Fans: true}))
		c.set(c.level, "heater", true)
		c.set(c.level, "stop loop", true)
		c.set(c.broken, "reset button", true)
		var text strings.Builder
		for _, a := range b.Answers() {
			fmt.Fprintf(&text, "%v %s: %s\n", a.OK, a.Name, a.Text)
		}
		assert.Equal(t, `true contactor: off
true fans: on
false heater: set off, and reads on
true bank 1: off
true bank 2: off
true heartbeat: off
true sounder: off
true lamp: off
true stop loop: closed
true float switch: open
true lid switch: open
true leak sensor: open
true contactor aux: open
true start button: not pressed
false reset button: input/output error at reset button
true fan 1 tach: 500 rpm, below its minimum of 1500 rpm
true fan 2 tach: the fan stands
true bath probe A: 48.5 °C
false bath probe B: no reading
true cabinet probe: 22 °C, 1.7 s ago
true meter, watts: 6 W
true meter, volts: 230 V
true watchdog: running, to be fed within 2 s
`, text.String())
		c.unset("heater")
		require.NoError(t, b.Close())
		assert.Equal(t, []Answer{{"board", false, "the board was closed"}}, b.Answers())
	})
}
