package setup

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/board"
	"bathtender/hal/board/tach"
)

// Connect gives a board its probes and its meter.
func Connect(c *board.Config, m *machine.Machine, probes *ProbeSource, meter MeterSource) {
	for place := range m.Probes {
		if m.Probes[place].Fitted {
			c.Probes[place] = probeAt{probes, place}
		}
	}
	c.Meter = meter
	if line, ok := meter.(tach.Pulses); ok {
		c.MeterPulses = line
	}
}

// probeAt is one of the probes.
type probeAt struct {
	from  *ProbeSource
	place int
}

// Read implements board.Probe.
func (p probeAt) Read(now time.Duration) hal.Reading[physic.Temperature] {
	return p.from.Read(now)[p.place]
}
