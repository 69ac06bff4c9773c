package modbus

import (
	"bytes"
	"errors"
)

// Table is which of a meter's two kinds of registers is read.
type Table byte

// The tables, by the function that reads them.
const (
	Holding Table = 3
	Input   Table = 4
)

func (t Table) String() string {
	if t == Holding {
		return "holding"
	}
	return "input"
}

const (
	// MaxRegisters can be asked for at a time (application protocol, 6.3, 6.4).
	MaxRegisters = 125

	requestSize   = 8
	exceptionSize = 5
	failed        = 0x80 // is added to the function of an exception
	// A driver that switches on or off on the wire may add so many false bytes
	// ahead of an answer. Own choice; more than these is a disturbed line.
	noiseMost = 4
	// answerMost is the longest answer, and bufferSize that with its request
	// heard back and noise.
	answerMost = 5 + 2*MaxRegisters
	bufferSize = requestSize + noiseMost + answerMost
)

// Reasons for which what came in is no answer.
var (
	errSilent  = errors.New("no answer came in time")
	errGarbled = errors.New("an answer came with a wrong checksum, cut off or disturbed")
	errForeign = errors.New("an answer came that was not asked for")
)

// request is the one that an answer must fit.
type request struct {
	address byte
	table   Table
	first   uint16
	count   int
}

// frame returns the bytes of the request.
func (r request) frame() [requestSize]byte {
	f := [requestSize]byte{r.address, byte(r.table), byte(r.first >> 8), byte(r.first), byte(r.count >> 8), byte(r.count)}
	crc := CRC16(f[:6])
	f[6], f[7] = byte(crc), byte(crc>>8)
	return f
}

// find looks for the answer in what has come in so far. It returns the answer's
// registers, two bytes each; or none and an exception's reason; or false where
// more may come. An adapter may hear the request itself, and noise may stand
// before either.
func (r request) find(in []byte) (words []byte, refusal Refusal, done bool) {
	echo := r.frame()
	rest := in
	for at := 0; at <= noiseMost && at+requestSize <= len(rest); at++ {
		if bytes.Equal(rest[at:at+requestSize], echo[:]) {
			rest = rest[at+requestSize:]
			break
		}
	}
	for at := 0; at <= noiseMost && at+exceptionSize <= len(rest); at++ {
		f := rest[at:]
		if f[0] != r.address {
			continue
		}
		if f[1] == byte(r.table)|failed && CRC16(f[:exceptionSize]) == 0 {
			return nil, Refusal(f[2]), true
		}
		if size := 5 + 2*r.count; f[1] == byte(r.table) && int(f[2]) == 2*r.count && len(f) >= size && CRC16(f[:size]) == 0 {
			return f[3 : size-2], 0, true
		}
	}
	return nil, 0, false
}

// judge says why what came in is no answer, when no more came.
func judge(in []byte) error {
	if len(in) == 0 {
		return errSilent
	}
	for size := exceptionSize; size <= len(in); size++ {
		if CRC16(in[:size]) == 0 {
			return errForeign // a whole frame, but none that fits
		}
	}
	return errGarbled
}
