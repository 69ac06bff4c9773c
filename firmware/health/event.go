package health

import (
	"time"

	"bathtender/interlock"
)

// Kind is what health has found.
type Kind uint8

// Kinds of findings.
const (
	NoEvent       Kind = iota
	EmittersShort      // so many emitters' worth of a bank are missing
	BankGone           // a whole bank is missing
	AllUnloaded        // all banks together take too little: nothing loads them
	RelayStuck         // a bank does not switch off
	HeaterShort        // the heater takes less than it should
	MoreThanDue        // a bank takes more than its baseline
	Unexplained        // watts are missing that no bank explains
	PouredIn           // the bath fell faster than it can cool
	ProbeOut           // one bath probe does not follow the bath
	Drifting           // a bank drifts from session to session
	ShortHanded        // a session goes on with some banks out of service
	LiquidWorked       // the liquid has had its emission
	LiquidOld          // the liquid has had its days
)

// Event is one finding. It holds no text.
type Event struct {
	At    time.Duration
	Kind  Kind
	Place uint8 // of the bank or probe, from 0
	Count uint8 // of emitters, of banks, or of sessions left (0 for not known)
	// Value is what was found, Base what it is held against: watts in nW,
	// kelvins in nK, emission in ns, days, litres in microlitres.
	Value, Base int64
}

// Events is the findings of one tick.
type Events = interlock.List[Event]
