package onewire

import (
	"bytes"
	"errors"

	"periph.io/x/conn/v3/physic"
)

// Reasons for which a text of the kernel is no reading.
var (
	// The kernel reports every failure as an empty text, without an error.
	errEmpty   = errors.New("the kernel gives no value: no answer, a wrong checksum or a failed conversion")
	errText    = errors.New("the kernel's text is not a temperature")
	errRefused = errors.New("the kernel says that the checksum of its data does not fit")
)

// parseMilliDegrees returns the temperature in the text of the kernel's file
// "temperature": whole thousandths of a degree Celsius and a line end.
func parseMilliDegrees(text []byte) (physic.Temperature, error) {
	if len(text) == 0 {
		return 0, errEmpty
	}
	digits, ended := bytes.CutSuffix(text, []byte("\n"))
	negative := len(digits) > 0 && digits[0] == '-'
	if negative {
		digits = digits[1:]
	}
	// Six digits hold the whole range; a text without its end was cut off.
	if !ended || len(digits) == 0 || len(digits) > 6 {
		return 0, errText
	}
	value := 0
	for _, d := range digits {
		if d < '0' || d > '9' {
			return 0, errText
		}
		value = value*10 + int(d-'0')
	}
	if negative {
		value = -value
	}
	if value < rawLeast*1000/16 || value > rawMost*1000/16 {
		return 0, errRange
	}
	return physic.ZeroCelsius + physic.Temperature(value)*physic.MilliKelvin, nil
}

// parseSlave returns the temperature in the text of the kernel's file
// "w1_slave", which shows the scratchpad as nine hexadecimal bytes, then the
// checksum and what the kernel thinks of it:
//
//	7a 01 4b 46 7f ff 00 10 a1 : crc=a1 YES
//
// The line after it is left alone: the bytes are judged here.
func parseSlave(text []byte) (physic.Temperature, error) {
	if len(text) == 0 {
		return 0, errEmpty
	}
	var pad [scratchpadSize]byte
	for i := range pad {
		if len(text) < 3 || text[2] != ' ' {
			return 0, errText
		}
		high, low := hexDigit(text[0]), hexDigit(text[1])
		if high < 0 || low < 0 {
			return 0, errText
		}
		pad[i], text = byte(high<<4|low), text[3:]
	}
	line, _, ended := bytes.Cut(text, []byte("\n"))
	switch {
	case !ended || !bytes.HasPrefix(line, []byte(": crc=")):
		return 0, errText
	case bytes.HasSuffix(line, []byte(" NO")):
		return 0, errRefused
	case !bytes.HasSuffix(line, []byte(" YES")):
		return 0, errText
	}
	return decode(pad[:])
}

func hexDigit(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'a' && c <= 'f':
		return int(c-'a') + 10
	case c >= 'A' && c <= 'F':
		return int(c-'A') + 10
	default:
		return -1
	}
}
