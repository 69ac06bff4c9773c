package modbus

// CRC16 returns the checksum of a frame: polynomial x^16 + x^15 + x^2 + 1, lowest
// bit first, beginning with all ones (serial line specification, 6.2.2). The low
// byte is sent first. Over a frame with its checksum it is 0.
func CRC16(frame []byte) uint16 {
	crc := uint16(0xffff)
	for _, b := range frame {
		crc ^= uint16(b)
		for range 8 {
			low := crc & 1
			crc >>= 1
			// The polynomial with its bits reversed, without x^16.
			crc ^= -low & 0xa001
		}
	}
	return crc
}
