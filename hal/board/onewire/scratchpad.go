package onewire

import (
	"errors"

	"periph.io/x/conn/v3/physic"
)

// scratchpadSize is the scratchpad with its checksum.
const scratchpadSize = 9

// The range of the thermometer in sixteenths of a degree, -55 degC to +125 degC
// (its datasheet, temperature/data relationship).
const (
	rawLeast = -55 * 16
	rawMost  = 125 * 16
)

// Reasons for which a scratchpad is no reading.
var (
	errCRC      = errors.New("the checksum of its data does not fit")
	errHeldLow  = errors.New("the wire is held low, or nothing on it answers")
	errNotAsMap = errors.New("its data are not those of a thermometer of family 28h")
	errRange    = errors.New("its value is outside of -55 °C to +125 °C")
)

// decode returns the temperature in a scratchpad of a thermometer of family 28h:
// two bytes of temperature, two of alarm limits, the configuration 0RR11111, one
// reserved byte, one that counts, one reserved byte that is always 10h, the
// checksum (memory map of its datasheet). Bits that the set resolution leaves
// undefined are taken as 0.
func decode(pad []byte) (physic.Temperature, error) {
	if len(pad) != scratchpadSize {
		return 0, errNotAsMap
	}
	if allAre(pad, 0) || allAre(pad, 0xff) {
		return 0, errHeldLow
	}
	if CRC8(pad) != 0 {
		return 0, errCRC
	}
	if pad[4]&0x9f != 0x1f || pad[7] != 0x10 {
		return 0, errNotAsMap
	}
	undefined := uint(3 - pad[4]>>5&3) // 3 at 9 bits, none at 12
	raw := int16(uint16(pad[1])<<8|uint16(pad[0])) &^ (1<<undefined - 1)
	if raw < rawLeast || raw > rawMost {
		return 0, errRange
	}
	return physic.ZeroCelsius + physic.Temperature(raw)*physic.Kelvin/16, nil
}

func allAre(bytes []byte, b byte) bool {
	for _, other := range bytes {
		if other != b {
			return false
		}
	}
	return true
}
