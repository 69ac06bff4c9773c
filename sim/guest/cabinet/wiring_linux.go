package main

import (
	"errors"
	"fmt"
	"strings"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/board/gpiosim"
)

// lines is what a simulated chip gives.
type lines interface {
	Set(offset int, high bool) error
	High(offset int) (bool, error)
}

// wire is the far end of one line: what is wired to it.
type wire struct {
	chip   lines
	offset int
	low    bool // active low
	known  bool // it has been set before
	active bool
}

// set makes the line active or not; only a change costs a call of the kernel.
func (w *wire) set(active bool) error {
	if w == nil || w.known && w.active == active {
		return nil
	}
	w.known, w.active = true, active
	return w.chip.Set(w.offset, active != w.low)
}

// on reports whether the program drives the line active. A line that nobody has taken
// is pulled down, as the wiring table asks for; nothing is wired to a nil one.
func (w *wire) on() (bool, error) {
	if w == nil {
		return false, nil
	}
	high, err := w.chip.High(w.offset)
	return high != w.low, err
}

// wiring is every wire of the machine by its signal.
type wiring map[string]*wire

// connect makes the chips that a machine file names and returns its wires.
func connect(m *machine.Machine) (w wiring, closeAll func() error, err error) {
	most := map[string]int{}
	var labels []string
	for _, line := range m.Wiring.Lines {
		if _, seen := most[line.Chip]; !seen {
			labels = append(labels, line.Chip)
		}
		most[line.Chip] = max(most[line.Chip], line.Offset)
	}
	chips := map[string]*gpiosim.Chip{}
	closeAll = func() error {
		var errs []error
		for _, c := range chips {
			errs = append(errs, c.Close())
		}
		return errors.Join(errs...)
	}
	for i, label := range labels {
		c, err := gpiosim.New(fmt.Sprintf("cabinet%d", i), label, most[label]+1)
		if err != nil {
			return nil, nil, errors.Join(err, closeAll())
		}
		chips[label] = c
	}
	w = wiring{}
	for _, line := range m.Wiring.Lines {
		w[line.Signal] = &wire{chip: chips[line.Chip], offset: line.Offset, low: line.Active == "low"}
	}
	// A line that is active low is off when it is high: its resistor must pull it up.
	for _, s := range m.Signals() {
		if at := w[s.Name]; at != nil && s.Direction == machine.DirectionOut {
			if err := at.chip.Set(at.offset, at.low); err != nil {
				return nil, nil, errors.Join(err, closeAll())
			}
		}
	}
	return w, closeAll, nil
}

// outputs returns what the program drives.
func (w wiring) outputs(banks int) (o hal.Outputs, err error) {
	get := func(signal string) bool {
		on, failed := w[signal].on()
		err = errors.Join(err, failed)
		return on
	}
	o = hal.Outputs{
		Contactor: get("contactor"), Fans: get("fans"), Heater: get("heater"),
		Heartbeat: get("heartbeat"), Sounder: get("sounder"), Lamp: get("lamp"),
		// The board's own watchdog is the kernel's here, and not the plant's.
		FeedWatchdog: true,
	}
	for i := range banks {
		if get(fmt.Sprintf("bank %d", i+1)) {
			o.Banks |= hal.Bank(i)
		}
	}
	return o, err
}

// contacts sets what the switches say. An absent one leaves its line low.
func (w wiring) contacts(c hal.Contacts) error {
	return errors.Join(
		w["stop loop"].set(c.StopClosed == hal.Closed),
		w["float switch"].set(c.LevelOK == hal.Closed),
		w["lid switch"].set(c.LidClosed == hal.Closed),
		w["leak sensor"].set(c.LeakDry == hal.Closed),
		w["contactor aux"].set(c.ContactorAux == hal.Closed),
	)
}

// describe returns outputs in words: those that are on.
func describe(o hal.Outputs, banks int) string {
	var on []string
	for _, x := range []struct {
		on   bool
		name string
	}{{o.Contactor, "contactor"}, {o.Fans, "fans"}, {o.Heater, "heater"}, {o.Sounder, "sounder"}, {o.Lamp, "lamp"}} {
		if x.on {
			on = append(on, x.name)
		}
	}
	if o.Banks != 0 {
		on = append(on, "banks "+o.Banks.Text(banks))
	}
	if on == nil {
		return "nothing on"
	}
	return strings.Join(on, ", ") + " on"
}
