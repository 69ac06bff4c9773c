package plant

import (
	"fmt"

	"bathtender/firmware/thermal"
)

// limit is one number that must lie between two others.
type limit struct {
	name      string
	value     float64
	low, high float64
	unit      string
}

// check returns the first limit that is not kept, as a sentence.
func check(limits []limit) error {
	for _, l := range limits {
		if !(l.value >= l.low && l.value <= l.high) {
			return fmt.Errorf("the plant's %s is %g %s; it must be %g to %g %s",
				l.name, l.value, l.unit, l.low, l.high, l.unit)
		}
	}
	return nil
}

// Check returns an error that names the first number the model cannot work
// with.
func (c *Config) Check() error {
	limits := []limit{
		{"tank length", c.Tank.Length, 0.01, 10, "m"},
		{"tank width", c.Tank.Width, 0.01, 10, "m"},
		{"tank depth", c.Tank.Depth, 0.01, 10, "m"},
		{"tank steel", c.Tank.Steel, 1, 1e7, "J/K"},
		{"heater's top", c.Heater.Top - c.Heater.Bottom, 1e-6, 10, "m above its bottom"},
		{"cabinet heat capacity", c.Cabinet.Heat, 1, 1e7, "J/K"},
		{"nominal mains voltage", c.Supply.Volts, 1, 1000, "V"},
		{"meter refresh", c.Meter.Refresh.Seconds(), 0.001, 3600, "s"},
		{"meter resolution", watts(c.Meter.Watts), 1e-6, 1e6, "W"},
		{"lease", c.Board.Lease.Seconds(), 0.001, 3600, "s"},
		{"watchdog time", c.Board.Watchdog.Seconds(), 0.001, 3600, "s"},
		{"number of banks", float64(c.Banks), 0, float64(len(c.Bank)), "banks"},
		{"number of fans", float64(c.Fans), 0, float64(len(c.Fan)), "fans"},
		{"probe lag in liquid", c.Lag.ProbeLiquid, 0.1, 1e4, "s"},
		{"probe lag in air", c.Lag.ProbeAir, 0.1, 1e4, "s"},
		{"cabinet probe lag", c.Lag.ProbeCabinet, 0.1, 1e4, "s"},
		{"fan run-up", c.Lag.FanUp, 0.1, 1e4, "s"},
		{"fan coast-down", c.Lag.FanDown, 0.1, 1e4, "s"},
	}
	for i, p := range c.Probe {
		if p.Fitted {
			limits = append(limits, limit{fmt.Sprintf("probe %d resolution", i+1), float64(p.Bits), 9, 12, "bits"})
		}
	}
	for i := range min(max(c.Fans, 0), len(c.Fan)) {
		limits = append(limits,
			limit{fmt.Sprintf("fan %d nominal speed", i+1), c.Fan[i].Speed, 1, 1e5, "rpm"},
			limit{fmt.Sprintf("fan %d tach", i+1), float64(c.Fan[i].Pulses), 1, 16, "pulses per revolution"})
	}
	for i := range min(max(c.Banks, 0), len(c.Bank)) {
		limits = append(limits,
			limit{fmt.Sprintf("bank %d", i+1), float64(c.Bank[i].Emitters), 1, 1000, "emitters"},
			limit{fmt.Sprintf("bank %d winding", i+1), c.Bank[i].Winding, 0.01, 1e5, "J/K"},
			limit{fmt.Sprintf("bank %d joint", i+1), c.Bank[i].Joint, 0.01, 1e5, "J/K"})
	}
	return check(limits)
}

// Check returns an error that names the first number the model cannot work
// with.
func (w *World) Check() error {
	const zero = thermal.ZeroCelsius
	return check([]limit{
		{"room", w.Room - zero, -40, 60, "degC"},
		{"humidity", w.Humidity, 0, 1, "of saturation"},
		{"air speed", w.AirSpeed, 0, 10, "m/s"},
		{"mains", w.Volts, 0, 1000, "V"},
		{"wander of the mains", w.Wander, 0, 100, "V"},
		{"noise of the mains", w.Noise, 0, 100, "V"},
		{"bath at the start", w.Bath - zero, 0, 100, "degC"},
		{"liquid at the start", w.Litres, 0, 1e5, "litres"},
		{"spread of the probes", w.ProbeSpread, 0, 10, "K"},
	})
}
