package probes

// Commands of the bridge from I2C to 1-Wire, and the bits of its status (its data sheet,
// from memory; the same names are in the kernel's driver ds2482).
const (
	deviceReset = 0xf0
	setPointer  = 0xe1
	writeConfig = 0xd2
	wireReset   = 0xb4
	wireBit     = 0x87
	wireWrite   = 0xa5
	wireRead    = 0x96
	wireTriplet = 0x78

	statusPresence = 1 << 1
	statusShort    = 1 << 2
	statusLevel    = 1 << 3
	statusReset    = 1 << 4
	statusBit      = 1 << 5
	statusSecond   = 1 << 6
	statusDirected = 1 << 7

	pointStatus = 0xf0
	pointData   = 0xe1
	pointConfig = 0xc3
)

// bridge turns what is written to it by I2C into time slots of a 1-Wire bus. It is
// never busy: whatever it was told is done.
type bridge struct {
	bus     []*thermometer
	shorted bool // the bus is held low

	status, data, config, pointer byte
}

// read returns the register that is pointed at.
func (b *bridge) read() byte {
	switch b.pointer {
	case pointData:
		return b.data
	case pointConfig:
		return b.config
	default:
		return b.status
	}
}

// write carries out a command; it reports whether the bridge acknowledges it.
func (b *bridge) write(bytes []byte) bool {
	if len(bytes) == 0 {
		return true // only asked whether it is there
	}
	var argument byte
	if len(bytes) > 1 {
		argument = bytes[1]
	}
	pointer := byte(pointStatus)
	switch bytes[0] {
	case deviceReset:
		b.status, b.config = statusReset|statusLevel, 0
	case setPointer:
		pointer = argument
	case writeConfig:
		if argument>>4 != ^argument&0x0f {
			return false
		}
		b.config, pointer = argument&0x0f, pointConfig
		b.status &^= statusReset
	case wireReset:
		b.resetBus()
	case wireBit:
		b.note(b.slot(argument&0x80 != 0), false, false)
	case wireWrite:
		for i := range 8 {
			b.slot(argument>>i&1 != 0)
		}
	case wireRead:
		b.data = 0
		for i := range 8 {
			if b.slot(true) {
				b.data |= 1 << i
			}
		}
	case wireTriplet:
		bit, complement := b.slot(true), b.slot(true)
		way := argument&0x80 != 0 // where devices differ, as told
		if bit != complement {
			way = bit
		}
		if !bit || !complement {
			b.slot(way)
		}
		b.note(bit, complement, way)
	default:
		return false
	}
	b.pointer = pointer
	return true
}

func (b *bridge) resetBus() {
	b.status &^= statusPresence | statusShort
	for _, t := range b.bus {
		if t.reset() {
			b.status |= statusPresence
		}
	}
	if b.shorted {
		b.status = b.status&^statusPresence | statusShort
	}
}

// slot is one time slot: the line is low if anybody holds it low.
func (b *bridge) slot(bit bool) bool {
	level := bit
	for _, t := range b.bus {
		if !t.slot(bit) {
			level = false
		}
	}
	return level && !b.shorted
}

// note puts what the line has shown into the status.
func (b *bridge) note(bit, second, directed bool) {
	b.status &^= statusBit | statusSecond | statusDirected
	for _, x := range []struct {
		on   bool
		mask byte
	}{{bit, statusBit}, {second, statusSecond}, {directed, statusDirected}} {
		if x.on {
			b.status |= x.mask
		}
	}
}
