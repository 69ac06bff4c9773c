package presence

// Verb is what a command asks.
type Verb uint8

// Verbs of a command.
const (
	Start Verb = iota + 1
	Stop
	Reset
)

// Command is what is asked over a socket.
type Command struct {
	Verb   Verb
	Recipe string // of Start
	// Answer gets one sentence, at the latest two ticks later. It must have room
	// for it.
	Answer chan<- Answer
}

// Answer is what came of a command.
type Answer struct {
	OK   bool
	Text string
}
