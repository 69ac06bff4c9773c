package hal

// Verb is what its owner asks of the supervisor at one tick.
type Verb uint8

// Verbs of a request. A held button gives the same verb at every tick while it
// is held: Start acts once when pressed, Reset once when released, Stop always.
const (
	None Verb = iota
	Start
	Stop
	Reset
)

// Request is what its owner asks at one tick. Recipe is the name of the recipe
// and only goes with Start.
type Request struct {
	Verb   Verb
	Recipe string
}

// String returns the request as a trace has it: empty, "start NAME", "stop" or
// "reset".
func (r Request) String() string {
	switch r.Verb {
	case Start:
		return "start " + r.Recipe
	case Stop:
		return "stop"
	case Reset:
		return "reset"
	default:
		return ""
	}
}
