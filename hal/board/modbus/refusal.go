package modbus

import (
	"errors"
	"fmt"
)

// Refusal is an answer that says no (application protocol, section 7).
type Refusal byte

// The refusals that tell that other registers must be asked for.
const (
	noFunction Refusal = 1
	noRegister Refusal = 2
	badCount   Refusal = 3
)

// Error says it in words.
func (r Refusal) Error() string {
	switch r {
	case noFunction:
		return "the meter does not know this table of registers"
	case noRegister:
		return "the meter does not have these registers"
	case badCount:
		return "the meter does not give these registers in one request"
	case 4:
		return "the meter reports a failure of its own"
	case 5, 6:
		return "the meter is busy"
	case 8:
		return "the meter reports a failure of its memory"
	case 10, 11:
		return "the gateway does not reach the meter"
	default:
		return fmt.Sprintf("the meter refuses with the unknown reason %d", byte(r))
	}
}

// shape reports whether other registers may be answered where these are not.
func (r Refusal) shape() bool { return r == noRegister || r == badCount }

// refused returns the refusal that an error is.
func refused(err error) (Refusal, bool) {
	if err == nil {
		return 0, false // as it mostly is, and takes no memory
	}
	var refusal Refusal
	is := errors.As(err, &refusal)
	return refusal, is
}
