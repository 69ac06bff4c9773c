package onewire

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	periph "periph.io/x/conn/v3/onewire"
	"periph.io/x/conn/v3/onewire/onewiretest"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// rom is 28-0000000a0001 as it goes over the wire: family, number with its lowest
// byte first, checksum.
var rom = func() []byte {
	bytes := []byte{0x28, 0x01, 0x00, 0x0a, 0x00, 0x00, 0x00}
	return append(bytes, CRC8(bytes))
}()

func match(command ...byte) []byte {
	return append(append([]byte{0x55}, rom...), command...)
}

func onWire(t *testing.T, bus periph.Bus, told *[]string, limit time.Duration, probe Probe) *Thermometers {
	w, err := newWire(bus, Config{
		Probes: []Probe{probe}, Clock: func() time.Duration { return time.Second },
		Log: func(s string) { *told = append(*told, s) },
	}, limit)
	require.NoError(t, err)
	t.Cleanup(w.source.close)
	return w
}

// The commands in the datasheet's order: skip ROM, convert with the wire powered;
// match ROM, read scratchpad.
func TestAProbeOnAnyBus(t *testing.T) {
	convert := onewiretest.IO{W: []byte{0xcc, 0x44}, Pull: periph.StrongPullup}
	read := func(bytes []byte) onewiretest.IO { return onewiretest.IO{W: match(0xbe), R: bytes} }
	broken := pad(0x0191, 0x1f)
	broken[0] ^= 4
	bus := &onewiretest.Playback{DontPanic: true, Ops: []onewiretest.IO{
		convert, read(pad(0x0191, 0x7f)), {W: match(0x4e, 0x4b, 0x46, 0x1f)}, // it comes with 12 bits, 9 are wanted
		convert, read(pad(0x0191, 0x1f)),
		convert, read(broken),
		convert, read(make([]byte, 9)),
	}}
	var told []string
	probe := bathA
	probe.Bits = 9
	w := onWire(t, bus, &told, time.Minute, probe)
	w.round(t.Context())
	assert.False(t, w.Read(0, time.Second).Valid, "its conversion takes longer than was waited")
	w.round(t.Context())
	assert.Equal(t, hal.Fresh(milli(25000)), w.Read(0, time.Second))
	w.round(t.Context())
	w.round(t.Context())
	assert.NoError(t, bus.Close())
	w.round(t.Context()) // the bus has nothing more to give
	assert.Equal(t, []string{
		"bath probe A gives no reading: its resolution was not as wanted and has been set",
		"bath probe A gives no reading: the checksum of its data does not fit",
		"bath probe A gives no reading: the wire is held low, or nothing on it answers",
		"bath probe A gives no reading: the 1-Wire bus reports a failure",
	}, told)
}

// The datasheet's longest conversion times.
func TestConversionTimes(t *testing.T) {
	for bits, micros := range map[int]int64{9: 93750, 10: 187500, 11: 375000, 12: 750000, 0: 750000} {
		assert.Equal(t, micros, conversion(bits).Microseconds())
	}
}

// hanging is a bus whose bridge has gone: a transaction returns when it is let.
type hanging struct {
	periph.Bus
	calls atomic.Int32
	let   chan error
}

func (h *hanging) Tx(_, r []byte, _ periph.Pullup) error {
	h.calls.Add(1)
	err := <-h.let
	copy(r, pad(0x0191, 0x7f))
	return err
}

func TestABusThatNeverReturns(t *testing.T) {
	bus := &hanging{let: make(chan error)}
	var told []string
	w := onWire(t, bus, &told, 20*time.Millisecond, bathA)
	for range 5 {
		w.round(t.Context())
	}
	assert.Equal(t, int32(1), bus.calls.Load(), "at most one is outstanding")
	assert.Equal(t, []string{"bath probe A gives no reading: the 1-Wire bus does not return, its bridge may be gone"}, told)
	// It comes back; what it says first belongs to nobody any more.
	close(bus.let)
	source := w.source.(*wire)
	source.wait, source.tx.limit = 0, time.Minute
	assert.Eventually(t, func() bool { w.round(context.Background()); return w.Read(0, time.Second).Valid }, time.Minute, time.Millisecond)
	assert.Equal(t, hal.Fresh(milli(25062.5)), w.Read(0, time.Second))
}

// onBus is a bus with some devices.
type onBus struct {
	periph.Bus
	found []periph.Address
	err   error
}

func (b onBus) Search(bool) ([]periph.Address, error) { return b.found, b.err }
func (onBus) String() string                          { return "wire 1" }

func TestThermometersAreFound(t *testing.T) {
	var found []periph.Address
	for _, text := range []string{"28-0000000a0001", "02-00000001b81c"} {
		a, err := parseAddress(text)
		require.NoError(t, err)
		found = append(found, a)
	}
	names, err := Search(onBus{found: found})
	require.NoError(t, err)
	assert.Equal(t, []string{"28-0000000a0001"}, names)
	_, err = Search(onBus{err: errors.New("short circuit")})
	assert.EqualError(t, err, "1-Wire bus wire 1: its devices cannot be found: short circuit")
}

func TestWrongProbes(t *testing.T) {
	for want, probe := range map[string]Probe{
		`bath probe A: address "28-1" is not that of a 1-Wire device, allowed is as in "28-0123456789ab"`:              {Name: "bath probe A", Address: "28-1"},
		`bath probe A: address "10-0000000a0001" is of family 10h, allowed on this bus are thermometers of family 28h`: {Name: "bath probe A", Address: "10-0000000a0001"},
		`bath probe A: a resolution of 13 bits does not exist, allowed are 9 to 12`:                                    {Name: "bath probe A", Address: "28-0000000a0001", Bits: 13},
	} {
		_, err := Wire(onBus{}, Config{Probes: []Probe{probe}})
		assert.EqualError(t, err, want)
	}
}

var answer = pad(0x0191, 0x7f)

// BenchmarkSampleOnAnyBus has no conversion to wait for.
func BenchmarkSampleOnAnyBus(b *testing.B) {
	w, err := newWire(answering{}, Config{Probes: []Probe{bathA}, Clock: func() time.Duration { return 0 }}, time.Minute)
	require.NoError(b, err)
	defer w.source.close()
	source := w.source.(*wire)
	source.tx = newTransactions(answering{}, time.Minute)
	var value physic.Temperature
	b.ReportAllocs()
	for b.Loop() {
		value, err = source.read(b.Context(), 0)
	}
	assert.NoError(b, err)
	assert.Equal(b, milli(25062.5), value)
}

type answering struct{ periph.Bus }

func (answering) Tx(_, r []byte, _ periph.Pullup) error { copy(r, answer); return nil }
