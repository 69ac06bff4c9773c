package modbus

import "time"

// Timing is how long the client waits for what.
type Timing struct {
	// Baud is the speed of the line in bits per second.
	Baud int
	// Timeout is how long an answer may take to come whole, from the end of its
	// request. The time that the bytes take on the line is added.
	Timeout time.Duration
	// Lateness is longer than any answer takes, ever, from its request to its
	// last byte. Within it an answer is never taken for that to another request.
	Lateness time.Duration
}

// characters returns how long a number of characters takes: 11 bits each, with
// parity or a second stop bit (serial line specification, 2.5.1).
func (t Timing) characters(n int) time.Duration {
	return time.Duration(n) * 11 * time.Second / time.Duration(t.Baud)
}

// Gap returns the silence between two frames: 3.5 characters; above 19200 baud
// 1.75 ms (serial line specification, 2.5.1.1).
func (t Timing) Gap() time.Duration {
	if t.Baud > 19200 {
		return 1750 * time.Microsecond
	}
	return t.characters(7) / 2
}
