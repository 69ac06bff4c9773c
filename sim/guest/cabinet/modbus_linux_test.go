package main

import (
	"testing"

	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// 02 07 has the check 41 12 ("MODBUS over serial line", V1.02, 6.2.2, from memory). The
// request is for registers 0 and 1 of unit 1; 230.5 is 43 66 80 00 as IEEE 754 binary32.
// The answer is the one that python3-pymodbus 3.0.0 gives, byte by byte.
func TestTheMeterAnswers(t *testing.T) {
	require.Equal(t, uint16(0x1241), crc16([]byte{0x02, 0x07}))
	m := &modbusMeter{unit: 1, volts: 0, watts: 12}
	request := []byte{1, 4, 0, 0, 0, 2, 0x71, 0xcb}
	require.Nil(t, m.answer(request), "nothing was measured yet")
	m.show(hal.Meter{Volts: hal.Fresh(230500 * physic.MilliVolt), Watts: hal.Fresh(physic.Power(1234500) * physic.MilliWatt)})
	require.Equal(t, []byte{1, 4, 4, 0x43, 0x66, 0x80, 0x00, 0x6f, 0xdf}, m.answer(request))
	damaged := append([]byte(nil), request...)
	damaged[3] ^= 1
	require.Nil(t, m.answer(damaged))
	require.Len(t, m.answer([]byte{1, 4, 0, 0, 0, 14, 0x71, 0xce}), 3+28+2)
}
