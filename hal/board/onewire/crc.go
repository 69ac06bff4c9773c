package onewire

// CRC8 returns the checksum of 1-Wire devices over the bytes: polynomial
// x^8 + x^5 + x^4 + 1, lowest bit first, beginning with 0 (application note of
// the bus's maker, "Understanding and using cyclic redundancy checks with 1-Wire
// products"). Over bytes that end with their own checksum it is 0. It is 0 over
// zeros too, so a wire that is held low passes it.
func CRC8(bytes []byte) byte {
	var crc byte
	for _, b := range bytes {
		crc ^= b
		for range 8 {
			low := crc & 1
			crc >>= 1
			// The polynomial with its bits reversed, without x^8.
			crc ^= -low & 0x8c
		}
	}
	return crc
}
