package gpiochip

import (
	"encoding/binary"
	"testing"
	"time"
	"unsafe"

	"github.com/stretchr/testify/assert"
	"golang.org/x/sys/unix"
)

// TestAnEncodedRequest compares the bytes that the kernel gets with the layout of
// linux/gpio.h, counted by hand there: 64 offsets, 32 bytes of consumer, flags at
// 288, number of attributes at 296, attributes of 24 bytes from 320 on, number of
// lines at 560, length of the queue at 564.
func TestAnEncodedRequest(t *testing.T) {
	r := request{flags: outputFlags, lines: []Line{{Offset: 5}, {Offset: 6, ActiveLow: true}, {Offset: 13}}}
	ask, _ := r.encoded()
	raw := (*[592]byte)(unsafe.Pointer(&ask))[:]
	u32 := func(at int) uint32 { return binary.NativeEndian.Uint32(raw[at:]) }
	u64 := func(at int) uint64 { return binary.NativeEndian.Uint64(raw[at:]) }

	assert.Equal(t, []uint32{5, 6, 13, 0}, []uint32{u32(0), u32(4), u32(8), u32(12)})
	assert.Equal(t, "bathtender\x00", string(raw[256:267]))
	assert.EqualValues(t, 1<<3, u64(288), "outputs")
	assert.EqualValues(t, 2, u32(296), "attributes")
	assert.Equal(t, []any{uint32(1), uint64(1<<3 | 1<<1), uint64(0b010)}, []any{u32(320), u64(328), u64(336)}, "the active low one")
	assert.Equal(t, []any{uint32(2), uint64(0), uint64(0b111)}, []any{u32(344), u64(352), u64(360)}, "all off from the start")
	assert.EqualValues(t, 3, u32(560))
	assert.Zero(t, u32(564))

	r = request{flags: inputFlags, debounce: 5 * time.Millisecond, buffer: EdgesKept, lines: []Line{{Offset: 1, Bias: BiasDown}, {Offset: 2, Bias: BiasDown}}}
	ask, _ = r.encoded()
	assert.EqualValues(t, 1<<2|1<<9, u64(288), "inputs with a pull-down")
	assert.EqualValues(t, 1, u32(296), "no attribute for what all have")
	assert.Equal(t, []any{uint32(3), uint32(5000), uint64(0b11)}, []any{u32(320), u32(328), u64(336)}, "5000 microseconds for both")
	assert.EqualValues(t, 1024, u32(564))
}

// However the lines differ, the kernel's 10 attributes are enough.
func TestAttributesNeverRunOut(t *testing.T) {
	var lines []Line
	for offset := range LinesMax {
		lines = append(lines, Line{Offset: offset, ActiveLow: offset&1 != 0, Bias: Bias(offset >> 1 & 3), Falling: offset&8 != 0})
	}
	for name, r := range map[string]request{
		"outputs": {flags: outputFlags, lines: lines},
		"inputs":  {flags: inputFlags, lines: lines, debounce: time.Second},
	} {
		ask, fits := r.encoded()
		assert.True(t, fits, name)
		for i, l := range lines {
			assert.Equal(t, r.flags(l), flagsOf(&ask, i), "%s, line %d", name, i)
		}
	}
}

// Sixteen ways are more than the kernel's 10 attributes, which must be said and not
// written past.
func TestARequestThatDoesNotFit(t *testing.T) {
	r := request{flags: edgeFlags}
	for i := range 16 {
		r.lines = append(r.lines, Line{Offset: i, ActiveLow: i&1 != 0, Bias: Bias(i >> 1 & 3), Falling: i&8 != 0})
	}
	_, fits := r.encoded()
	assert.False(t, fits)
	r.lines = r.lines[:9]
	_, fits = r.encoded()
	assert.True(t, fits)
}

// flagsOf returns the flags that the kernel finds for a line of a request: those of
// the first attribute that names it, or those of all.
func flagsOf(ask *unix.GPIOV2LineRequest, line int) uint64 {
	for _, a := range ask.Config.Attrs[:ask.Config.Num_attrs] {
		if a.Attr.Id == unix.GPIO_V2_LINE_ATTR_ID_FLAGS && a.Mask&(1<<line) != 0 {
			return a.Attr.Flags
		}
	}
	return ask.Config.Flags
}
