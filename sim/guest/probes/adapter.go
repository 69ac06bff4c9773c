package probes

import "encoding/binary"

// What the USB adapter for I2C is known by, and what it is asked for (the kernel's
// driver i2c-tiny-usb).
const (
	vendorID  = 0x1c40
	productID = 0x0534

	askFunctions = 1
	setDelay     = 2
	askStatus    = 3
	transfer     = 4 // and with begin (1) and end (2) added, up to 7

	acknowledged    = 1
	notAcknowledged = 2

	plainI2C       = 0x00000001
	emulatedSMBus  = 0x0eff0008
	messageIsARead = 1
)

// setup is the setup packet of a USB control transfer (USB 2.0, table 9-2).
type setup struct {
	kind, request        byte
	value, index, length uint16
}

func parseSetup(raw [8]byte) setup {
	return setup{
		kind: raw[0], request: raw[1], value: binary.LittleEndian.Uint16(raw[2:]),
		index: binary.LittleEndian.Uint16(raw[4:]), length: binary.LittleEndian.Uint16(raw[6:]),
	}
}

// USB descriptors (USB 2.0, tables 9-8, 9-10, 9-12): a full-speed device of the vendor's
// own class, one configuration, one interface, no endpoint but the first.
var (
	deviceDescriptor = []byte{18, 1, 0x10, 0x01, 0xff, 0, 0, 8,
		vendorID & 0xff, vendorID >> 8, productID & 0xff, productID >> 8, 0x05, 0x02, 0, 0, 0, 1}
	configDescriptor = []byte{9, 2, 18, 0, 1, 1, 0, 0x80, 50,
		9, 4, 0, 0, 0, 0xff, 0, 0, 0}
)

// bridgeAddress is the bridge's on the I2C bus.
const bridgeAddress = 0x18

// adapter is the USB device, with the bridge on its bus.
type adapter struct {
	bridge bridge
	status byte
}

// control carries out a control transfer. It returns what is read, and whether the
// device knows the request.
func (a *adapter) control(s setup, out []byte) (in []byte, known bool) {
	if s.kind&0x60 == 0x40 {
		return a.vendor(s, out)
	}
	switch {
	case s.request == 6 && s.value>>8 == 1: // get descriptor
		return deviceDescriptor, true
	case s.request == 6 && s.value>>8 == 2:
		return configDescriptor, true
	case s.request == 0: // get status
		return []byte{0, 0}, true
	case s.request == 9 || s.request == 11: // set configuration, set interface
		return nil, true
	}
	return nil, false
}

func (a *adapter) vendor(s setup, out []byte) (in []byte, known bool) {
	switch {
	case s.request == askFunctions:
		return binary.LittleEndian.AppendUint32(nil, plainI2C|emulatedSMBus), true
	case s.request == setDelay:
		return nil, true
	case s.request == askStatus:
		return []byte{a.status}, true
	case s.request >= transfer && s.request <= transfer+3:
		return a.transfer(s, out), true
	}
	return nil, false
}

// transfer is one message on the I2C bus.
func (a *adapter) transfer(s setup, out []byte) (in []byte) {
	reads := s.value&messageIsARead != 0
	if reads {
		in = make([]byte, s.length)
	}
	a.status = notAcknowledged
	if s.index != bridgeAddress {
		return in
	}
	if reads {
		for i := range in {
			in[i] = a.bridge.read()
		}
		a.status = acknowledged
	} else if a.bridge.write(out) {
		a.status = acknowledged
	}
	return in
}
