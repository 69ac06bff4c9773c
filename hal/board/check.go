package board

import (
	"errors"
	"fmt"

	"bathtender/hal"
	"bathtender/hal/board/watchdog"
	"bathtender/hal/quantity"
)

// Check returns everything that is wrong with a configuration itself, a sentence
// each. Open begins with it; it needs no board.
func (c *Config) Check() error {
	var problems []error
	add := func(format string, args ...any) { problems = append(problems, fmt.Errorf(format, args...)) }
	type place struct {
		chip   string
		offset int
	}
	wired, taken := map[string]bool{}, map[place]string{}
	for _, l := range c.Lines {
		s, ok := signalOf(l.Signal)
		switch {
		case !ok:
			add("signal %s is none that a board has", quantity.Quote(l.Signal))
		case wired[l.Signal]:
			add("signal %s is on two lines, allowed is one", quantity.Quote(l.Signal))
		case s.role == roleTach && s.place >= len(c.Fans):
			add("signal %s is of a fan that is not there, there are %d", quantity.Quote(l.Signal), len(c.Fans))
		case s.role == roleMeterPulses && c.MeterPulses == nil:
			add("signal %s is wired and no meter counts it", quantity.Quote(l.Signal))
		}
		wired[l.Signal] = true
		if l.Chip == "" {
			add("signal %s has no chip, allowed is a label, or a path that begins with a slash", quantity.Quote(l.Signal))
		}
		at := place{l.Chip, l.Offset}
		if other, is := taken[at]; is {
			add("line %d of chip %s carries %s and %s, allowed is one signal", l.Offset, quantity.Quote(l.Chip), other, l.Signal)
		}
		taken[at] = l.Signal
	}
	if len(c.Fans) > hal.MaxFans {
		add("%d fans are too many, allowed are up to %d", len(c.Fans), hal.MaxFans)
	}
	for i, f := range c.Fans {
		if f.Pulses < 1 || f.Nominal < hal.RPM {
			add("fan %d gives %s a revolution at %s, allowed are 1 and more pulses and 1 rpm and more",
				i+1, quantity.Count(f.Pulses, "pulse"), quantity.FormatSpeed(f.Nominal))
		}
	}
	if c.Debounce < 0 {
		add("the debounce of %s is under 0 s", quantity.FormatDuration(c.Debounce))
	}
	if c.Tick <= 0 || c.Lease <= c.Tick {
		add("the lease of %s is not over the tick of %s, and both must be over 0 s", quantity.FormatDuration(c.Lease), quantity.FormatDuration(c.Tick))
	}
	if c.Watchdog.Path != "" {
		problems = append(problems, watchdog.Allowed(c.Watchdog.Timeout))
		if c.Watchdog.Timeout <= c.Lease {
			add("the watchdog's timeout of %s is not over the lease of %s", quantity.FormatDuration(c.Watchdog.Timeout), quantity.FormatDuration(c.Lease))
		}
	}
	return errors.Join(problems...)
}
