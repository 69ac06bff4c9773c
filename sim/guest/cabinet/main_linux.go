// Command cabinet is the other side of the board in an emulated machine: it plays the modelled
// tank in real time behind the kernel's simulated lines. It sees what the supervisor's
// program drives, and sets what that reads: contacts, buttons, the pulses of the tachs,
// thermometers on a 1-Wire bus, and a mains meter. It is a program of its own, that
// knows of the supervisor what is on the wires and no more.
//
// It prints a line for each change of the outputs and each thing that happens, with the
// kernel's monotonic time in seconds:
//
//	cabinet 12.345678 fans, banks 100000 on
//	cabinet 12.356123 banks 100000 emit
//
// The first is what the lines say, the second what really takes power. What is written to
// its standard input, a line each, happens at once: "press start", "fan stalled, fan 2".
package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"
	"time"

	"bathtender/firmware/machine"
	"bathtender/firmware/thermal"
	"bathtender/hal/quantity"
	"bathtender/sim/plant"
)

// options are the flags of the command line.
type options struct {
	machine     string
	bath        string
	meter       string
	modbus      string
	seed        uint64
	appointment []appointment
}

func main() {
	var o options
	flag.StringVar(&o.machine, "machine", "", "the machine file")
	flag.StringVar(&o.bath, "bath", "20 degC", "the bath's first temperature")
	flag.StringVar(&o.meter, "meter", "", "where each new measurement of the mains meter is written, as \"volts watts\": a file, or a named pipe")
	flag.StringVar(&o.modbus, "modbus", "", "the mains meter answers by Modbus RTU on a bus of its own; a link of this name leads to its other end")
	flag.Uint64Var(&o.seed, "seed", 1, "of the noise")
	flag.Func("at", "something that happens, as in \"6 s after emission: fan stalled, fan 2\"; may be given again", func(text string) error {
		a, err := parseAppointment(text)
		o.appointment = append(o.appointment, a)
		return err
	})
	flag.Parse()
	if err := o.run(); err != nil {
		fmt.Fprintln(os.Stderr, "cabinet:", err)
		os.Exit(1)
	}
}

func (o *options) run() error {
	m, err := machine.Load(o.machine)
	if err != nil {
		return err
	}
	bath, err := quantity.ParseTemperature(o.bath)
	if err != nil {
		return fmt.Errorf("-bath: %w", err)
	}
	config := plant.FromMachine(m)
	world := config.Workshop(o.seed)
	world.Bath = thermal.ZeroCelsius + bath.Celsius()
	p, err := plant.New(config, world)
	if err != nil {
		return err
	}
	wires, closeWires, err := connect(m)
	if err != nil {
		return err
	}
	defer closeWires()
	c := &cabinet{
		machine: m, plant: p, wires: wires, out: os.Stdout, orders: orders(os.Stdin),
		table: timetable{list: o.appointment, been: map[string]time.Duration{}},
	}
	if c.bus, err = plugIn(m); err != nil {
		return err
	}
	defer c.bus.unplug()
	if o.meter != "" {
		// Both ways, so that it need not wait for whoever reads a named pipe.
		measured, err := os.OpenFile(o.meter, os.O_RDWR|os.O_CREATE, 0o644)
		if err != nil {
			return fmt.Errorf("-meter: %w", err)
		}
		defer measured.Close()
		c.meter = measured
	}
	if o.modbus != "" {
		if c.modbus, err = newModbusMeter(m, o.modbus); err != nil {
			return err
		}
		defer c.modbus.terminal.Close()
	}
	return c.play()
}

// orders returns the lines of a file as they come.
func orders(from io.Reader) <-chan string {
	lines := make(chan string, 16)
	go func() {
		defer close(lines)
		for s := bufio.NewScanner(from); s.Scan(); {
			lines <- s.Text()
		}
	}()
	return lines
}
