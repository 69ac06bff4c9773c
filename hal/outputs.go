package hal

import "math/bits"

// Outputs is all that the supervisor drives. The zero Outputs is everything
// off. Each of them is a lease: a board lets it fall off unless a completed tick
// renews it.
type Outputs struct {
	Contactor bool // main contactor: mains to heater and drivers
	Fans      bool // all cabinet fans
	Heater    bool // heater relay
	Banks     Banks
	// Heartbeat changes its level at every healthy tick; a retriggerable
	// watchdog relay in the contactor's coil circuit drops out without it.
	Heartbeat bool
	// FeedWatchdog is set by a healthy tick only, and feeds the board's own
	// watchdog timer.
	FeedWatchdog bool
	Sounder      bool // a trip or a turn-over wants its owner's attention
	Lamp         bool // a session is running: keep hands out of the bath
}

// Banks is a set of banks; bank 1 is the lowest bit.
type Banks uint16

// Bank returns the set of one bank, by its place from 0.
func Bank(i int) Banks { return 1 << uint(i) }

// FirstBanks returns the set of the first n banks, n from 0 to MaxBanks.
func FirstBanks(n int) Banks { return Banks(1<<uint(n) - 1) }

// Has reports whether the bank at place i, from 0, is in the set.
func (b Banks) Has(i int) bool { return b&Bank(i) != 0 }

// Count returns how many banks are in the set.
func (b Banks) Count() int { return bits.OnesCount16(uint16(b)) }

// Text returns the first n banks as 0 and 1, bank 1 first.
func (b Banks) Text(n int) string {
	text := make([]byte, n)
	for i := range text {
		text[i] = '0'
		if b.Has(i) {
			text[i] = '1'
		}
	}
	return string(text)
}
