package modbus

import (
	"encoding/hex"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func wire(t testing.TB, text string) []byte {
	bytes, err := hex.DecodeString(strings.ReplaceAll(text, " ", ""))
	require.NoError(t, err)
	return bytes
}

// The worked example of the serial line specification V1.02, 6.2.2: frame 02 07
// has the checksum 1241h, sent as 41 12; after the first byte it is 813Eh.
func TestTheChecksumOfTheSpecification(t *testing.T) {
	assert.Equal(t, uint16(0x813e), CRC16([]byte{0x02}))
	assert.Equal(t, uint16(0x1241), CRC16([]byte{0x02, 0x07}))
	assert.Zero(t, CRC16([]byte{0x02, 0x07, 0x41, 0x12}))
	// The check value by which catalogues of checksums name this one.
	assert.Equal(t, uint16(0x4b37), CRC16([]byte("123456789")))
}

// The examples of the application protocol V1.1b3, 6.3 and 6.4, on address 1, and
// the first again on address 17. The checksums were computed by three other
// programs.
func TestTheExamplesOfTheProtocol(t *testing.T) {
	for _, c := range []struct {
		request       request
		asked, answer string
		words         string
	}{
		{request{1, Holding, 0x6b, 3}, "01 03 00 6B 00 03 74 17", "01 03 06 02 2B 00 00 00 64 05 7A", "02 2B 00 00 00 64"},
		{request{1, Input, 8, 1}, "01 04 00 08 00 01 B0 08", "01 04 02 00 0A 39 37", "00 0A"},
		{request{0x11, Holding, 0x6b, 3}, "11 03 00 6B 00 03 76 87", "", ""},
		// 230 V as binary32.
		{request{1, Input, 0, 2}, "01 04 00 00 00 02 71 CB", "01 04 04 43 66 00 00 0E 1F", "43 66 00 00"},
	} {
		frame := c.request.frame()
		assert.Equal(t, wire(t, c.asked), frame[:])
		if c.answer == "" {
			continue
		}
		answer := wire(t, c.answer)
		for _, before := range []string{"", "00", "FF FF FF FF", c.asked, "00 " + c.asked, c.asked + "00"} {
			in := append(wire(t, before), answer...)
			for n := range len(in) {
				_, _, done := c.request.find(in[:n])
				assert.False(t, done, "after %d bytes", n)
			}
			words, refusal, done := c.request.find(in)
			assert.True(t, done, "after %q", before)
			assert.Zero(t, refusal)
			assert.Equal(t, wire(t, c.words), words)
		}
		for bit := range len(answer) * 8 {
			wrong := append([]byte(nil), answer...)
			wrong[bit/8] ^= 1 << (bit % 8)
			_, _, done := c.request.find(wrong)
			assert.False(t, done, "bit %d", bit)
			assert.Equal(t, errGarbled, judge(wrong))
		}
	}
}

// Exceptions of the application protocol, section 7; checksums by other programs.
func TestExceptions(t *testing.T) {
	for _, c := range []struct {
		table  Table
		answer string
		want   string
	}{
		{Holding, "01 83 01 80 F0", "the meter does not know this table of registers"},
		{Holding, "01 83 02 C0 F1", "the meter does not have these registers"},
		{Holding, "01 83 03 01 31", "the meter does not give these registers in one request"},
		{Holding, "01 83 06 C1 32", "the meter is busy"},
		{Input, "01 84 02 C2 C1", "the meter does not have these registers"},
		{Input, "01 84 04 42 C3", "the meter reports a failure of its own"},
	} {
		_, refusal, done := request{1, c.table, 0, 2}.find(wire(t, c.answer))
		assert.True(t, done)
		assert.Equal(t, c.want, refusal.Error())
		_, _, done = request{1, Holding + Input - c.table, 0, 2}.find(wire(t, c.answer))
		assert.False(t, done, "it is the other table's")
	}
	assert.Equal(t, "the meter refuses with the unknown reason 77", Refusal(77).Error())
	for r := range 12 {
		assert.NotEmpty(t, Refusal(r).Error())
	}
}

func TestWhatDoesNotFit(t *testing.T) {
	asked := request{1, Input, 0, 2}
	for text, want := range map[string]error{
		"":                                 errSilent,
		"01 04 04 43 66":                   errGarbled,
		"02 04 04 43 66 00 00 3D 1F":       errForeign, // another meter's
		"02 04 04 43 66 00 00 3D 1E":       errGarbled,
		"01 04 06 43 66 00 00 77 DF":       errForeign, // it says three registers, and has two
		"01 04 02 00 0A 39 37":             errForeign, // one register where two were asked for
		"01 03 06 02 2B 00 00 00 64 05 7A": errForeign, // another table
		"01 04 02 00 0A 39 37 01 04 04 43 66 00 00 0E 1F": errForeign, // a late answer, then the right one
	} {
		_, _, done := asked.find(wire(t, text))
		assert.False(t, done, text)
		assert.Equal(t, want, judge(wire(t, text)), text)
	}
}

// The serial line specification, 2.5.1: 11 bits a character, 3.5 characters
// between frames, 1.75 ms above 19200 baud.
func TestTheSilenceBetweenFrames(t *testing.T) {
	for baud, micros := range map[int]float64{1200: 32083.333, 2400: 16041.667, 4800: 8020.833, 9600: 4010.417, 19200: 2005.208, 38400: 1750, 57600: 1750, 115200: 1750} {
		assert.InDelta(t, micros, float64(Timing{Baud: baud}.Gap())/float64(time.Microsecond), 0.002, "%d baud", baud)
	}
}

// Numbers of IEEE 754 binary32 in all orders, written by another program; the
// physic integers of them are thousand millionths.
func TestForms(t *testing.T) {
	for _, c := range []struct {
		value  float64
		orders [4]string // ABCD, CDAB, BADC, DCBA
	}{
		{230, [4]string{"43660000", "00004366", "66430000", "00006643"}},
		{50, [4]string{"42480000", "00004248", "48420000", "00004842"}},
		{123.45600128173828, [4]string{"42F6E979", "E97942F6", "F64279E9", "79E9F642"}},
		{2000, [4]string{"44FA0000", "000044FA", "FA440000", "0000FA44"}},
		{-2.5, [4]string{"C0200000", "0000C020", "20C00000", "000020C0"}},
		{60.5, [4]string{"42720000", "00004272", "72420000", "00007242"}},
	} {
		for order, text := range c.orders {
			got, ok := Register{Quantity: Watts, Order: Order(order), Divide: 1}.value(wire(t, text))
			assert.True(t, ok)
			assert.Equal(t, int64(math.Round(c.value*1e9)), got, "%s", text)
		}
	}
	for _, c := range []struct {
		register Register
		bytes    string
		want     int64
	}{
		{Register{Watts, Input, 0, Uint16, ABCD, 1}, "FFFF", 65535e9},
		{Register{Watts, Input, 0, Int16, CDAB, 1}, "FFFF", -1e9},
		{Register{Watts, Input, 0, Uint16, BADC, 10}, "0102", 51_300_000_000},
		{Register{Watts, Input, 0, Int16, DCBA, 1}, "00FF", -256e9},
		{Register{Hertz, Input, 0, Uint16, ABCD, 100}, "1388", 50_000_000},
		{Register{Amperes, Input, 0, Uint32, ABCD, 1000}, "00001A2B", 6_699_000_000},
		{Register{Watts, Input, 0, Uint32, ABCD, 1}, "FFFFFFFF", 4294967295e9},
		{Register{Watts, Input, 0, Int32, CDAB, 10}, "FFFFFFFF", -100_000_000},
		{Register{Watts, Input, 0, Int32, DCBA, 1}, "00000080", -2147483648e9},
		{Register{Watts, Input, 0, Uint16, ABCD, 3}, "0002", 666_666_667},
		{Register{Watts, Input, 0, Int16, ABCD, 3}, "FFFE", -666_666_667},
	} {
		got, ok := c.register.value(wire(t, c.bytes))
		assert.True(t, ok)
		assert.Equal(t, c.want, got, "%+v %s", c.register, c.bytes)
	}
}

func TestWhatIsNoNumberIsNoReading(t *testing.T) {
	for _, number := range []float32{float32(math.NaN()), float32(math.Inf(1)), float32(math.Inf(-1)), 9.3e9, -9.3e9, math.MaxFloat32} {
		bits := math.Float32bits(number)
		_, ok := Register{Quantity: Watts, Divide: 1}.value([]byte{byte(bits >> 24), byte(bits >> 16), byte(bits >> 8), byte(bits)})
		assert.False(t, ok, "%v", number)
	}
}

func TestNeighboursAreFetchedTogether(t *testing.T) {
	at := func(table Table, number int, form Form) Register {
		return Register{Watts, table, number, form, ABCD, 1}
	}
	type want struct {
		table              Table
		first, count, more int
	}
	for _, c := range []struct {
		registers []Register
		want      []want
	}{
		{[]Register{at(Input, 12, Float32), at(Input, 0, Float32)}, []want{{Input, 0, 14, 2}}},
		{[]Register{at(Input, 0, Uint16), at(Input, 1, Float32)}, []want{{Input, 0, 3, 1}}},
		{[]Register{at(Input, 0, Uint16), at(Holding, 1, Uint16)}, []want{{Holding, 1, 1, 1}, {Input, 0, 1, 1}}},
		{[]Register{at(Input, 0, Uint16), at(Input, 17, Uint16), at(Input, 35, Uint16)}, []want{{Input, 0, 18, 1}, {Input, 35, 1, 1}}},
		{[]Register{at(Input, 65534, Float32)}, []want{{Input, 65534, 2, 0}}},
		{[]Register{at(Input, 5, Float32), at(Input, 5, Uint16)}, []want{{Input, 5, 2, 1}}},
	} {
		var got []want
		for _, b := range blocks(c.registers) {
			got = append(got, want{b.table, int(b.first), b.count, b.more})
		}
		assert.Equal(t, c.want, got)
	}
	var chain []Register
	for i := range 20 {
		chain = append(chain, at(Input, i*15, Float32))
	}
	for _, b := range blocks(chain) {
		assert.LessOrEqual(t, b.count+b.more, MaxRegisters)
	}
	assert.Len(t, blocks(chain), 3)
}

// Whatever comes in: no panic, and an answer that is taken has the request's own
// address, function, length and a right checksum.
func FuzzFind(f *testing.F) {
	f.Add([]byte{1, 4, 4, 0x43, 0x66, 0, 0, 0x0e, 0x1f}, byte(1), byte(2))
	f.Add([]byte{1, 0x84, 2, 0xc2, 0xc1}, byte(1), byte(2))
	f.Fuzz(func(t *testing.T, in []byte, address, count byte) {
		r := request{address, Input, 0, int(count%MaxRegisters) + 1}
		_ = judge(in)
		words, refusal, done := r.find(in)
		if !done || words == nil {
			return
		}
		assert.Zero(t, refusal)
		require.Len(t, words, 2*r.count)
		frame := append([]byte{address, 4, byte(2 * r.count)}, words...)
		crc := CRC16(frame)
		assert.Contains(t, string(in), string(append(frame, byte(crc), byte(crc>>8))))
	})
}

// A meter that refuses without a reason refuses nevertheless.
func TestAnExceptionWithoutAReason(t *testing.T) {
	a := newAsker(2000, func() behaviour {
		return func(asked, _ []byte) []arrival {
			return []arrival{{time.Millisecond, sum([]byte{asked[0], asked[1] | failed, 0})}}
		}
	}, at(0))
	a.rounds(t, 3)
	assert.Equal(t, map[string]int{"the meter refuses with the unknown reason 0": 3}, a.failed)
}
