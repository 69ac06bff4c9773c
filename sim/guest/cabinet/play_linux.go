package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/board/clock"
	"bathtender/sim/plant"
)

const (
	step = 20 * time.Millisecond // of the plant, and between two looks at the outputs
	// A program that takes a line may connect a resistor of the chip to it, which a
	// simulated line takes for its level; what is really wired to it is put back this
	// often.
	renewed = 100 * time.Millisecond
	// The cabinet is what a program cannot keep waiting: it goes before every other.
	priority = 60
)

// cabinet is the modelled cabinet behind the lines.
type cabinet struct {
	machine *machine.Machine
	plant   *plant.Plant
	wires   wiring
	table   timetable
	bus     *bus
	meter   io.Writer
	modbus  *modbusMeter
	out     io.Writer
	orders  <-chan string // what is to happen at once

	tachs    []*tach
	buttons  map[string]bool
	outputs  hal.Outputs
	emitted  bool
	emitting hal.Banks
	last     hal.Meter
	renew    time.Duration
	over     bool
	lateness time.Duration // the latest step so far
}

// play plays until an appointment ends it.
func (c *cabinet) play() error {
	if err := clock.RealTime(priority); err != nil {
		return err
	}
	c.buttons = map[string]bool{"start button": false, "reset button": false}
	for i := range c.machine.Fans {
		c.tachs = append(c.tachs, startTach(c.wires[fmt.Sprintf("fan %d tach", i+1)]))
	}
	begin := clock.Now()
	c.table.happens(fromStart, begin)
	c.say(begin, "the cabinet is there")
	for next := begin; !c.over; next += step {
		if err := clock.SleepUntil(next); err != nil {
			return err
		}
		now := clock.Now()
		c.lateness = max(c.lateness, now-next)
		if err := c.step(now); err != nil {
			return err
		}
	}
	c.say(clock.Now(), fmt.Sprintf("the cabinet ends; its own latest step was %v late", c.lateness))
	var errs []error
	for _, t := range c.tachs {
		errs = append(errs, t.stop())
	}
	return errors.Join(errs...)
}

// step lets one step of time pass in the cabinet.
func (c *cabinet) step(now time.Duration) error {
	outputs, err := c.wires.outputs(len(c.machine.Banks))
	if err != nil {
		return err
	}
	c.observe(now, outputs)
	c.obey()
	for _, a := range c.table.due(now) {
		c.say(now, a.what)
		a.apply(&c.plant.Faults)
		if a.button != "" {
			c.buttons[a.button] = a.down
		}
		c.over = c.over || a.over
	}
	if err := c.plant.Write(outputs); err != nil {
		return err
	}
	c.plant.Step(step)
	c.tell(now)
	return c.show(now)
}

// obey puts what has been ordered meanwhile on the timetable, for now.
func (c *cabinet) obey() {
	for {
		select {
		case order, more := <-c.orders:
			if !more {
				c.orders = nil
				return
			}
			a, err := parseAppointment("0 s after " + fromStart + ": " + order)
			if err != nil {
				fmt.Fprintln(os.Stderr, "cabinet:", err)
				continue
			}
			c.table.list = append(c.table.list, a)
		default:
			return
		}
	}
}

// tell says what has changed of what is really the case.
func (c *cabinet) tell(now time.Duration) {
	if truth := c.plant.Truth(); truth.Emitting != c.emitting {
		c.emitting = truth.Emitting
		text := "nothing emits"
		if c.emitting != 0 {
			text = "banks " + c.emitting.Text(len(c.machine.Banks)) + " emit"
		}
		c.say(now, text)
	}
}

// observe says what has changed of the outputs, and notes what has happened.
func (c *cabinet) observe(now time.Duration, o hal.Outputs) {
	if o.Heartbeat != c.outputs.Heartbeat {
		c.table.happens(fromHeartbeat, now)
	}
	if o.Contactor {
		c.table.happens(fromContactor, now)
	}
	if o.Contactor && o.Banks != 0 {
		c.emitted = true
		c.table.happens(fromEmission, now)
	}
	if c.emitted && !o.Contactor && !o.Heater && o.Banks == 0 {
		c.table.happens(fromOff, now)
	}
	seen, before := o, c.outputs
	seen.Heartbeat, before.Heartbeat = false, false
	seen.FeedWatchdog, before.FeedWatchdog = false, false
	if seen != before {
		c.say(now, describe(seen, len(c.machine.Banks)))
	}
	c.outputs = o
}

// show sets all that the board can read.
func (c *cabinet) show(now time.Duration) error {
	var s hal.Snapshot
	if err := c.plant.Read(&s); err != nil {
		return err
	}
	if now >= c.renew {
		c.renew = now + renewed
		for signal, w := range c.wires {
			if strings.HasSuffix(signal, " tach") {
				continue // the pulses do that
			}
			w.known = false
		}
	}
	err := c.wires.contacts(s.Contacts)
	for signal, down := range c.buttons {
		err = errors.Join(err, c.wires[signal].set(down))
	}
	truth := c.plant.Truth()
	for i, t := range c.tachs {
		t.turn(c.pulses(i, truth.FanSpeed[i]))
	}
	c.bus.short(c.plant.Faults.ProbeShorted)
	for i := range c.machine.Probes {
		c.bus.show(i, s.Probes[i], c.plant.Faults.ProbePowerOn[i])
	}
	return errors.Join(err, c.showMeter(s.Meter))
}

// pulses returns how many a second come from a fan's tach.
func (c *cabinet) pulses(fan int, rpm float64) float64 {
	f := &c.plant.Faults
	switch {
	case f.TachOpen[fan]:
		return 0
	case f.TachNoise[fan]:
		return c.plant.Config().Supply.Frequency
	}
	return rpm * float64(c.machine.Fans[fan].Pulses) / 60
}

// showMeter passes a new measurement of the mains on.
func (c *cabinet) showMeter(m hal.Meter) error {
	fresh := m.Watts.Valid && (!c.last.Watts.Valid || m.Watts.Age < c.last.Watts.Age)
	c.last = m
	if c.modbus != nil {
		c.modbus.show(m)
	}
	if c.meter == nil || !fresh {
		return nil
	}
	_, err := fmt.Fprintf(c.meter, "%.3f %.3f\n", volts(m), watts(m))
	return err
}

func volts(m hal.Meter) float64 { return float64(m.Volts.Value) / float64(physic.Volt) }
func watts(m hal.Meter) float64 { return float64(m.Watts.Value) / float64(physic.Watt) }

func (c *cabinet) say(now time.Duration, text string) {
	fmt.Fprintf(c.out, "cabinet %.6f %s\n", now.Seconds(), text)
}
