package prove

// Invariant is a rule that must hold in everything that can come to be.
type Invariant uint8

// The invariants.
const (
	Air Invariant = iota
	CauseActs
	Stop
	NoSelfStart
	HeldReset
	TripStays
	RunOn
	Restart
	FirstOut
	Watchdog
	ContactorFirst
	LateStays
	StartWithheld
	InvariantCount
)

var invariants = [InvariantCount]struct{ name, text string }{
	Air:            {"air", "nothing emits unless all required fans have been seen at their minimum since they were driven, and none goes on emitting with a fan under it for the delay"},
	CauseActs:      {"cause acts", "a cause that has stood for its delay takes away what it must, at that tick and until a reset was let go after it had gone, a lockout over a restart too; the delay drains four times more slowly than it fills; a sensor without a reading takes heat and emission away at once"},
	Stop:           {"stop", "with the stop loop open nothing but the fans is on at the same tick; at a request to stop neither heat nor emission is, and at the next tick not the contactor"},
	NoSelfStart:    {"nothing starts by itself", "a session begins, and its contactor closes, only by START pressed after the program started; heat and emission only within a session"},
	HeldReset:      {"held reset", "a reset does nothing while it is held, nor when none was held before"},
	TripStays:      {"trip stays", "no trip is given back while its cause stands, and none without being told"},
	RunOn:          {"run-on", "the fans are on in every session, and after it for the least run-on, until the cabinet is cool or the most run-on is over"},
	Restart:        {"restart", "at the first tick of a program everything but the sounder is off"},
	FirstOut:       {"first-out", "the first-out is the trip that was told first, the upper one of the table of two at one tick, until everything that waited has been reset"},
	Watchdog:       {"watchdog", "the watchdog is fed, and the heartbeat changes, at healthy ticks on time and at no others"},
	ContactorFirst: {"contactor first", "heater and banks are on only together with the contactor, and banks only where there is one"},
	LateStays:      {"late stays", "after a late tick the contactor stays open until a reset was let go at a tick on time"},
	StartWithheld:  {"start withheld", "no session begins, nor goes on after a turn-over, while a cause stands, however short, or a trip waits for its reset"},
}

// String returns the invariant's name.
func (i Invariant) String() string { return invariants[i].name }

// Text returns what the invariant demands, in a sentence without a full stop.
func (i Invariant) Text() string { return invariants[i].text }

// broken is a set of invariants, and of known faults.
type broken uint32

func (b *broken) add(i Invariant) { *b |= 1 << i }

func (b broken) has(i Invariant) bool { return b>>i&1 != 0 }

// Known is a case in which an invariant is known not to hold. It is kept apart,
// so that the invariant stays strict for everything else.
type Known uint8

// What is known.
const (
	AuxFlickers Known = iota
	KnownCount
)

var knowns = [KnownCount]struct {
	name, text string
	of         Invariant
}{
	AuxFlickers: {"auxiliary contact flickers", "one missing reading of the auxiliary contact opens the contactor at once, and the next good one closes it again in the same session without START", NoSelfStart},
}

// String returns the name of what is known.
func (k Known) String() string { return knowns[k].name }

// Text returns what is known in a sentence without a full stop.
func (k Known) Text() string { return knowns[k].text }

// Of returns the invariant that it is an exception of.
func (k Known) Of() Invariant { return knowns[k].of }

func (b *broken) know(k Known) { *b |= 1 << (uint(InvariantCount) + uint(k)) }

func (b broken) knows(k Known) bool { return b>>(uint(InvariantCount)+uint(k))&1 != 0 }
