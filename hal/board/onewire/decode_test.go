package onewire

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	periph "periph.io/x/conn/v3/onewire"
	"periph.io/x/conn/v3/physic"
)

// milli is a temperature in thousandths of a degree Celsius.
func milli(thousandths float64) physic.Temperature {
	return physic.ZeroCelsius + physic.Temperature(thousandths*1e6)
}

// Application note 27 of the bus's maker, its worked example: a ROM of family 02.
func TestTheChecksumOfTheApplicationNote(t *testing.T) {
	rom := []byte{0x02, 0x1c, 0xb8, 0x01, 0, 0, 0}
	assert.Equal(t, byte(0xa2), CRC8(rom))
	assert.Zero(t, CRC8(append(rom, 0xa2)))
	address, err := parseAddress("02-00000001b81c")
	require.NoError(t, err)
	assert.Equal(t, periph.Address(0xa2_00000001b81c_02), address)
	assert.Equal(t, "02-00000001b81c", formatAddress(address))
}

func TestTheChecksumAgainstOthers(t *testing.T) {
	// The first entries and the last of the application note's table (from memory).
	for b, crc := range []byte{0, 94, 188, 226, 97, 63, 221, 131, 194, 156, 126, 32, 163, 253, 31, 65} {
		assert.Equal(t, crc, CRC8([]byte{byte(b)}), "%d", b)
	}
	assert.Equal(t, byte(53), CRC8([]byte{255}))
	// The check value by which catalogues of checksums name this one.
	assert.Equal(t, byte(0xa1), CRC8([]byte("123456789")))
	for n := range 500 {
		bytes := make([]byte, n%20)
		for i := range bytes {
			bytes[i] = byte(n*31 + i*i*7)
		}
		assert.Equal(t, periph.CheckCRC(append(bytes, CRC8(bytes))), len(bytes) > 0 || CRC8(bytes) == 0)
	}
}

// pad returns a scratchpad with its checksum. The first eight bytes are as the
// datasheet's memory map has them.
func pad(raw uint16, config byte) []byte {
	p := []byte{byte(raw), byte(raw >> 8), 0x4b, 0x46, config, 0xff, 0x10 - byte(raw&15), 0x10}
	return append(p, CRC8(p))
}

// The temperature/data relationship of the thermometer's datasheet.
func TestTheDatasheetsTable(t *testing.T) {
	for _, row := range []struct {
		raw     uint16
		degrees float64
	}{
		{0x07d0, 125}, {0x0550, 85}, {0x0191, 25.0625}, {0x00a2, 10.125}, {0x0008, 0.5}, {0x0000, 0},
		{0xfff8, -0.5}, {0xff5e, -10.125}, {0xfe6f, -25.0625}, {0xfc90, -55},
	} {
		got, err := decode(pad(row.raw, 0x7f))
		require.NoError(t, err, "%x", row.raw)
		assert.Equal(t, milli(row.degrees*1000), got, "%04x", row.raw)
	}
	for _, raw := range []uint16{0x07d1, 0xfc8f, 0x7fff, 0x8000} {
		_, err := decode(pad(raw, 0x7f))
		assert.Equal(t, errRange, err, "%04x", raw)
	}
}

// The datasheet: at 11, 10 and 9 bits the lowest 1, 2 and 3 bits are undefined.
func TestUndefinedBitsAreNotTaken(t *testing.T) {
	for _, row := range []struct {
		raw     uint16
		degrees [4]float64 // at 9, 10, 11 and 12 bits
	}{
		{0x0191, [4]float64{25, 25, 25, 25.0625}},
		{0xfe6f, [4]float64{-25.5, -25.25, -25.125, -25.0625}},
		{0xff5e, [4]float64{-10.5, -10.25, -10.125, -10.125}},
		{0x03cf, [4]float64{60.5, 60.75, 60.875, 60.9375}},
	} {
		for i, config := range []byte{0x1f, 0x3f, 0x5f, 0x7f} {
			got, err := decode(pad(row.raw, config))
			require.NoError(t, err)
			assert.Equal(t, milli(row.degrees[i]*1000), got, "%04x at %d bits", row.raw, 9+i)
		}
	}
}

// Scratchpads whose checksums three independent programs computed; the one of
// 25.5 degC was captured from a real part.
func TestWholeScratchpads(t *testing.T) {
	for _, row := range []struct {
		pad     [9]byte
		degrees float64
	}{
		{[9]byte{0x50, 0x05, 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10, 0x1c}, 85},
		{[9]byte{0xc0, 0x03, 0x4b, 0x46, 0x7f, 0xff, 0x10, 0x10, 0xf5}, 60},
		{[9]byte{0x91, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x0f, 0x10, 0x25}, 25.0625},
		{[9]byte{0xa2, 0x00, 0x4b, 0x46, 0x7f, 0xff, 0x0e, 0x10, 0xe5}, 10.125},
		{[9]byte{0xf8, 0xff, 0x4b, 0x46, 0x7f, 0xff, 0x08, 0x10, 0xf8}, -0.5},
		{[9]byte{0x6f, 0xfe, 0x4b, 0x46, 0x7f, 0xff, 0x01, 0x10, 0x61}, -25.0625},
		{[9]byte{0x90, 0xfc, 0x4b, 0x46, 0x7f, 0xff, 0x10, 0x10, 0xee}, -55},
		{[9]byte{0x90, 0x01, 0x4b, 0x46, 0x1f, 0xff, 0x10, 0x10, 0x02}, 25},
		{[9]byte{0x98, 0x01, 0x4b, 0x46, 0x7f, 0xff, 0x08, 0x10, 0x22}, 25.5},
	} {
		got, err := decode(row.pad[:])
		require.NoError(t, err, "%x", row.pad)
		assert.Equal(t, milli(row.degrees*1000), got, "%x", row.pad)
		for i := range row.pad {
			for bit := range 8 {
				wrong := row.pad
				wrong[i] ^= 1 << bit
				_, err := decode(wrong[:])
				assert.Equal(t, errCRC, err, "bit %d of byte %d", bit, i)
			}
		}
	}
}

// A wire that is held low reads as zeros, whose checksum is right.
func TestADeadWireIsNoReading(t *testing.T) {
	zeros, ones := make([]byte, 9), []byte{255, 255, 255, 255, 255, 255, 255, 255, 255}
	require.Zero(t, CRC8(zeros))
	for _, dead := range [][]byte{zeros, ones} {
		_, err := decode(dead)
		assert.Equal(t, errHeldLow, err)
	}
	other := []byte{0x50, 0x05, 0xff, 0xff, 0xf0, 0xff, 0xff, 0xff, 0x5c}
	require.Zero(t, CRC8(other))
	_, err := decode(other)
	assert.Equal(t, errNotAsMap, err)
	for i, b := range map[int]byte{4: 0x7e, 7: 0x11} { // the bits that the datasheet fixes
		p := pad(0x0191, 0x7f)
		p[i] = b
		p[8] = CRC8(p[:8])
		_, err := decode(p)
		assert.Equal(t, errNotAsMap, err, "byte %d", i)
	}
	_, err = decode(zeros[:8])
	assert.Equal(t, errNotAsMap, err)
}
