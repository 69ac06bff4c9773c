package main

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"os"
	"sync"
	"time"

	"golang.org/x/sys/unix"

	"bathtender/firmware/machine"
	"bathtender/hal"
)

// modbusMeter is the mains meter on a bus of its own, a pseudo-terminal, for a machine
// with nothing outside. It answers requests for input registers (function 4 of the MODBUS
// Application Protocol, V1.1b3, 6.4), in frames as "MODBUS over serial line" has them,
// for the machine's address.
type modbusMeter struct {
	unit  byte
	watts int // number of the first register, -1 for none
	volts int

	terminal *os.File
	mutex    sync.Mutex
	last     hal.Meter
}

const readInputRegisters = 4

// newModbusMeter makes the bus; link is where the machine file says that the port is.
func newModbusMeter(m *machine.Machine, link string) (*modbusMeter, error) {
	meter := &modbusMeter{unit: byte(m.Meter.Address), watts: -1, volts: -1}
	for _, r := range m.Meter.Registers {
		if r.Form != "float32" || r.Order != "ABCD" || r.Table != "input" || r.Divide != 1 {
			return nil, fmt.Errorf("the meter's register for %s is %s %s %s over %d, this cabinet can only play input float32 ABCD over 1", r.Quantity, r.Table, r.Form, r.Order, r.Divide)
		}
		switch r.Quantity {
		case "watts":
			meter.watts = r.Number
		case "volts":
			meter.volts = r.Number
		}
	}
	terminal, err := os.OpenFile("/dev/ptmx", os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		return nil, fmt.Errorf("the meter has no bus: %w", err)
	}
	number, err := unix.IoctlGetInt(int(terminal.Fd()), unix.TIOCGPTN)
	err = errors.Join(err, unix.IoctlSetPointerInt(int(terminal.Fd()), unix.TIOCSPTLCK, 0))
	if err == nil {
		_ = os.Remove(link)
		err = os.Symlink(fmt.Sprintf("/dev/pts/%d", number), link)
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("the meter has no bus: %w", err), terminal.Close())
	}
	meter.terminal = terminal
	go meter.serve()
	return meter, nil
}

// show takes the newest measurement.
func (m *modbusMeter) show(last hal.Meter) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	m.last = last
}

// serve answers until the bus is closed. A frame ends where the line falls silent; on a
// terminal that is the end of what was read, and a request has 8 bytes.
func (m *modbusMeter) serve() {
	var frame []byte
	buffer := make([]byte, 256)
	for {
		n, err := m.terminal.Read(buffer)
		if errors.Is(err, unix.EIO) {
			// Nobody has the other end open. What is left of a frame goes with him.
			frame = frame[:0]
			time.Sleep(50 * time.Millisecond)
			continue
		}
		if err != nil {
			return
		}
		frame = append(frame, buffer[:n]...)
		if len(frame) < 8 {
			continue
		}
		if answer := m.answer(frame); answer != nil {
			_, _ = m.terminal.Write(answer)
		}
		frame = frame[:0]
	}
}

// answer returns what is answered to a request; nothing where it is not for us, is
// damaged, or asks for what we do not have.
func (m *modbusMeter) answer(frame []byte) []byte {
	if len(frame) != 8 || frame[0] != m.unit || frame[1] != readInputRegisters ||
		crc16(frame[:6]) != binary.LittleEndian.Uint16(frame[6:]) {
		return nil
	}
	m.mutex.Lock()
	last := m.last
	m.mutex.Unlock()
	if !last.Watts.Valid {
		return nil
	}
	first, count := int(binary.BigEndian.Uint16(frame[2:])), int(binary.BigEndian.Uint16(frame[4:]))
	if count < 1 || count > 125 {
		return nil
	}
	answer := []byte{m.unit, readInputRegisters, byte(2 * count)}
	for number := first; number < first+count; number++ {
		answer = binary.BigEndian.AppendUint16(answer, m.register(number, last))
	}
	return binary.LittleEndian.AppendUint16(answer, crc16(answer))
}

func (m *modbusMeter) register(number int, last hal.Meter) uint16 {
	half := func(first int, value float64) (uint16, bool) {
		bits := math.Float32bits(float32(value))
		switch number - first {
		case 0:
			return uint16(bits >> 16), first >= 0
		case 1:
			return uint16(bits), first >= 0
		}
		return 0, false
	}
	if r, found := half(m.watts, watts(last)); found {
		return r
	}
	r, _ := half(m.volts, volts(last))
	return r
}

// crc16 is the check of a frame, x^16 + x^15 + x^2 + 1, lowest bit first.
func crc16(data []byte) uint16 {
	crc := uint16(0xffff)
	for _, b := range data {
		crc ^= uint16(b)
		for range 8 {
			if crc&1 != 0 {
				crc = crc>>1 ^ 0xa001
			} else {
				crc >>= 1
			}
		}
	}
	return crc
}
