package onewire

import (
	"context"
	"errors"
	"fmt"
	"time"

	"periph.io/x/conn/v3/onewire"
	"periph.io/x/conn/v3/physic"
)

// Commands of the bus and of the thermometer (its datasheet, ROM and function
// commands).
const (
	matchROM        = 0x55
	skipROM         = 0xcc
	convertT        = 0x44
	readScratchpad  = 0xbe
	writeScratchpad = 0x4e
)

// slowest is the longest conversion, at 12 bits; each bit less halves it
// (datasheet, thermometer resolution configuration).
const slowest = 750 * time.Millisecond

// transactionLimit is far longer than the 10 ms that 160 bits take.
const transactionLimit = 2 * time.Second

var errBits = errors.New("its resolution was not as wanted and has been set")

// Wire returns thermometers of family 28h on a bus. The error names an address
// that is not one of theirs, or a resolution that they do not have.
func Wire(bus onewire.Bus, c Config) (*Thermometers, error) {
	return newWire(bus, c, transactionLimit)
}

func newWire(bus onewire.Bus, c Config, limit time.Duration) (*Thermometers, error) {
	w := &wire{limit: limit, bus: bus}
	for _, p := range c.Probes {
		address, err := parseAddress(p.Address)
		switch {
		case err != nil:
			return nil, fmt.Errorf("%s: %w", p.Name, err)
		case byte(address) != familyOfWire:
			return nil, fmt.Errorf("%s: address %q is of family %02xh, allowed on this bus are thermometers of family 28h", p.Name, p.Address, byte(address))
		case p.Bits != 0 && (p.Bits < 9 || p.Bits > 12):
			return nil, fmt.Errorf("%s: a resolution of %d bits does not exist, allowed are 9 to 12", p.Name, p.Bits)
		}
		w.wait = max(w.wait, conversion(p.Bits))
		w.of = append(w.of, wireProbe{address: address, bits: p.Bits})
	}
	return newThermometers(c, w), nil
}

// conversion returns the longest time of a conversion; 0 bits stands for those
// of a thermometer that is left as it is, which may be 12.
func conversion(bits int) time.Duration {
	if bits == 0 {
		return slowest
	}
	return slowest >> (12 - bits)
}

type wire struct {
	bus   onewire.Bus
	limit time.Duration
	tx    *transactions
	of    []wireProbe
	wait  time.Duration
}

type wireProbe struct {
	address onewire.Address
	bits    int
}

// convert makes all devices of the bus measure. The bus powers them meanwhile,
// for those that have no supply of their own.
func (w *wire) convert(ctx context.Context) (bool, error) {
	if w.tx == nil {
		w.tx = newTransactions(w.bus, w.limit)
	}
	if _, err := w.tx.do(0, onewire.StrongPullup, skipROM, convertT); err != nil {
		return true, err
	}
	timer := time.NewTimer(w.wait)
	defer timer.Stop()
	select {
	case <-timer.C:
		return true, nil
	case <-ctx.Done():
		return true, ctx.Err()
	}
}

func (w *wire) read(_ context.Context, i int) (physic.Temperature, error) {
	p := &w.of[i]
	pad, err := w.to(p, scratchpadSize, readScratchpad)
	if err != nil {
		return 0, err
	}
	value, err := decode(pad)
	if err != nil {
		return 0, err
	}
	if got := 9 + int(pad[4]>>5&3); p.bits != 0 && got != p.bits {
		// The alarm limits beside it stay as they are. A conversion that takes
		// longer than it was waited for is no reading.
		config := byte(p.bits-9)<<5 | 0x1f
		if _, err := w.to(p, 0, writeScratchpad, pad[2], pad[3], config); err != nil {
			return 0, err
		}
		return 0, errBits
	}
	return value, nil
}

// to sends a command to one thermometer and reads n bytes of its answer.
func (w *wire) to(p *wireProbe, n int, command ...byte) ([]byte, error) {
	a := uint64(p.address)
	write := [16]byte{matchROM, byte(a), byte(a >> 8), byte(a >> 16), byte(a >> 24), byte(a >> 32), byte(a >> 40), byte(a >> 48), byte(a >> 56)}
	size := 9 + copy(write[9:], command)
	return w.tx.do(n, onewire.WeakPullup, write[:size]...)
}

func (w *wire) close() {
	if w.tx != nil {
		w.tx.close()
	}
}
