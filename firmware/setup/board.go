package setup

import (
	"fmt"
	"time"

	"bathtender/firmware/machine"
	"bathtender/hal/board"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/quantity"
)

// debounce is how long a contact must be steady before it counts as changed. The
// contacts of switches bounce for some milliseconds (common practice, no source); a
// contact that is picked up by the mains changes every 8.3 or 10 ms and must not be
// held at its last state by it.
const debounce = 5 * time.Millisecond

var biases = map[string]gpiochip.Bias{"": gpiochip.BiasAsIs, "off": gpiochip.BiasOff, "up": gpiochip.BiasUp, "down": gpiochip.BiasDown}

// Board returns how the machine is wired to a board. Probes and meter are left to be
// filled in. A machine without wiring has none.
func Board(m *machine.Machine) (board.Config, error) {
	if len(m.Wiring.Lines) == 0 {
		return board.Config{}, fmt.Errorf("the machine file of %s has no [[wiring]]: the machine can be simulated, not run", quantity.Quote(m.Name))
	}
	c := board.Config{
		Debounce: debounce, Tick: m.Timings.Tick, Lease: m.Timings.Lease,
		Watchdog: board.Watchdog{Path: m.Board.Watchdog, Timeout: m.Timings.Watchdog},
	}
	for _, l := range m.Wiring.Lines {
		c.Lines = append(c.Lines, board.Line{
			Signal: l.Signal, Chip: l.Chip, Offset: l.Offset,
			ActiveLow: l.Active == "low", Bias: biases[l.Bias],
		})
	}
	for _, f := range m.Fans {
		c.Fans = append(c.Fans, board.Fan{Pulses: f.Pulses, Nominal: f.Nominal, Minimum: f.Minimum})
	}
	return c, nil
}
