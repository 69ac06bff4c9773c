package modbus

import (
	"context"
	"errors"
	"fmt"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/board/sampled"
)

// Config is what a meter is read with.
type Config struct {
	// Open opens the port, and again each time after it was gone.
	Open      func() (Port, error)
	Address   int // of the meter on its bus, 1 to 247
	Registers []Register
	Timing    Timing
	// Refresh is the time from one reading to the next.
	Refresh time.Duration
	// Clock is the monotonic clock of the snapshots.
	Clock func() time.Duration
	// Log takes a sentence when the meter begins to work or ceases to, and why;
	// nil for nobody. It is called from the sampling goroutine.
	Log func(sentence string)
}

// Meter samples a meter beside the loop.
type Meter struct {
	config    Config
	client    client
	blocks    []block
	condition sampled.Condition
	numbers   [quantities]sampled.Condition
	works     [quantities]string

	watts     sampled.Cell[physic.Power]
	volts     sampled.Cell[physic.ElectricPotential]
	amperes   sampled.Cell[physic.ElectricCurrent]
	frequency sampled.Cell[physic.Frequency]

	cancel context.CancelFunc
	done   chan struct{}
}

const (
	// reopen is from one try to open the port to the next.
	reopen = time.Second
	// lastAnswer is how long a request can take to end after Close.
	lastAnswer = 5 * time.Second
)

// New returns a meter. The error names what in the configuration cannot be.
func New(c Config) (*Meter, error) {
	if c.Address < 1 || c.Address > 247 {
		return nil, fmt.Errorf("address %d of the meter is none, allowed are 1 to 247", c.Address)
	}
	if len(c.Registers) == 0 {
		return nil, errors.New("the meter has no registers to read, allowed is one for watts at least")
	}
	for _, r := range c.Registers {
		if err := r.check(); err != nil {
			return nil, err
		}
	}
	if c.Timing.Baud <= 0 || c.Timing.Timeout <= 0 || c.Timing.Lateness < c.Timing.Timeout {
		return nil, fmt.Errorf("the meter's time-out %v at %d baud does not go with its lateness %v, which must be longer", c.Timing.Timeout, c.Timing.Baud, c.Timing.Lateness)
	}
	m := &Meter{config: c, blocks: blocks(c.Registers), condition: sampled.Condition{Log: c.Log}}
	m.client = client{address: byte(c.Address), timing: c.Timing, clock: c.Clock}
	for q := range m.numbers {
		m.numbers[q].Log = c.Log
		m.works[q] = fmt.Sprintf("the meter tells %s", Quantity(q))
	}
	return m, nil
}

// Read returns the last values with their ages at the given time of the clock,
// counted from before the request. It never waits. What the meter does not have,
// or has not told yet, is no reading.
func (m *Meter) Read(now time.Duration) hal.Meter {
	return hal.Meter{
		Volts: m.volts.Reading(now), Watts: m.watts.Reading(now),
		Amperes: m.amperes.Reading(now), Frequency: m.frequency.Reading(now),
	}
}

// Start begins to sample, until the context ends or Close. It is called once.
func (m *Meter) Start(ctx context.Context) {
	ctx, m.cancel = context.WithCancel(ctx)
	m.done = make(chan struct{})
	go func() {
		defer close(m.done)
		defer m.shut()
		timer := time.NewTimer(0)
		defer timer.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-timer.C:
			}
			begun := m.config.Clock()
			pause := m.config.Refresh
			if !m.round(ctx) {
				pause = max(pause, reopen)
			}
			timer.Reset(max(pause-(m.config.Clock()-begun), 0))
		}
	}()
}

// Close ends the sampling. The error says that the port did not return.
func (m *Meter) Close() error {
	if m.cancel == nil {
		return nil
	}
	m.cancel()
	select {
	case <-m.done:
		return nil
	case <-time.After(lastAnswer):
		return errors.New("the serial port of the meter did not return within 5 s")
	}
}

// round reads all blocks once. It reports whether there is a port.
func (m *Meter) round(ctx context.Context) bool {
	if m.client.port == nil {
		port, err := m.config.Open()
		if err != nil {
			m.trouble(err)
			return false
		}
		// Whatever the meter was asked before may still come.
		m.client.port = port
		if err := m.client.settle(ctx); err != nil {
			return m.failed(ctx, err)
		}
	}
	for i := 0; i < len(m.blocks); i++ {
		b := &m.blocks[i]
		words, at, err := m.client.read(ctx, b)
		if refusal, is := refused(err); is && refusal.shape() && len(b.registers) > 1 {
			m.split(i)
			i--
			continue
		}
		if err != nil {
			return m.failed(ctx, err)
		}
		m.take(b, words, at)
	}
	m.condition.Good("the meter works")
	return true
}

// split asks for the registers of a block one by one from now on: the meter does
// not give those between them.
func (m *Meter) split(i int) {
	registers := m.blocks[i].registers
	list := append([]block(nil), m.blocks[:i]...)
	for _, r := range registers {
		list = append(list, alone(r))
	}
	m.blocks = append(list, m.blocks[i+1:]...)
}

func (m *Meter) take(b *block, words []byte, at time.Duration) {
	for _, r := range b.registers {
		q := r.Quantity
		value, ok := r.value(words[2*(r.Number-int(b.first)):])
		if !ok {
			m.numbers[q].Bad(fmt.Sprintf("the meter's register %d for %s does not hold a number of the form that the machine file gives", r.Number, q))
			continue
		}
		switch q {
		case Watts:
			m.watts.Put(physic.Power(value), at)
		case Volts:
			m.volts.Put(physic.ElectricPotential(value), at)
		case Amperes:
			m.amperes.Put(physic.ElectricCurrent(value), at)
		case Hertz:
			m.frequency.Put(physic.Frequency(value), at)
		}
		m.numbers[q].Good(m.works[q])
	}
}

// failed tells a failure and reports whether there still is a port.
func (m *Meter) failed(ctx context.Context, err error) bool {
	if ctx.Err() != nil {
		return true // it ends; nothing has failed
	}
	m.trouble(err)
	for _, ours := range []error{errSilent, errGarbled, errForeign, errNotQuiet} {
		if errors.Is(err, ours) && !errors.Is(err, ErrGone) {
			return true
		}
	}
	if _, is := refused(err); is {
		return true
	}
	m.shut()
	return false
}

func (m *Meter) trouble(err error) {
	// Of several reasons the first came first.
	if list, ok := err.(interface{ Unwrap() []error }); ok {
		err = list.Unwrap()[0]
	}
	m.condition.Bad("the meter gives no reading: " + err.Error())
}

func (m *Meter) shut() {
	if m.client.port != nil {
		_ = m.client.port.Close() // it is gone, or not needed any more
		m.client.port = nil
	}
}
