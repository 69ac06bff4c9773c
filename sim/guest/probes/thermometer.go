package probes

// Commands that a 1-Wire device with family code 28h takes (its data sheet, "1-Wire bus
// system", from memory).
const (
	searchROM       = 0xf0
	readROM         = 0x33
	matchROM        = 0x55
	skipROM         = 0xcc
	convert         = 0x44
	readScratchpad  = 0xbe
	writeScratchpad = 0x4e
	readPower       = 0xb4
)

// state is what a thermometer makes of the next bit.
type state uint8

const (
	deaf       state = iota // until the next reset
	commanding              // takes a command to select by
	searching
	matching
	selected // takes a command to act on
	sending
	taking
)

// thermometer is one device on the bus.
type thermometer struct {
	rom [8]byte
	// raw is what is measured now, in sixteenths of a degree Celsius.
	raw     int16
	present bool
	// restarts says that it loses its conversions, and shows its power-on value.
	restarts bool

	state   state
	in      uint64 // bits taken, the first lowest
	bits    int
	turn    int // of a search: the bit, its complement, the choice
	out     []byte
	scratch [8]byte
}

// newThermometer returns one with a serial number of 48 bits, as it is after power-on.
func newThermometer(serial uint64) *thermometer {
	t := &thermometer{rom: [8]byte{0: 0x28}}
	for i := range 6 {
		t.rom[1+i] = byte(serial >> (8 * i))
	}
	t.rom[7] = crc8(t.rom[:7])
	// 85 degC, alarms at 75 and 70 degC, 12 bits.
	t.scratch = [8]byte{0x50, 0x05, 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10}
	return t
}

// reset is a reset pulse; it reports whether the device answers with its presence.
func (t *thermometer) reset() bool {
	t.state, t.in, t.bits = commanding, 0, 0
	return t.present
}

// slot is one time slot, in which the master writes a bit, or reads by writing 1. It
// returns the level that the device leaves the line at.
func (t *thermometer) slot(bit bool) bool {
	if !t.present {
		return true
	}
	switch t.state {
	case searching:
		return t.search(bit)
	case sending:
		level := t.bits >= 8*len(t.out) || t.out[t.bits/8]>>(t.bits%8)&1 != 0
		t.bits++
		return level
	case commanding, matching, selected, taking:
		if bit {
			t.in |= 1 << t.bits
		}
		t.bits++
		t.take()
	}
	return true
}

// search takes part in a search: it shows its bit, then the complement, and drops out
// where the master chooses the other.
func (t *thermometer) search(bit bool) bool {
	mine := t.rom[t.bits/8]>>(t.bits%8)&1 != 0
	t.turn++
	switch t.turn {
	case 1:
		return mine
	case 2:
		return !mine
	}
	t.turn = 0
	t.bits++
	if bit != mine || t.bits == 64 {
		t.state = deaf
	}
	return true
}

// take acts once enough bits have come.
func (t *thermometer) take() {
	switch {
	case t.state == commanding && t.bits == 8:
		t.begin(map[byte]state{searchROM: searching, matchROM: matching, skipROM: selected, readROM: sending}[byte(t.in)])
		t.out = t.rom[:]
	case t.state == matching && t.bits == 64:
		next := selected
		for i, b := range t.rom {
			if byte(t.in>>(8*i)) != b {
				next = deaf
			}
		}
		t.begin(next)
	case t.state == selected && t.bits == 8:
		t.act(byte(t.in))
	case t.state == taking && t.bits == 24:
		// Alarms and resolution; of the last only two bits can be written.
		t.scratch[2], t.scratch[3], t.scratch[4] = byte(t.in), byte(t.in>>8), byte(t.in>>16)&0x60|0x1f
		t.begin(deaf)
	}
}

func (t *thermometer) begin(s state) { t.state, t.in, t.bits, t.turn = s, 0, 0, 0 }

// act carries out a command.
func (t *thermometer) act(command byte) {
	switch command {
	case convert:
		t.measure()
		t.out = nil // a read shows 1: done
		t.begin(sending)
	case readScratchpad:
		t.out = append(t.scratch[:], crc8(t.scratch[:]))
		t.begin(sending)
	case writeScratchpad:
		t.begin(taking)
	case readPower:
		t.out = nil // 1: it has a supply of its own
		t.begin(sending)
	default:
		t.begin(deaf)
	}
}

// measure puts the temperature into the scratchpad, without the bits that the
// resolution leaves undefined.
func (t *thermometer) measure() {
	raw, sixth := t.raw, byte(0x10-t.raw&0x0f)
	if t.restarts {
		raw, sixth = 85*16, 0x0c
	}
	bits := 9 + int(t.scratch[4]>>5&3)
	raw &^= 1<<(12-bits) - 1
	t.scratch[0], t.scratch[1], t.scratch[6] = byte(raw), byte(uint16(raw)>>8), sixth
}

// crc8 is the check of 1-Wire, x^8 + x^5 + x^4 + 1, lowest bit first.
func crc8(data []byte) (crc byte) {
	for _, b := range data {
		crc ^= b
		for range 8 {
			if crc&1 != 0 {
				crc = crc>>1 ^ 0x8c
			} else {
				crc >>= 1
			}
		}
	}
	return crc
}
