package recipe

// Phase is a part of a session, in the sense of ISA-88.
type Phase uint8

// Phases, in the order of a session. The zero phase is idle.
const (
	Idle     Phase = iota
	Purge          // fans on and proven; then the contactor closed and watched
	Preheat        // heater until the bath has its temperature
	Degas          // emission that drives dissolved gas out
	Clean          // emission on one side of the parts
	TurnOver       // everything off but the fans: the parts are turned over
	RunOn          // fans alone, until the cabinet is cool
	PhaseCount
)

var phaseNames = [PhaseCount]string{"idle", "purge", "preheat", "degas", "clean", "turn-over", "run-on"}

// String returns the phase's name.
func (p Phase) String() string {
	if p >= PhaseCount {
		return "no phase"
	}
	return phaseNames[p]
}

// emits reports whether the phase wants emission.
func (p Phase) emits() bool { return p == Degas || p == Clean }

// Underway reports whether a session is running: something has been started
// that a stop would end.
func (p Phase) Underway() bool { return p != Idle && p != RunOn }
