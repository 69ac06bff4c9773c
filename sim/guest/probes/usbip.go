package probes

import (
	"encoding/binary"
	"io"
)

// Messages of USB/IP between the kernel and a device (Documentation/usb/
// usbip_protocol.rst of the kernel's source): 48 bytes, big-endian, then what is
// written or read.
const (
	headerLength = 48

	submit       = 1
	unlink       = 2
	submitAnswer = 3
	unlinkAnswer = 4

	directionIn = 1
	stall       = -32 // EPIPE: the device does not know the request
)

// serve answers the kernel until the connection ends; control carries out each control
// transfer.
func serve(conn io.ReadWriter, control func(setup, []byte) ([]byte, bool)) error {
	var header [headerLength]byte
	for {
		if _, err := io.ReadFull(conn, header[:]); err != nil {
			return err
		}
		answer := make([]byte, headerLength)
		copy(answer[4:8], header[4:8]) // the number of the message
		switch binary.BigEndian.Uint32(header[:]) {
		case submit:
			data, err := submitted(conn, header, answer, control)
			if err != nil {
				return err
			}
			answer = append(answer, data...)
		case unlink:
			// Everything has been answered at once: there is nothing to take back.
			binary.BigEndian.PutUint32(answer, unlinkAnswer)
		}
		if _, err := conn.Write(answer); err != nil {
			return err
		}
	}
}

// submitted carries out one transfer, fills in its answer, and returns what is read.
func submitted(conn io.Reader, header [headerLength]byte, answer []byte, control func(setup, []byte) ([]byte, bool)) ([]byte, error) {
	length := int(binary.BigEndian.Uint32(header[24:]))
	reads := binary.BigEndian.Uint32(header[12:]) == directionIn
	var out []byte
	if !reads && length > 0 {
		out = make([]byte, length)
		if _, err := io.ReadFull(conn, out); err != nil {
			return nil, err
		}
	}
	in, known := control(parseSetup([8]byte(header[40:48])), out)
	in = in[:min(len(in), length)]
	actual, status := len(out), int32(0)
	if reads {
		actual = len(in)
	} else {
		in = nil
	}
	if !known {
		status, actual, in = stall, 0, nil
	}
	binary.BigEndian.PutUint32(answer, submitAnswer)
	binary.BigEndian.PutUint32(answer[20:], uint32(status))
	binary.BigEndian.PutUint32(answer[24:], uint32(actual))
	return in, nil
}
