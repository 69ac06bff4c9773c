package board

import (
	"errors"
	"fmt"

	"bathtender/hal"
	"bathtender/hal/board/gpiochip"
	"bathtender/hal/board/tach"
	"bathtender/hal/quantity"
)

// Open takes all lines of a cabinet, its outputs off, and starts what runs beside
// the loop. The error has a sentence for everything that is wrong; nothing is held
// then. The watchdog comes last, and only if all else is well, since it resets a
// board that does not get to feed it: from Open on there must be a healthy tick
// within its timeout.
func Open(c Config) (*Board, error) {
	k, err := thisKernel()
	if err != nil {
		return nil, err
	}
	return open(c, k)
}

func open(c Config, k kernel) (*Board, error) {
	if err := c.Check(); err != nil {
		return nil, err
	}
	b := &Board{config: c, kernel: k, opened: k.now(), stop: make(chan struct{})}
	var problems []error
	for _, g := range c.groups() {
		problems = append(problems, b.take(g))
	}
	if err := errors.Join(problems...); err != nil {
		return nil, errors.Join(err, b.Close())
	}
	if c.Watchdog.Path != "" {
		d, err := k.watchdog(c.Watchdog.Path, c.Watchdog.Timeout)
		if err != nil {
			return nil, errors.Join(err, b.Close())
		}
		b.dog = d
	}
	b.ended.Go(b.guard)
	return b, nil
}

// use is what lines are taken for together.
type use uint8

const (
	useOutputs use = iota
	useInputs
	useEdges
)

func useOf(r role) use {
	switch {
	case r.isOutput():
		return useOutputs
	case r.hasEdges():
		return useEdges
	default:
		return useInputs
	}
}

// group is the lines of one chip that are taken together.
type group struct {
	use     use
	chip    string
	lines   []gpiochip.Line
	signals []signal
	names   []string
}

// groups returns the lines that are taken together, outputs first, so that they are
// off before anything else is tried.
func (c *Config) groups() []*group {
	var list []*group
	for _, use := range []use{useOutputs, useInputs, useEdges} {
		chips := map[string]*group{}
		for _, l := range c.Lines {
			s, _ := signalOf(l.Signal)
			if useOf(s.role) != use {
				continue
			}
			g := chips[l.Chip]
			if g == nil {
				g = &group{use: use, chip: l.Chip}
				chips[l.Chip] = g
				list = append(list, g)
			}
			g.lines = append(g.lines, gpiochip.Line{
				Signal: l.Signal, Offset: l.Offset, ActiveLow: l.ActiveLow, Bias: l.Bias,
				Falling: s.role == roleMeterPulses,
			})
			g.signals = append(g.signals, s)
			g.names = append(g.names, l.Signal)
		}
	}
	return list
}

// take takes the lines of a group from the kernel.
func (b *Board) take(g *group) error {
	switch g.use {
	case useOutputs:
		lines, err := b.kernel.outputs(g.chip, g.lines)
		if err == nil {
			b.outputs = append(b.outputs, outputs{lines: lines, signals: g.signals, names: g.names})
		}
		return err
	case useInputs:
		lines, err := b.kernel.inputs(g.chip, g.lines, b.config.Debounce)
		if err == nil {
			b.inputs = append(b.inputs, inputs{lines: lines, signals: g.signals, names: g.names})
		}
		return err
	default:
		edges, err := b.kernel.edges(g.chip, g.lines)
		if err == nil {
			b.watch(edges, g)
		}
		return err
	}
}

// watch starts the monitor of a group of lines with edges.
func (b *Board) watch(edges tach.Edges, g *group) {
	var lines []*tach.Monitored
	for i, s := range g.signals {
		line := &tach.Monitored{Offset: g.lines[i].Offset}
		if s.role == roleMeterPulses {
			line.Pulses = b.config.MeterPulses
		} else {
			fan := b.config.Fans[s.place]
			line.Tach = tach.New(fan.Pulses, fan.Nominal)
			b.fans[s.place] = line
		}
		lines = append(lines, line)
	}
	b.monitors = append(b.monitors, tach.Watch(edges, b.kernel.now, lines))
}

// Close switches all outputs off and finds them so, lets go of all lines, and stops
// the watchdog. Where an output cannot be seen to be off the watchdog is left
// running, so that it resets the board; the error says so.
func (b *Board) Close() error {
	b.mu.Lock()
	if b.closed {
		b.mu.Unlock()
		return nil
	}
	b.closed = true
	off := b.allOff()
	b.mu.Unlock()
	close(b.stop)
	b.ended.Wait()

	problems := []error{off}
	for _, g := range b.outputs {
		problems = append(problems, g.lines.Close())
	}
	for _, g := range b.inputs {
		problems = append(problems, g.lines.Close())
	}
	for _, m := range b.monitors {
		problems = append(problems, m.Close())
	}
	switch {
	case b.dog == nil:
	case off != nil:
		problems = append(problems, fmt.Errorf("the watchdog is left running, and resets the board within %s", quantity.FormatDuration(b.config.Watchdog.Timeout)))
	default:
		problems = append(problems, b.dog.Close())
	}
	return errors.Join(problems...)
}

var _ hal.Board = (*Board)(nil)
